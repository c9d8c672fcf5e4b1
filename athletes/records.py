"""The rows of this app that are about a person. The sporting profile goes with the person, and all that hangs on it."""

from athletes.models import (
    Athlete,
    AthleteNote,
    CardLook,
    EmergencyCard,
    Measurement,
    NotebookEntry,
    Placement,
    Readiness,
    ReadinessDay,
    Restriction,
    RosterDraft,
)
from club.subjects import Subject, register

# Who wrote, measured or looked is a name on a row about somebody else: it stays, and is blank once they are erased.
WRITERS = (
    (AthleteNote, "by"),
    (Measurement, "by"),
    (NotebookEntry, "by"),
    (Placement, "by"),
    (CardLook, "by"),
    (EmergencyCard, "kept_by"),
    (Restriction, "reported_by"),
    (Restriction, "lifted_by"),
)

register(
    Subject(Restriction, "athlete__person"),
    Subject(Readiness, "athlete__person"),
    Subject(ReadinessDay, "athlete__person"),
    Subject(Placement, "athlete__person"),
    Subject(AthleteNote, "athlete__person"),
    Subject(Measurement, "athlete__person"),
    Subject(EmergencyCard, "athlete__person"),
    Subject(CardLook, "athlete__person"),
    Subject(NotebookEntry, "athlete__person"),
    *(Subject(model, path, erase="keep") for model, path in WRITERS),
    Subject(RosterDraft, "made_by"),
    Subject(Athlete, "person"),
)
