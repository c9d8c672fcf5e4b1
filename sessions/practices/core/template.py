"""The layout of a plan without names, as frozen values and as plain values for storage."""

from dataclasses import asdict, dataclass
from typing import Any, Self


@dataclass(frozen=True, slots=True)
class Stretch:
    """A block: minutes after the practice's start, and how long."""

    after: int
    minutes: int


@dataclass(frozen=True, slots=True)
class Spot:
    """A station, by what its place is like: name, kind and surface of the area."""

    name: str
    kind: str
    surface: str


@dataclass(frozen=True, slots=True)
class Piece:
    """What is done in a block at a spot (their places in the layout; spot None: at no station).

    work: ``drill:<key>`` or ``activity:<key>``. steps: of the run.
    """

    block: int
    spot: int | None
    work: str
    steps: int | None = None


@dataclass(frozen=True, slots=True)
class Layout:
    blocks: tuple[Stretch, ...]
    spots: tuple[Spot, ...]
    pieces: tuple[Piece, ...]

    def to_row(self) -> dict[str, Any]:
        """Plain values for storage (JSON-safe)."""
        return {name: [asdict(one) for one in getattr(self, name)] for name in ("blocks", "spots", "pieces")}

    @classmethod
    def from_row(cls, row: dict[str, Any]) -> Self:
        """The layout that `to_row` wrote. KeyError or TypeError for anything else."""
        return cls(
            tuple(Stretch(**one) for one in row["blocks"]),
            tuple(Spot(**one) for one in row["spots"]),
            tuple(Piece(**one) for one in row["pieces"]),
        )
