"""The rows of this app that are about a person. The sporting profile goes with the person, and all that hangs on it."""

from athletes.models import (
    Athlete,
    AthleteBook,
    AthleteNote,
    BookDay,
    CardChange,
    CardLook,
    Clearance,
    Decision,
    EmergencyCard,
    Measurement,
    NotebookEntry,
    Notice,
    Readiness,
    ReadinessDay,
    Restriction,
    RosterDraft,
    Standing,
)
from club.subjects import Subject, register

# Who wrote, measured or looked is a name on a row about somebody else: it stays, and is blank once they are erased.
WRITERS = (
    (AthleteNote, "by"),
    (Measurement, "by"),
    (NotebookEntry, "by"),
    (Notice, "set_aside_by"),
    (CardChange, "by"),
    (CardLook, "by"),
    (Clearance, "by"),
    (Clearance, "ended_by"),
    (EmergencyCard, "kept_by"),
    (Restriction, "reported_by"),
    (Restriction, "lifted_by"),
)

register(
    Subject(Restriction, "athlete__person"),
    Subject(Readiness, "athlete__person"),
    Subject(ReadinessDay, "athlete__person"),
    Subject(Decision, "athlete__person", erase=lambda rows: rows.erase()),
    Subject(Decision, "by", erase="keep", merge=lambda rows, kept: rows.decided_by(kept)),
    Subject(Standing, "athlete__person"),
    Subject(AthleteBook, "athlete__person"),
    Subject(BookDay, "athlete__person"),
    Subject(Notice, "athlete__person"),
    Subject(AthleteNote, "athlete__person"),
    Subject(Measurement, "athlete__person"),
    Subject(EmergencyCard, "athlete__person"),
    Subject(CardChange, "athlete__person"),
    Subject(CardLook, "athlete__person"),
    Subject(Clearance, "athlete__person"),
    Subject(NotebookEntry, "athlete__person"),
    *(Subject(model, path, erase="keep") for model, path in WRITERS),
    Subject(RosterDraft, "made_by"),
    Subject(Athlete, "person"),
)
