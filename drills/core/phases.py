"""The phases of a run, counted backwards from take-off (landing 0), and the strip cells that a drill lights."""

from dataclasses import dataclass

from drills.core.catalogue import Cell, Drill, Phase

PLANT_STEPS = 3
"""The plant takes the last three steps, landing 3 to landing 0 (common practice)."""

DROP_STEPS = 3
"""The drop takes the three before, landing 6 to landing 3, unless an athlete's own length is set (common practice)."""

SHORTEST_WITH_DROP = PLANT_STEPS + DROP_STEPS
"""A plant run under six steps starts lowered."""

CELLS = {
    Phase.CARRY: (Cell.CARRY,),
    Phase.DROP: (Cell.STEP_6, Cell.STEP_5, Cell.STEP_4),
    Phase.PLANT: (Cell.STEP_3, Cell.STEP_2, Cell.STEP_1),
    Phase.CONTACT: (Cell.CONTACT,),
    Phase.ALL: tuple(Cell),
}


@dataclass(frozen=True, slots=True)
class RunPhases:
    """Steps spent in each phase; they sum to the run. lowered: steps walked or run with the drop already done."""

    carry: int
    lowered: int
    drop: int
    plant: int

    @property
    def drop_from(self) -> int | None:
        """Landing on which the drop begins, the mid mark's in a usual run; None where the run starts lowered."""
        return self.plant + self.drop if self.drop else None

    @property
    def plant_from(self) -> int:
        """Landing on which the plant begins."""
        return self.plant


def phases(n_steps: int, drop_steps: int = DROP_STEPS) -> RunPhases:
    """Split a run of n_steps. drop_steps: this athlete's length of drop, in steps.

    Raises ValueError for a run without a step or a drop without one. Odd counts are as good as even ones.
    """
    if n_steps < 1 or drop_steps < 1:
        raise ValueError("a run and a drop have at least one step")
    plant = min(PLANT_STEPS, n_steps)
    if n_steps < SHORTEST_WITH_DROP:
        return RunPhases(carry=0, lowered=n_steps - plant, drop=0, plant=plant)
    drop = min(drop_steps, n_steps - plant)
    return RunPhases(carry=n_steps - plant - drop, lowered=0, drop=drop, plant=plant)


def is_take_off_foot(landing: int) -> bool:
    """Whether this landing is on the take-off foot: left for a right-handed vaulter, right for a left-handed one."""
    return landing % 2 == 0


def in_lefts(n_steps: int) -> float:
    """A run counted in "lefts" (right-handers) or "rights" (left-handers): half its steps, so an odd run ends in .5."""
    return n_steps / 2


def lit_cells(drill: Drill) -> tuple[Cell, ...]:
    """The strip's cells that are part of this drill, in the order of the run; the others are drawn dashed."""
    lit = {cell for phase in drill.phases for cell in CELLS[phase]}
    return tuple(cell for cell in Cell if cell in lit)
