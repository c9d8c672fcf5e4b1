"""The order of reps, what sets, voids and corrections make of them, and replay from the state kept at each day's end.

A day is the local date of the practice; the device's clock only orders reps within a practice.

Choices made where the rule leaves room:
- the reps of a set stand where the set stands, in the order 1 … n (their own uuids would scramble them);
- a void is final: a void of a void has no effect. What was voided by mistake is entered again;
- a void of a set takes all its reps; a void of a correction withdraws it, so the next in order counts;
- a corrected rep keeps its place in the order.
"""

from collections.abc import Callable, Iterable, Mapping
from dataclasses import dataclass, field, replace
from datetime import date, datetime
from typing import Generic, Protocol, TypeVar
from uuid import UUID, uuid5

V = TypeVar("V")
S = TypeVar("S")


@dataclass(frozen=True, slots=True, order=True)
class Place:
    """Where an event stands. at: time corrected once, at first acceptance; index: 1 … n within a set, else 0."""

    day: date
    at: datetime
    device: str
    sequence: int
    uuid: UUID
    index: int = 0


@dataclass(frozen=True, slots=True)
class Recorded(Generic[V]):
    """Something that happened, and what was said of it (`value`, whatever the caller folds)."""

    uuid: UUID
    place: Place
    value: V
    within: UUID | None = None
    """The set it belongs to."""


@dataclass(frozen=True, slots=True)
class Correction(Generic[V]):
    """A new value for the event `target`."""

    uuid: UUID
    place: Place
    target: UUID
    value: V


@dataclass(frozen=True, slots=True)
class Void:
    """Takes the event `target` out. May be stored before its target."""

    uuid: UUID
    target: UUID


@dataclass(frozen=True, slots=True)
class Resolved(Generic[V]):
    """standing: what counts, in order, corrected; waiting: further corrections of the same event, for a coach to
    judge."""

    standing: tuple[Recorded[V], ...]
    waiting: tuple[Correction[V], ...]


def resolve(
    recorded: Iterable[Recorded[V]], corrections: Iterable[Correction[V]] = (), voids: Iterable[Void] = ()
) -> Resolved[V]:
    """What stands of a set of stored events, whatever order they were stored in."""
    gone = {void.target for void in voids}
    first: dict[UUID, Correction[V]] = {}
    waiting: list[Correction[V]] = []
    there = sorted((r for r in recorded if r.uuid not in gone and r.within not in gone), key=lambda r: r.place)
    targets = {r.uuid for r in there}
    for correction in sorted(corrections, key=lambda c: c.place):
        if correction.uuid in gone or correction.target not in targets:
            continue
        if first.setdefault(correction.target, correction) is not correction:
            waiting.append(correction)
    standing = (replace(r, value=first[r.uuid].value) if r.uuid in first else r for r in there)
    return Resolved(tuple(standing), tuple(waiting))


@dataclass(frozen=True, slots=True)
class SetMarks:
    """A set as it was logged: done n, watched w, faulty b, and how often each fault was seen.

    "All did 5" is watched 0 until the logger says who was seen. Raises ValueError unless 0 ≤ each count ≤ b ≤ w ≤ n.
    """

    done: int
    watched: int
    faulty: int
    faults: Mapping[str, int] = field(default_factory=dict)

    def __post_init__(self) -> None:
        if not 0 <= self.faulty <= self.watched <= self.done:
            raise ValueError(f"faulty {self.faulty}, watched {self.watched}, done {self.done} do not nest")
        for fault, count in self.faults.items():
            if not 0 <= count <= self.faulty:
                raise ValueError(f"{count} reps with {fault!r} of {self.faulty} faulty ones")


@dataclass(frozen=True, slots=True)
class SetRep:
    """Rep `index` (1 … n) of a set."""

    index: int
    uuid: UUID
    watched: bool
    faulty: bool
    faults: frozenset[str]


def expand(set_uuid: UUID, marks: SetMarks) -> tuple[SetRep, ...]:
    """The reps of a set, watched and faulty ones spread evenly, so that every device and every replay makes the
    same."""
    reps: list[SetRep] = []
    watched = faulty = 0
    for i in range(1, marks.done + 1):
        is_watched = i * marks.watched // marks.done > (i - 1) * marks.watched // marks.done
        watched += is_watched
        is_faulty = is_watched and _is_faulty(watched, marks)
        faulty += is_faulty
        faults = frozenset(f for f, count in marks.faults.items() if is_faulty and faulty <= count)
        reps.append(SetRep(i, uuid5(set_uuid, str(i)), is_watched, is_faulty, faults))
    return tuple(reps)


def _is_faulty(j: int, marks: SetMarks) -> bool:
    """Whether the j-th watched rep is faulty. Few faults are counted from the end, so that they do not fall on the
    last."""
    w, b = marks.watched, marks.faulty
    if 2 * b < w:
        j = w + 1 - j
    return j * b // w > (j - 1) * b // w


class Dated(Protocol):
    """Anything with a day."""

    @property
    def day(self) -> date: ...


D = TypeVar("D", bound=Dated)


@dataclass(frozen=True, slots=True)
class Replayed(Generic[S]):
    """state: after the last item; snapshots: the state at the end of each replayed day, to replace those from `since`
    on."""

    state: S
    snapshots: dict[date, S]


def replay(
    step: Callable[[S, D], S], empty: S, snapshots: Mapping[date, S], since: date, items: Iterable[D]
) -> Replayed[S]:
    """Fold `items`, which are all those of day `since` and later, in order, from the snapshot before `since`.

    A late, voided or corrected rep is mended by a replay since its day. `snapshots` may hold any days; only the last
    one before `since` is read (`empty` if there is none). ValueError for an item before `since` or a day that goes
    back.
    """
    kept = [day for day in snapshots if day < since]
    state = snapshots[max(kept)] if kept else empty
    made: dict[date, S] = {}
    last = since
    for item in items:
        if item.day < last:
            raise ValueError(f"item of {item.day} after {last}")
        last = item.day
        state = made[last] = step(state, item)
    return Replayed(state, made)


def first_day_changed(before: Iterable[Recorded[V]], after: Iterable[Recorded[V]]) -> date | None:
    """The first day on which two resolved orders differ: replay since then. None if they are the same."""
    old, new = tuple(before), tuple(after)
    for a, b in zip(old, new, strict=False):
        if a != b:
            return min(a.place.day, b.place.day)
    rest = old[len(new) :] or new[len(old) :]
    return rest[0].place.day if rest else None
