"""The run strip: the last six steps of the run as six cells, drop and plant, running left to right toward the box.

Pure geometry. A step k opens at landing k and ends at landing k - 1; landing 0 is the take-off. `u` is the width of a
step on paper. Pages draw more over a strip (timing, trend, chain) by asking it for `landing_x`, `edge_y` and `u`.
"""

from collections.abc import Iterable
from dataclasses import dataclass
from functools import lru_cache
from typing import Literal, cast

from club.core.svg import Drawing, Shape, points, px, shape

Hand = Literal["right", "left"]
Foot = Literal["left", "right"]
End = Literal["box", "wall"]
Place = int | Literal["carry", "contact"]

STEPS = (6, 5, 4, 3, 2, 1)
DROP: tuple[Place, ...] = (6, 5, 4)
PLANT: tuple[Place, ...] = (3, 2, 1)
# Height of the working hand as a share of the strip: this silhouette is the signature, keep the numbers.
CARRY_EDGE, LOW_EDGE, HIGH_EDGE = 0.62, 0.36, 1.0
END_U = 0.8  # paper behind the take-off, in u
HEADROOM = 0.98  # share of the height above ground that the highest hand reaches
SOLE = (
    "M0-.2C0-3.2 1.6-4 3.8-3.9 6.5-3.7 8-3 10-3.6 13.5-4.9 16-5.8 19-5 21.3-4.3 22.2-2.2 22 .5 "
    "21.6 3.8 18 5.2 14 4.7 10.5 4.2 8 3.1 5 3.4 2 3.6 0 3 0-.2Z"
)
SOLE_LENGTH = 22.0


@dataclass(frozen=True, slots=True)
class StripSize:
    """One way to draw the strip. Lengths in px, except carry_u, end_u, box_from_u and box_long_u in steps."""

    width: float
    height: float
    ground_y: float
    head: float = 0.0  # kept free above the highest hand, for a flag or words
    foot: float = 0.0  # kept free below the soles, for words
    carry_u: float = 1.25
    end_u: float = END_U
    gap: float = 1.6
    feet: Literal["none", "bars", "soles"] = "bars"
    numbers: bool = False
    hand_line: bool = False
    box_from_u: float = 0.22
    box_long_u: float = 0.46
    box_deep: float = 6.0
    line_down: float = 0.7  # middle of the ground line below the cells
    number_up: float = 7.0  # foot of the step numbers above the cells' foot
    bar_wide: float = 8.0
    bar_high: float = 3.0
    bar_down: float = 2.2  # first row of bars below the cells
    name: str = ""


SIZES: dict[str, StripSize] = {
    "mark": StripSize(58, 24, 24, carry_u=0.26, gap=2, feet="none", name="mark"),
    "glyph": StripSize(56, 22, 22, carry_u=0.9, gap=1, feet="none", name="glyph"),
    "small": StripSize(84, 38, 30.4, head=10, name="small"),
    "medium": StripSize(132, 46, 36.8, head=8, name="medium"),
    "phone": StripSize(
        350, 170, 114, 14, carry_u=1.0, feet="soles", numbers=True, hand_line=True, box_deep=16, name="phone"
    ),
    # A drill without a run: nobody steps on anything, so no soles, no step numbers and no hand to take off with.
    "still": StripSize(350, 134, 114, 14, carry_u=1.0, feet="none", box_deep=16, name="phone"),
    "drill": StripSize(
        860, 176, 120, 26, carry_u=1.1, feet="soles", numbers=True, hand_line=True, box_deep=16, name="drill"
    ),
    "wide": StripSize(1264, 242, 146, 60, 12, feet="soles", numbers=True, hand_line=True, box_deep=16, name="wide"),
    # The tablet's fault columns stand under carry, drop, plant and contact: four equal widths of three steps.
    "tablet": StripSize(
        760,
        62,
        46,
        carry_u=3,
        end_u=3,
        gap=3,
        numbers=True,
        box_from_u=70 / 190 * 3,
        box_long_u=64 / 190 * 3,
        box_deep=13,
        line_down=1.5,
        number_up=4,
        bar_wide=22,
        bar_high=6,
        bar_down=4,
        name="tablet",
    ),
}


@dataclass(frozen=True, slots=True)
class StripSpec:
    """What one strip says. Places are steps 6 to 1, "carry" and "contact".

    lit: what it is about. off: not part of the drill. flags: one thing to look at, on its step; two at most.
    """

    size: StripSize
    hand: Hand = "right"
    lit: frozenset[Place] = frozenset()
    off: frozenset[Place] = frozenset()
    flags: tuple[Place, ...] = ()
    end: End = "box"

    def __post_init__(self) -> None:
        if self.hand not in ("right", "left"):
            raise ValueError(f"A hand is right or left, not {self.hand!r}.")
        if self.end not in ("box", "wall"):
            raise ValueError(f"A run ends at a box or a wall, not at {self.end!r}.")
        if len(self.flags) > 2:
            raise ValueError("One flag a strip, two at most.")
        unknown = (self.lit | self.off | set(self.flags)) - {*STEPS, "carry", "contact"}
        if unknown:
            raise ValueError(f"Not a place on the strip: {unknown}.")


