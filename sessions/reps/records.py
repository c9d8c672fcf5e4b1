"""The rows of this room that are about a person. What an observer recorded of others stays when the observer goes."""

from club.models import Person
from club.subjects import Rows, Subject, register
from sessions.reps.models import (
    AdjustmentUsed,
    DeviceAtPractice,
    Event,
    Hold,
    Look,
    LookFault,
    NeedsLook,
    Rep,
    RepNote,
)


def _erase_events(rows: Rows) -> None:
    """Erasure wins over append-only."""
    rows.erase()  # type: ignore[attr-defined]


def _merge_events(rows: Rows, kept: Person) -> None:
    rows.recorded_by(kept)  # type: ignore[attr-defined]


register(
    Subject(LookFault, "look__rep__athlete__person"),
    Subject(LookFault, "look__observer", erase="keep"),
    Subject(Look, "rep__athlete__person"),
    Subject(Look, "observer", erase="keep"),
    Subject(Rep, "athlete__person"),
    Subject(RepNote, "athlete__person"),
    Subject(RepNote, "by", erase="keep"),
    Subject(AdjustmentUsed, "athlete__person"),
    Subject(AdjustmentUsed, "by", erase="keep"),
    Subject(NeedsLook, "athlete__person"),
    Subject(NeedsLook, "by", erase="keep"),
    Subject(NeedsLook, "settled_by", erase="keep"),
    Subject(Hold, "person", erase="keep"),
    Subject(DeviceAtPractice, "person"),
    Subject(Event, "athlete__person", erase=_erase_events),
    Subject(Event, "by", erase="keep", merge=_merge_events),
)
