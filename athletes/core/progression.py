"""The progression as the opening rules need it: drills with their risk class, needs and entry drill."""

import enum
from bisect import bisect_right
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, field
from datetime import date
from typing import Any, Self

from drills.core.progression import behind, find_cycle, opens


class Risk(enum.Enum):
    """What going wrong costs: nothing on the floor, a fall when moving, a back at wall or box."""

    FLOOR = "floor"
    MOVING = "moving"
    CONTACT = "contact"


@dataclass(frozen=True, slots=True)
class Drill:
    """needs: keys of the drills it needs; entry: the one of them whose settling leads to contact (contact drills
    only). A contact drill that names none opens by placement alone."""

    key: str
    risk: Risk
    needs: tuple[str, ...] = ()
    entry: str | None = None

    def to_row(self) -> dict[str, Any]:
        """Plain values for storage (JSON-safe)."""
        return {"key": self.key, "risk": self.risk.value, "needs": list(self.needs), "entry": self.entry}

    @classmethod
    def from_row(cls, row: Mapping[str, Any]) -> Self:
        """The drill that `to_row` wrote. KeyError or ValueError for anything else."""
        return cls(row["key"], Risk(row["risk"]), tuple(row["needs"]), row["entry"])


class UnknownDrill(LookupError):
    """A rep or a decision names a drill that the progression does not hold."""


@dataclass(frozen=True, slots=True)
class Progression:
    """Drills by key, archived ones with reps included. Make it with `of`, which refuses what has no meaning."""

    drills: Mapping[str, Drill]
    opens: Mapping[str, tuple[str, ...]] = field(repr=False)
    """drill → the drills that need it."""

    @classmethod
    def of(cls, drills: Iterable[Drill]) -> Self:
        """ValueError for needs that are no drill, a cycle, or a contact drill whose entry drill is not one of its
        needs."""
        by_key = {drill.key: drill for drill in drills}
        graph = {key: drill.needs for key, drill in by_key.items()}
        for drill in by_key.values():
            if missing := [need for need in drill.needs if need not in by_key]:
                raise ValueError(f"{drill.key} needs {', '.join(missing)}, which is no drill")
            if drill.risk is Risk.CONTACT and drill.entry is not None and drill.entry not in drill.needs:
                raise ValueError(f"contact drill {drill.key} must name one of its needs as its entry drill")
        if cycle := find_cycle(graph):
            raise ValueError(f"needs go round: {' needs '.join(cycle)}")
        return cls(by_key, {key: opens(key, graph) for key in graph})

    def drill(self, key: str) -> Drill:
        """Raises UnknownDrill."""
        try:
            return self.drills[key]
        except KeyError:
            raise UnknownDrill(key) from None

    def on(self, day: date) -> Self:
        """The same on every day: it never changed."""
        return self

    def rests_on(self, drill: Drill) -> tuple[str, ...]:
        """The needs that must be settled by figures before this drill opens: its entry drill and its contact needs."""
        return tuple(need for need in drill.needs if need == drill.entry or self.drills[need].risk is Risk.CONTACT)

    def placed_below(self, key: str) -> tuple[str, ...]:
        """The floor and moving drills behind this one. Who places an athlete here places them there too, one event
        each; a contact drill is only ever placed by its own name."""
        graph = {k: d.needs for k, d in self.drills.items()}
        far = behind(self.drill(key).key, graph)
        return tuple(k for k, d in self.drills.items() if k in far and d.risk is not Risk.CONTACT)


@dataclass(frozen=True, slots=True)
class Edition:
    """The drills of a progression from the day `since` on."""

    since: date
    drills: tuple[Drill, ...]


class Editions:
    """A progression that was edited: what was in force on each day, so that an edit undoes nothing that was open.

    Days before the first edition go by the first. A drill that came later is known on earlier days too, as it was when
    it came: a rep of it may be logged for a practice before that day. Raises ValueError for no edition, and what
    `Progression.of` raises.
    """

    def __init__(self, editions: Iterable[Edition]) -> None:
        ordered = sorted(editions, key=lambda edition: edition.since)
        if not ordered:
            raise ValueError("a progression has at least one edition")
        self.days = [edition.since for edition in ordered]
        self.progressions = [Progression.of(_with_later(ordered[place:])) for place in range(len(ordered))]

    def on(self, day: date) -> Progression:
        """The progression in force on that day."""
        return self.progressions[max(0, bisect_right(self.days, day) - 1)]

    @property
    def latest(self) -> Progression:
        return self.progressions[-1]


def _with_later(editions: Sequence[Edition]) -> Iterable[Drill]:
    """The drills of the first of these editions, and those that only later ones have."""
    found: dict[str, Drill] = {}
    for edition in editions:
        for drill in edition.drills:
            found.setdefault(drill.key, drill)
    return found.values()
