"""The rows of this app that are about a person. The sporting profile goes with the person, and all that hangs on it."""

from athletes.models import Athlete, Readiness, ReadinessDay, Restriction
from club.subjects import Subject, register

register(
    Subject(Restriction, "athlete__person"),
    Subject(Readiness, "athlete__person"),
    Subject(ReadinessDay, "athlete__person"),
    Subject(Athlete, "person"),
)
