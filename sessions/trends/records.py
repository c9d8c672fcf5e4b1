"""The rows of this app that are about a person: figures, which are made again from what is left."""

from club.subjects import Subject, register
from sessions.trends.models import DayCheckpoint, DayDrill, DayFault, DayPair

register(
    Subject(DayDrill, "athlete__person"),
    Subject(DayCheckpoint, "athlete__person"),
    Subject(DayFault, "athlete__person"),
    Subject(DayPair, "athlete__person"),
)