Places = str | int | Iterable[str | int]
GROUPS: dict[str, tuple[Place, ...]] = {"drop": DROP, "plant": PLANT}


def places_of(said: Places) -> tuple[Place, ...]:
    """Places from "4 3", "plant contact", 4 or a list of them; "drop" and "plant" stand for their three steps."""
    words = said.split() if isinstance(said, str) else [said] if isinstance(said, int) else list(said)
    found: list[Place] = []
    for word in map(str, words):
        found += GROUPS.get(word) or (cast(Place, int(word) if word.isdigit() else word),)
    return tuple(found)


def foot_of_landing(landing: int, hand: Hand) -> Foot:
    """Which foot stands on a landing counted back from take-off. Right-handed vaulters take off from the left foot."""
    even = landing % 2 == 0
    return "left" if even == (hand == "right") else "right"


def places_beyond(steps: int) -> frozenset[Place]:
    """Places that a run of so many steps does not have. Under six steps it starts lowered: no carry either."""
    if steps < 1:
        raise ValueError("A run has at least one step.")
    beyond = {k for k in STEPS if k > steps}
    return frozenset(beyond | {"carry"} if beyond else beyond)


@dataclass(frozen=True, slots=True)
class RunStrip:
    """A strip laid out on its paper; everything in px of its drawing."""

    spec: StripSpec

    @property
    def u(self) -> float:
        """Width of a step."""
        return self.spec.size.width / (self.spec.size.carry_u + len(STEPS) + self.spec.size.end_u)

    @property
    def tall(self) -> float:
        """Height of edge 1.0 above the ground."""
        return (self.spec.size.ground_y - self.spec.size.head) * HEADROOM

    def landing_x(self, landing: float) -> float:
        """Where a landing stands; between landings by share, so a late hand can be drawn at 2.4."""
        return (self.spec.size.carry_u + len(STEPS) - landing) * self.u

    def share_at(self, landing: float) -> float:
        """Height of the working hand at a landing (or between two), as a share of the strip."""
        if landing >= 6:
            return CARRY_EDGE
        if landing >= 3:
            return LOW_EDGE + (CARRY_EDGE - LOW_EDGE) * (landing - 3) / 3
        return HIGH_EDGE - (HIGH_EDGE - LOW_EDGE) * max(landing, 0) / 3

    def edge_y(self, landing: float) -> float:
        """Top edge of the silhouette at a landing."""
        return self.spec.size.ground_y - self.share_at(landing) * self.tall

    def middle_x(self, place: Place) -> float:
        """Middle of a cell; of the box or wall for the contact."""
        if place == "carry":
            return self.landing_x(6) / 2
        if place == "contact":
            return self.landing_x(0) + (self.spec.size.box_from_u + self.spec.size.box_long_u / 2) * self.u
        return self.landing_x(place - 0.5)

    def top_y(self, place: Place) -> float:
        """Top edge over the middle of a cell; the ground at the contact."""
        if place == "contact":
            return self.spec.size.ground_y
        return self.edge_y(6.5 if place == "carry" else place - 0.5)

    def drawing(self) -> Drawing:
        """All shapes of the strip, back to front."""
        size = self.spec.size
        shapes: list[Shape] = [*_cells(self)]
        if size.hand_line:
            shapes.append(_hand_line(self))
        if size.feet != "none":
            shapes += _ground(self)
        if size.numbers:
            shapes += _numbers(self)
        if size.feet != "none":
            shapes += _feet(self)
        shapes += [_flag(self, place) for place in self.spec.flags]
        return Drawing(size.width, size.height, f"rs {size.name}".strip(), tuple(shapes))


@lru_cache(maxsize=512)
def run_strip(spec: StripSpec) -> Drawing:
    """The drawing of a spec. Kept, because a board repeats the same few strips."""
    return RunStrip(spec).drawing()


def _state(spec: StripSpec, place: Place) -> str:
    return " off" if place in spec.off else " on" if place in spec.lit else ""


def _cells(strip: RunStrip) -> list[Shape]:
    size, spec = strip.spec.size, strip.spec
    cells = []
    carry_width = strip.landing_x(6) - size.gap
    if carry_width > size.gap:
        top = strip.edge_y(6)
        cells.append(
            shape("rect", "c" + _state(spec, "carry"), x=0, y=top, width=carry_width, height=size.ground_y - top)
        )
    for k in STEPS:
        left, right = strip.landing_x(k), strip.landing_x(k - 1) - size.gap
        corners = points(
            (left, strip.edge_y(k)), (right, strip.edge_y(k - 1)), (right, size.ground_y), (left, size.ground_y)
        )
        cells.append(shape("polygon", ("d" if k > 3 else "p") + _state(spec, k), points=corners))
    return cells


