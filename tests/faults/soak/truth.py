"""What the driver knows: each touch whose first tick it saw, as it was meant, and those whose tick it never saw."""

from collections.abc import Iterable
from dataclasses import dataclass, field
from datetime import UTC, datetime
from typing import Any

Content = dict[str, Any]


@dataclass(frozen=True, slots=True)
class Said:
    """One event. content: as it was touched, lists in order of their text. uuid: as the tick told it, else empty."""

    kind: str
    content: Content
    by: str
    true: datetime
    tablet: int
    uuid: str = ""


@dataclass(slots=True)
class Entry:
    """What undo takes back. seen: of a single rep, so that it can be mended."""

    said: list[Said]
    seen: Content | None = None
    correction: str = ""
    change: Content = field(default_factory=dict)


@dataclass(slots=True)
class Truth:
    """ticked: what must be there. unsure: what may be there, each at most once."""

    ticked: list[Said] = field(default_factory=list)
    unsure: list[Said] = field(default_factory=list)

    @property
    def reps(self) -> int:
        return sum(one.kind in {"rep", "set", "look"} for one in self.ticked)


def plain(content: Content) -> Content:
    """Always in the same form: where order says nothing, in order of the text."""
    return {name: sorted(value) if isinstance(value, list) else value for name, value in content.items()}


def now() -> datetime:
    return datetime.now(UTC)


def folded(events: Iterable[Said]) -> dict[str, tuple[Content, bool]]:
    """Each rep's and set's uuid → what it is to be in the end, and whether it was taken back."""
    events = list(events)
    gone = {one.content["target"] for one in events if one.kind == "void"}
    changes = {
        one.content["target"]: one.content for one in events if one.kind == "correction" and one.uuid not in gone
    }
    return {
        one.uuid: ({**one.content, **changes.get(one.uuid, {})}, one.uuid in gone)
        for one in events
        if one.kind in {"rep", "set"}
    }
