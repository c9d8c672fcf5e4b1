"""Words of the squad board: its first line, its key, and each of its cells."""

from collections.abc import Mapping
from dataclasses import dataclass

from django.utils.translation import gettext as _
from django.utils.translation import ngettext

from sessions.boards.core import CellState, Figures
from sessions.boards.words import advice_name, high_percent, low_percent


class CellWords:
    """Says cells of the squad board, up to a thousand in a row: each phrase is looked up once, in today's language."""

    def __init__(self) -> None:
        self.pattern = _("%(athlete)s, %(drill)s: %(advice)s")
        self.range = _("likely range %(low)s to %(high)s")
        self.names = {state: advice_name(state) for state in CellState}
        self.counts: dict[int, str] = {}

    def say(self, athlete: str, drill: str, state: CellState, figures: Figures | None, shut: str = "") -> str:
        """The whole cell in words; "" for an empty one. shut: that it is not open, where reps were counted."""
        if state is CellState.UNTRIED:
            return ""
        advice = f"{self.names[state]}, {shut}" if shut else self.names[state]
        said = self.pattern % {"athlete": athlete, "drill": drill, "advice": advice}
        if figures is None or not figures.reps:
            return said
        ends = {"low": low_percent(figures.low), "high": high_percent(figures.high)}
        return f"{said}, {self.range % ends}, {self._count(figures.reps)}"

    def _count(self, reps: int) -> str:
        if reps not in self.counts:
            self.counts[reps] = ngettext("%(n)d rep counted", "%(n)d reps counted", reps) % {"n": reps}
        return self.counts[reps]


def board_sentence(athletes: int, drills: int) -> str:
    return _("%(athletes)s along %(drills)s, furthest first.") % {
        "athletes": ngettext("%(n)d vaulter", "%(n)d vaulters", athletes) % {"n": athletes},
        "drills": ngettext("%(n)d drill", "%(n)d drills", drills) % {"n": drills},
    }


@dataclass(frozen=True, slots=True)
class KeyEntry:
    """One line of the board's key: how a cell of this state looks, what it says, how many there are."""

    state: CellState
    words: str
    count: int


KEY = (
    CellState.AHEAD,
    CellState.KEEP_ON,
    CellState.TOO_LITTLE_SEEN,
    CellState.EASIER_DRILL,
    CellState.NO_REPS,
    CellState.UNTRIED,
    CellState.SETTLED,
    CellState.HELD,
)


def key_entries(counts: Mapping[CellState, int]) -> list[KeyEntry]:
    return [KeyEntry(state, advice_name(state), counts.get(state, 0)) for state in KEY]