def _hand_line(strip: RunStrip) -> Shape:
    """Top edge as one line, over the part of the run that the drill has."""
    first = next((k for k in STEPS if k not in strip.spec.off), 1)
    bends = [landing for landing in (6, 3, 0) if landing < first]
    last = next((k - 1 for k in reversed(STEPS) if k not in strip.spec.off), 0)
    bends = [first, *(landing for landing in bends if landing > last), last]
    corners = [(strip.landing_x(landing), strip.edge_y(landing)) for landing in bends]
    if "carry" not in strip.spec.off and first == 6:
        corners.insert(0, (0.0, strip.edge_y(6)))
    return shape("polyline", "hand", points=points(*corners))


def _ground(strip: RunStrip) -> list[Shape]:
    return _wall(strip) if strip.spec.end == "wall" else _box(strip)


def _box(strip: RunStrip) -> list[Shape]:
    """Ground that dips into the box: dip filled where the tip contact is lit, none where it is no part of the drill."""
    size = strip.spec.size
    y = size.ground_y + size.line_down
    start = strip.landing_x(0) + size.box_from_u * strip.u
    long = size.box_long_u * strip.u
    deep = min(size.box_deep, 0.75 * (size.height - size.ground_y))
    if "contact" in strip.spec.off:
        return [shape("path", "ground", d=f"M0 {px(y)}H{px(size.width)}")]
    shapes = [shape("path", "ground", d=f"M0 {px(y)}H{px(start)}l{px(long)} {px(deep)}v{px(-deep)}H{px(size.width)}")]
    if "contact" in strip.spec.lit:
        shapes.append(shape("path", "dip", d=f"M{px(start)} {px(y)}l{px(long)} {px(deep)}v{px(-deep)}z"))
    return shapes


def _wall(strip: RunStrip) -> list[Shape]:
    """Level ground and an upright wall; a dot at its foot where the tip contact is lit."""
    size, u = strip.spec.size, strip.u
    y = size.ground_y + size.line_down
    left, thick, radius = strip.landing_x(0) + 0.52 * u, max(2.5, 0.08 * u), max(2.2, 0.07 * u)
    shapes = [
        shape("path", "ground", d=f"M0 {px(y)}H{px(size.width)}"),
        shape("rect", "wall", x=left, y=size.head, width=thick, height=size.ground_y - size.head),
    ]
    if "contact" in strip.spec.lit:
        shapes.append(shape("circle", "tip", cx=left - thick - 1, cy=y - 0.8 * radius, r=radius))
    return shapes


def _numbers(strip: RunStrip) -> list[Shape]:
    y = strip.spec.size.ground_y - strip.spec.size.number_up
    shapes = []
    for k in STEPS:
        if k not in strip.spec.off:
            on = ("on-drop" if k > 3 else "on-plant") if k in strip.spec.lit else ""
            shapes.append(shape("text", on, x=strip.middle_x(k), y=y, text_anchor="middle", text=str(k)))
    return shapes


def _feet(strip: RunStrip) -> list[Shape]:
    """Soles on the landings of the steps that are part of the drill."""
    off = strip.spec.off
    stood_on = [n for n in range(6, -1, -1) if any(k in STEPS and k not in off for k in (n, n + 1))]
    draw = _sole if strip.spec.size.feet == "soles" else _bar
    return [draw(strip, landing) for landing in stood_on]


def _sole(strip: RunStrip, landing: int) -> Shape:
    """Upper row left and solid, lower row right, open and mirrored."""
    size = strip.spec.size
    scale = min(40.0, 0.52 * strip.u) / SOLE_LENGTH
    room = size.height - size.ground_y - size.foot
    left = foot_of_landing(landing, strip.spec.hand) == "left"
    x = strip.landing_x(landing) - scale * SOLE_LENGTH / 2
    y = size.ground_y + (0.32 if left else 0.72) * room
    turn = f"translate({px(x)} {px(y)}) scale({scale:.2f} {scale if left else -scale:.2f})"
    return shape("path", "foot" if left else "foot r", d=SOLE, transform=turn)


def _bar(strip: RunStrip, landing: int) -> Shape:
    """The same as a small bar, 8 × 3 at most beside words."""
    size = strip.spec.size
    wide = min(size.bar_wide, 0.5 * strip.u)
    high = min(size.bar_high, 0.375 * (size.height - size.ground_y - 2))
    left = foot_of_landing(landing, strip.spec.hand) == "left"
    y = size.ground_y + size.bar_down + (0 if left else high + 0.6)
    x = strip.landing_x(landing) - wide / 2
    return shape("rect", "dot" if left else "dot r", x=x, y=y, width=wide, height=high, rx=high / 2)


def _flag(strip: RunStrip, place: Place) -> Shape:
    """Ink triangle, point down, 3 px above the top edge of its cell (above the ground at the contact)."""
    return shape("path", "flag", d=f"M{px(strip.middle_x(place) - 5)} {px(strip.top_y(place) - 11)}h10l-5 8z")
