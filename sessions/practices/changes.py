"""When and where a practice is, and who is told when that changes.

Rooms above (mail, feeds) register by ``@tells`` in a module that their ``apps.py`` imports; they are called inside the
transaction of the change, after it is written, so what they do there is duties and rows, never mail itself.
"""

from collections.abc import Callable
from dataclasses import dataclass
from datetime import date, time
from enum import StrEnum

from club.members import Member
from club.models import Venue
from sessions.practices.models import Practice


@dataclass(frozen=True, slots=True)
class Slot:
    """starts, ends: wall times of the practice's zone."""

    venue: Venue
    day: date
    starts: time
    ends: time

    @classmethod
    def of(cls, practice: Practice) -> "Slot":
        return cls(practice.venue, practice.day, practice.starts, practice.ends)


class ChangeKind(StrEnum):
    PUBLISHED = "published"
    MOVED = "moved"
    CANCELLED = "cancelled"
    BACK_ON = "back on"


@dataclass(frozen=True, slots=True)
class Change:
    """practice: as it is now, its ``sequence`` raised already. was: when and where it was, of one that moved."""

    kind: ChangeKind
    practice: Practice
    was: Slot | None = None


Handler = Callable[[Member, Change], None]
_handlers: list[Handler] = []


def tells(handler: Handler) -> Handler:
    """Registers a handler, called as ``handler(by, change)`` for each practice that changed, drafts included."""
    _handlers.append(handler)
    return handler


def tell(by: Member, change: Change) -> None:
    for handler in _handlers:
        handler(by, change)
