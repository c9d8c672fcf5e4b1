"""What the reps of one athlete at one drill on one day add up to: pure, from deciding looks to day counts.

Choices made where the rule leaves room (the oracle in ``bare_counts.py`` states them again, in SQL):
- a rep that is void or waits for a coach is in no count; the unsafe mark of a waiting rep counts at once, for
  readiness alone;
- an *unsafe* rep is done (it is load) and its faults are counted, but it is never averaged: it is not counted for the
  drill and enters no checkpoint's rate and no pair;
- a fault *also noticed* (outside the watch set) is in the count of that fault and in nothing else. So a fault's count
  is a number of times, never the numerator of a rate;
- an *unnamed* fault makes the rep bad if its gate was watched. With one checkpoint watched, it was at that one; with
  several, nobody knows at which, so the rep enters no rate and no pair: it would be called good where it was not;
- a pair is told by what was watched: both checkpoints, on the same rep.
"""

import heapq
from collections import Counter, defaultdict
from collections.abc import Iterable, Iterator, Mapping, Sequence, Set
from dataclasses import dataclass
from datetime import UTC, date, datetime
from itertools import combinations

from athletes.core.readiness import Outcome, StartOver, outcome_of
from athletes.core.readiness import Rep as Attempt
from drills.core.catalogue import Phase

PHASES = tuple(Phase)
UNKNOWN = datetime.min.replace(tzinfo=UTC)


@dataclass(frozen=True, slots=True)
class SeenFault:
    """A fault on a look, by keys. inside: its checkpoint was in the watch set."""

    fault: str
    checkpoint: str
    inside: bool


@dataclass(frozen=True, slots=True)
class SeenRep:
    """A rep that is not void, with what its deciding look saw (nothing if it has none). watched: checkpoint keys.

    at: its moment, which parts it from a decision; reps alone are in order without it.
    """

    day: date
    watched: frozenset[str] = frozenset()
    faults: tuple[SeenFault, ...] = ()
    unnamed_fault: bool = False
    unsafe: bool = False
    waits: bool = False
    at: datetime = UNKNOWN


@dataclass(frozen=True, slots=True)
class Place:
    """Where a checkpoint stands in the catalogue. order: within the catalogue, from 0."""

    key: str
    phase: Phase
    order: int


@dataclass(frozen=True, slots=True)
class DrillCount:
    """Reps: 0 ≤ good ≤ counted ≤ done."""

    done: int
    counted: int
    good: int


@dataclass(frozen=True, slots=True)
class CheckpointCount:
    checkpoint: str
    watched: int
    faulty: int


@dataclass(frozen=True, slots=True)
class FaultCount:
    fault: str
    n: int


@dataclass(frozen=True, slots=True)
class PairCount:
    """Reps on which both were watched: where both, one or neither were faulty. earlier: in the order of the run."""

    earlier: str
    later: str
    both: int
    earlier_only: int
    later_only: int
    neither: int


@dataclass(frozen=True, slots=True)
class DayCounts:
    """All counts of one athlete, drill and day."""

    drill: DrillCount
    checkpoints: tuple[CheckpointCount, ...]
    faults: tuple[FaultCount, ...]
    pairs: tuple[PairCount, ...]


def run_order(places: Iterable[Place]) -> tuple[str, ...]:
    """Checkpoint keys in the order of the run: by phase, then as the catalogue lists them."""
    return tuple(p.key for p in sorted(places, key=lambda p: (PHASES.index(p.phase), p.order, p.key)))


def outcome(rep: SeenRep, gate: Set[str]) -> Outcome:
    """What the rep says about its drill. gate: keys of the drill's gate checkpoints."""
    faulty = gate if rep.unnamed_fault else faulty_checkpoints(rep)
    return outcome_of(gate, rep.watched, faulty, unsafe=rep.unsafe)


def enters_rates(rep: SeenRep) -> bool:
    """Whether what was watched on this rep may be averaged."""
    return not rep.unsafe and not (rep.unnamed_fault and len(rep.watched) > 1)


def faulty_checkpoints(rep: SeenRep) -> frozenset[str]:
    """The watched checkpoints that were surely faulty."""
    if rep.unnamed_fault and len(rep.watched) == 1:
        return rep.watched
    return frozenset(fault.checkpoint for fault in rep.faults if fault.inside) & rep.watched


def attempts(
    reps: Iterable[SeenRep], gate: Set[str], starts: Iterable[StartOver] = ()
) -> Iterator[Attempt | StartOver]:
    """The reps as readiness folds them, in the order given, and where the drill was started over among them."""
    Told = tuple[date, datetime, Attempt | StartOver]
    begun: Iterator[Told] = ((start.day, start.at, start) for start in starts)
    told: Iterator[Told] = (
        (rep.day, rep.at, Attempt(rep.day, outcome(rep, gate))) for rep in reps if rep.unsafe or not rep.waits
    )
    return (item for _day, _at, item in heapq.merge(begun, told, key=lambda told: told[:2]))


def count_days(reps: Iterable[SeenRep], gate: Set[str], order: Sequence[str]) -> dict[date, DayCounts]:
    """Counts by day. order: ``run_order`` of all checkpoints watched. A day on which no rep counts is not there."""
    days: defaultdict[date, list[SeenRep]] = defaultdict(list)
    for rep in reps:
        if not rep.waits:
            days[rep.day].append(rep)
    rank = {key: place for place, key in enumerate(order)}
    return {day: _count(found, gate, rank) for day, found in days.items()}


def _count(reps: Sequence[SeenRep], gate: Set[str], rank: Mapping[str, int]) -> DayCounts:
    rated = [rep for rep in reps if enters_rates(rep)]
    return DayCounts(
        drill=_count_drill(reps, gate),
        checkpoints=_count_checkpoints(rated),
        faults=_count_faults(reps),
        pairs=_count_pairs(rated, rank),
    )


def _count_drill(reps: Sequence[SeenRep], gate: Set[str]) -> DrillCount:
    said = Counter(outcome(rep, gate) for rep in reps)
    good = said[Outcome.GOOD]
    return DrillCount(done=len(reps), counted=good + said[Outcome.BAD], good=good)


def _count_checkpoints(reps: Iterable[SeenRep]) -> tuple[CheckpointCount, ...]:
    watched: Counter[str] = Counter()
    faulty: Counter[str] = Counter()
    for rep in reps:
        watched.update(rep.watched)
        faulty.update(faulty_checkpoints(rep))
    return tuple(CheckpointCount(key, n, faulty[key]) for key, n in sorted(watched.items()))


def _count_faults(reps: Iterable[SeenRep]) -> tuple[FaultCount, ...]:
    seen = Counter(fault.fault for rep in reps for fault in rep.faults)
    return tuple(FaultCount(key, n) for key, n in sorted(seen.items()))


def _count_pairs(reps: Iterable[SeenRep], rank: Mapping[str, int]) -> tuple[PairCount, ...]:
    tables: defaultdict[tuple[str, str], Counter[tuple[bool, bool]]] = defaultdict(Counter)
    for rep in reps:
        faulty = faulty_checkpoints(rep)
        for earlier, later in combinations(sorted(rep.watched, key=rank.__getitem__), 2):
            tables[earlier, later][earlier in faulty, later in faulty] += 1
    return tuple(
        PairCount(*pair, both=t[True, True], earlier_only=t[True, False], later_only=t[False, True],
                  neither=t[False, False])
        for pair, t in sorted(tables.items())
    )  # fmt: skip
