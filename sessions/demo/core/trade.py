"""What of the catalogue the simulator needs, looked up once: drills, faults by checkpoint, what leads to what."""

from collections.abc import Iterable
from dataclasses import dataclass
from graphlib import TopologicalSorter

from athletes.core.progression import Drill as Step
from athletes.core.progression import Progression, Risk
from drills.core.catalogue import Catalogue, Drill, ViewingPlace


@dataclass(frozen=True, slots=True)
class Trade:
    """All by key.

    depth: of each drill, how many lie behind it on the longest way; faults: of each checkpoint, unsafe ones left out;
    leads: fault or cause → what it leads to; order: checkpoints so that each comes after those whose faults lead to
    its own; place: order of the run.
    """

    drills: dict[str, Drill]
    depth: dict[str, int]
    progression: Progression
    faults: dict[str, tuple[str, ...]]
    checkpoint_of: dict[str, str]
    leads: dict[str, tuple[str, ...]]
    order: tuple[str, ...]
    place: dict[str, int]
    seen_from: dict[str, frozenset[ViewingPlace]]

    def offered(self, drill: Drill, steps: int | None) -> tuple[str, ...]:
        """The checkpoints that the drill offers with a run of so many steps, in the order of ``order``."""
        offered = {offer.checkpoint for offer in drill.checkpoints if offer.from_steps <= (steps or 0)}
        return tuple(key for key in self.order if key in offered)

    def led_to(self, happened: Iterable[str], checkpoint: str) -> list[str]:
        """The faults of that checkpoint to which what happened leads."""
        reached = (to for source in sorted(happened) for to in self.leads.get(source, ()))
        return [fault for fault in reached if self.checkpoint_of[fault] == checkpoint]

    def seen_together(self, checkpoints: Iterable[str]) -> bool:
        """Whether one who stands in one place sees them all. The top-hand side is a side."""
        places = [_widened(self.seen_from[key]) for key in checkpoints]
        return bool(frozenset.intersection(*places))


def _widened(places: frozenset[ViewingPlace]) -> frozenset[ViewingPlace]:
    if ViewingPlace.ANYWHERE in places:
        return frozenset(ViewingPlace)
    return places | ({ViewingPlace.TOP_HAND_SIDE} if ViewingPlace.SIDE in places else frozenset())


def read_trade(catalogue: Catalogue) -> Trade:
    drills = {drill.key: drill for drill in catalogue.drills if not drill.retired}
    checkpoint_of = {fault.key: point.key for point in catalogue.checkpoints for fault in point.faults}
    leads: dict[str, tuple[str, ...]] = {}
    for link in catalogue.links:
        leads[link.source] = (*leads.get(link.source, ()), link.to)
    return Trade(
        drills=drills,
        depth=_depths(drills),
        progression=Progression.of(
            Step(drill.key, Risk(drill.risk.value), drill.needs, drill.entry_drill) for drill in drills.values()
        ),
        faults={p.key: tuple(f.key for f in p.faults if not f.unsafe) for p in catalogue.checkpoints},
        checkpoint_of=checkpoint_of,
        leads=leads,
        order=_causes_first([point.key for point in catalogue.checkpoints], checkpoint_of, leads),
        place={point.key: place for place, point in enumerate(catalogue.checkpoints)},
        seen_from={point.key: frozenset(point.seen_from) for point in catalogue.checkpoints},
    )


def _causes_first(
    checkpoints: list[str], checkpoint_of: dict[str, str], leads: dict[str, tuple[str, ...]]
) -> tuple[str, ...]:
    """Raises graphlib.CycleError if links go round."""
    before: dict[str, list[str]] = {key: [] for key in checkpoints}
    for source, reached in leads.items():
        for to in reached:
            if source in checkpoint_of and checkpoint_of[source] != checkpoint_of[to]:
                before[checkpoint_of[to]].append(checkpoint_of[source])
    return tuple(TopologicalSorter(before).static_order())


def _depths(drills: dict[str, Drill]) -> dict[str, int]:
    """A catalogue's needs never go round."""
    found: dict[str, int] = {}
    for key in TopologicalSorter({key: drill.needs for key, drill in drills.items()}).static_order():
        found[key] = 1 + max((found[need] for need in drills[key].needs), default=-1)
    return found
