"""How a drill stands on the run strip: what it is about, and which part of the run it does not have."""

from collections.abc import Iterable
from dataclasses import dataclass
from typing import Protocol

from club.core.run_strip import STEPS


class Drill(Protocol):
    """What the strip asks of a drill, be it a row or a value of the catalogue."""

    phases: list[str]
    steps: list[int]
    last_landing: int
    areas: list[str]


@dataclass(frozen=True, slots=True)
class Strip:
    """Places as the `run_strip` tag takes them, parted by spaces. end: box or wall."""

    lit: str
    off: str
    end: str


def strip_of(phases: Iterable[str], steps: Iterable[int], last_landing: int, areas: Iterable[str]) -> Strip:
    """phases: of the drill; steps: it is done over, the longest counts; last_landing: where it ends; areas: where."""
    said = set(phases)
    lit = [place for place in ("carry", "drop", "plant", "contact") if place in said or "all" in said]
    first_landing = last_landing + max(steps, default=len(STEPS))
    off = [str(step) for step in STEPS if not last_landing < step <= first_landing]
    if first_landing < len(STEPS):
        off.append("carry")
    return Strip(" ".join(lit), " ".join(off), "wall" if "wall" in set(areas) else "box")


def drill_strip(drill: Drill, steps: int | None = None) -> Strip:
    """steps: of the run that was chosen, else the longest that the drill offers."""
    return strip_of(drill.phases, [steps] if steps else drill.steps, drill.last_landing, drill.areas)
