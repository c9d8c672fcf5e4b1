"""Small marks: the pole of a verdict, reps in order of time, attendance, tries, and where a rep is safe."""

from collections.abc import Sequence
from dataclasses import dataclass
from enum import StrEnum

from club.core.range_bar import Advice
from club.core.svg import Drawing, Shape, px, shape


class RepMark(StrEnum):
    """One rep as it was seen."""

    GOOD = "good"
    FAULTY = "faulty"
    NOT_WATCHED = "not watched"

    @classmethod
    def of(cls, name: str) -> "RepMark":
        """The mark of that name; dashes and underscores count as blanks. Raises ValueError for an unknown name."""
        return cls(name.strip().lower().replace("_", " ").replace("-", " "))


@dataclass(frozen=True, slots=True)
class DotSize:
    """pitch: from rep to rep; radius of a good rep; side and tall of the triangle of a faulty one; all px."""

    pitch: float
    height: float
    radius: float
    side: float
    tall: float
    top: float
    stroke: float


DOT_SIZES = {"small": DotSize(21, 22, 7.4, 16, 14, 4, 2), "tablet": DotSize(34, 28, 11, 24, 22, 4, 2.4)}
UNWATCHED_RADIUS = 0.36  # of a good rep's: small enough that nobody takes one for the other
POLE_RAISED, POLE_LEVEL, POLE_LOWERED = ("M3 18 19 4", 7.8, 13.8), ("M2 11h18", 8.0, 11.0), ("M3 5 19 18", 7.8, 8.9)


def pole(advice: Advice) -> Drawing:
    """The pole itself: raised, level or lowered; dotted where too little was seen; a diamond before the first rep."""
    if advice is Advice.NO_REPS_YET:
        return Drawing(22, 22, "pole", (shape("path", "open", d="M11 5.5 16.5 11 11 16.5 5.5 11Z"),))
    path, x, y = {Advice.SETTLED: POLE_RAISED, Advice.EASIER_DRILL: POLE_LOWERED}.get(advice, POLE_LEVEL)
    dotted = {"stroke_dasharray": "1 5"} if advice is Advice.TOO_LITTLE_SEEN else {}
    return Drawing(22, 22, "pole", (shape("path", d=path, **dotted), shape("circle", cx=x, cy=y, r=3.3)))


def rep_dots(reps: Sequence[RepMark], size: DotSize, per_row: int = 12) -> Drawing:
    """Reps in order of time, row by row: good a solid dot, faulty an open triangle, not watched a small dot."""
    rows = max(1, -(-len(reps) // per_row))
    shapes = [
        _rep(mark, (i % per_row + 0.5) * size.pitch, i // per_row * size.height, size) for i, mark in enumerate(reps)
    ]
    return Drawing(min(len(reps), per_row) * size.pitch, rows * size.height, "dots", tuple(shapes))


def _rep(mark: RepMark, x: float, row_y: float, size: DotSize) -> Shape:
    middle = row_y + size.height / 2
    if mark is RepMark.FAULTY:
        half = size.side / 2
        path = f"M{px(x - half)} {px(row_y + size.top)}h{px(size.side)}l{px(-half)} {px(size.tall)}z"
        return shape("path", "faulty", d=path, stroke_width=size.stroke)
    if mark is RepMark.NOT_WATCHED:
        return shape("circle", "unwatched", cx=x, cy=middle, r=size.radius * UNWATCHED_RADIUS)
    return shape("circle", "good", cx=x, cy=middle, r=size.radius)


@dataclass(frozen=True, slots=True)
class BlockSize:
    """pitch: from practice to practice; a block wide × tall from top; a dash thin at dash_y; all px."""

    pitch: float
    height: float
    wide: float
    top: float
    tall: float
    dash_y: float
    thin: float
    corner: float


BLOCK_SIZES = {"small": BlockSize(12.5, 14, 9, 2, 10, 8.5, 1.5, 0), "phone": BlockSize(35, 30, 27, 2, 26, 26, 2, 1)}


def attendance_blocks(came: Sequence[bool], size: BlockSize) -> Drawing:
    """Practices in order of time, newest right: a block where they came, a low dash where not."""
    shapes = [_practice(there, i * size.pitch, size) for i, there in enumerate(came)]
    return Drawing(len(came) * size.pitch, size.height, "att", tuple(shapes))


def _practice(there: bool, x: float, size: BlockSize) -> Shape:
    if there:
        return shape("rect", "came", x=x, y=size.top, width=size.wide, height=size.tall, rx=size.corner)
    return shape("rect", "away", x=x, y=size.dash_y, width=size.wide, height=size.thin)


TRIES_WIDE, TRIES_A_ROW, TRIES_ROWS = 236.0, 20, 4


def tries_a_row(*watched: int) -> int:
    """Blocks in a row at which the longest of these has four rows at most, so that rows beside one another compare."""
    return max(TRIES_A_ROW, -(-max(watched, default=0) // TRIES_ROWS))


def tries(good: int, watched: int, per_row: int, phase: str = "") -> Drawing:
    """A block for each try that was watched, row by row: the good ones first and filled, the others open. 0 ≤ good ≤
    watched; no order of time. phase: drop and plant have their hue."""
    pitch = TRIES_WIDE / per_row
    side, stroke = pitch * 0.74, min(1.6, pitch * 0.14)
    shapes = [
        shape(
            "rect",
            "good" if n < good else "open",
            x=n % per_row * pitch + stroke,
            y=n // per_row * pitch + stroke,
            width=side,
            height=side,
            stroke_width=stroke,
        )
        for n in range(watched)
    ]
    rows = max(1, -(-watched // per_row))
    return Drawing(TRIES_WIDE, rows * pitch + stroke, f"tries {phase}".strip(), tuple(shapes))


class SyncState(StrEnum):
    """How safe logged reps are."""

    TABLET = "tablet"
    SERVER = "server"
    LOOK = "look"


SYNC_PATHS = {
    SyncState.TABLET: ("M5 12l5 5L21 5", "M4 23h18"),
    SyncState.SERVER: ("M5 10l5 5L21 3", "M4 20h18M4 24.5h18"),
    SyncState.LOOK: ("M13 3v11", "M13 18.2v.2", "M4 24h6M16 24h6"),
}


def sync_mark(state: SyncState) -> Drawing:
    """Tick over one line: safe on the tablet; over two: safe on the server; a broken line with a mark: needs a look."""
    return Drawing(26, 26, "tick", tuple(shape("path", d=path) for path in SYNC_PATHS[state]))
