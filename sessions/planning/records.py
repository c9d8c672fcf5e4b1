"""The rows of this room that are about a person."""

from club.subjects import Subject, register
from sessions.planning.models import Fill, FillPlace

register(
    Subject(Fill, "by", erase="keep"),
    Subject(FillPlace, "athlete__person"),
)
