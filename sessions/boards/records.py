"""The rows of this room that are about a person."""

from club.subjects import Subject, register
from sessions.boards.models import SelfCheck

register(Subject(SelfCheck, "athlete__person"))
