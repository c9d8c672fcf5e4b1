"""Stored events as the derivation sees them, and what it says of those that it cannot use by itself."""

from collections.abc import Mapping
from dataclasses import dataclass, field
from uuid import UUID

from athletes.core.sequence import Place
from sessions.reps.core.events import Content, Kind, SetOfReps
from sessions.reps.core.identity import set_rep


@dataclass(frozen=True, slots=True)
class Stored:
    """An accepted event. place: where it stands in the order, by the corrected clock.

    corrects_others, brings_back: what its author was allowed at acceptance, or a coach granted since.
    blocked: a coach has not let it in yet, or has dropped it; it makes no rows, but it is there.
    attached: the rep that a coach has said a look without one belongs to.
    """

    uuid: UUID
    kind: Kind
    place: Place
    by: UUID
    content: Content
    corrects_others: bool = False
    brings_back: bool = False
    blocked: bool = False
    attached: UUID | None = None

    @property
    def target(self) -> UUID:
        return getattr(self.content, "target", None) or self.uuid


@dataclass(frozen=True, slots=True)
class Need:
    """An event that waits for a coach, and why: a code of ``sessions.reps.words``. target: what it speaks of."""

    event: UUID
    reason: str
    target: UUID | None = None


@dataclass(frozen=True, slots=True)
class Catalogue:
    """What drills offer and which checkpoint a fault belongs to, by key."""

    offers: Mapping[str, frozenset[str]]
    checkpoint_of: Mapping[str, str]
    unsafe_faults: frozenset[str] = frozenset()

    def fits(self, drill: str, watched: frozenset[str], faults: frozenset[str]) -> bool:
        """Whether the drill offers all of this."""
        offered = self.offers.get(drill, frozenset())
        return watched <= offered and all(self.checkpoint_of.get(fault) in offered for fault in faults)

    def offered(self, drill: str, watched: frozenset[str], faults: frozenset[str]) -> tuple[frozenset[str], ...]:
        """What of this the drill offers."""
        offered = self.offers.get(drill, frozenset())
        return watched & offered, frozenset(f for f in faults if self.checkpoint_of.get(f) in offered)

    def unsafe(self, faults: frozenset[str]) -> bool:
        return bool(faults & self.unsafe_faults)


@dataclass(frozen=True, slots=True)
class Family:
    """Events that speak of each other, sorted out: what is void, and which corrections and looks have a target.

    corrections, looks: by what they speak of, voided and blocked ones left out.
    """

    gone: frozenset[UUID]
    corrections: Mapping[UUID, tuple[Stored, ...]]
    looks: tuple[Stored, ...]
    needs: tuple[Need, ...]


@dataclass(slots=True)
class _Sorting:
    events: dict[UUID, Stored]
    owner: dict[UUID, Stored] = field(default_factory=dict)
    needs: list[Need] = field(default_factory=list)


VOIDABLE = frozenset({Kind.REP, Kind.SET, Kind.LOOK, Kind.NOTE, Kind.CORRECTION, Kind.ADJUSTMENT})
CORRECTABLE = frozenset({Kind.REP, Kind.SET, Kind.LOOK})


def sort_out(events: Mapping[UUID, Stored]) -> Family:
    """What each void, correction and look among the events does. Nothing depends on their order."""
    sorting = _Sorting(dict(events), _owners(events))
    usable = sorted((e for e in events.values() if not e.blocked), key=lambda e: e.place)
    gone = frozenset(e.target for e in usable if e.kind is Kind.VOID and _speaks_of(sorting, e, VOIDABLE))
    alive = [e for e in usable if e.uuid not in gone]
    corrections: dict[UUID, tuple[Stored, ...]] = {}
    for e in alive:
        if e.kind is Kind.CORRECTION and _speaks_of(sorting, e, CORRECTABLE):
            corrections[e.target] = (*corrections.get(e.target, ()), e)
    looks = tuple(e for e in alive if e.kind is Kind.LOOK)
    sorting.needs += [
        Need(e.uuid, "no_target", e.target) for e in looks if e.target != e.uuid and e.target not in sorting.owner
    ]
    return Family(gone, corrections, looks, tuple(sorting.needs))


def _owners(events: Mapping[UUID, Stored]) -> dict[UUID, Stored]:
    """Who is meant by a uuid: the event itself, or the set whose rep has that uuid."""
    owner = dict(events)
    for e in events.values():
        if isinstance(e.content, SetOfReps):
            owner |= {set_rep(e.uuid, place): e for place in range(1, e.content.done + 1)}
    return owner


def _speaks_of(sorting: _Sorting, e: Stored, kinds: frozenset[Kind]) -> bool:
    """Whether the event's target is there, of a kind that it can speak of, and its author's to change."""
    meant = sorting.owner.get(e.target)
    if meant is None:
        reason = "no_target"
    elif meant.kind not in kinds:
        reason = "does_not_fit"
    elif meant.by != e.by and not e.corrects_others:
        reason = "not_yours"
    else:
        return True
    sorting.needs.append(Need(e.uuid, reason, e.target))
    return False
