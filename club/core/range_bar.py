"""The range bar: where the good rate likely lies, on a line from 0 to 100, with the club's two lines on it.

Pure geometry; shares are 0 to 1. No reps give no bar, and a percentage never stands without its range.
"""

from dataclasses import dataclass
from enum import StrEnum

from club.core.svg import Drawing, Shape, shape


class Advice(StrEnum):
    """What readiness advises for an athlete and a drill (the coach decides)."""

    SETTLED = "settled"
    KEEP_ON = "keep on"
    EASIER_DRILL = "easier drill"
    NO_REPS_YET = "no reps yet"
    TOO_LITTLE_SEEN = "too little seen"

    @classmethod
    def of(cls, name: str) -> "Advice":
        """The advice of that name; dashes and underscores count as blanks. Raises ValueError for an unknown name."""
        return cls(name.strip().lower().replace("_", " ").replace("-", " "))


@dataclass(frozen=True, slots=True)
class BarSize:
    """One way to draw the bar. Lengths in px; the half heights are measured from the middle line."""

    width: float
    height: float
    middle_y: float
    margin: float
    box_half: float
    estimate_half: float
    filled_estimate_half: float
    settle_half: float
    easier_half: float
    corner: float
    easier_always: bool = True
    words: tuple[float, ...] = ()  # shares with their figure below, besides the settle line
    text_y: float | None = None
    name: str = ""


def _line(width: float, height: float, name: str) -> BarSize:
    middle = height / 2 - 6
    return BarSize(width, height, middle, 6, 6.5, 8.5, 4.5, 10.5, 8.5, 1.5, text_y=height - 1, name=name)


SIZES: dict[str, BarSize] = {
    "bar": _line(260, 40, "bar"),
    "row": _line(164, 36, "row"),
    "phone": _line(350, 40, "phone"),
    # In a squad cell the settle line runs through the full height, so that a column reads as one gate.
    "cell": BarSize(62, 26, 13, 2, 6, 8, 4, 13, 7.5, 0, easier_always=False, name="cell"),
    "key": BarSize(236, 44, 16, 4, 7, 10, 5, 12, 9, 1.5, words=(0.0, 0.5, 1.0), text_y=41, name="key"),
}
LOOKS = {
    Advice.SETTLED: "on",
    Advice.KEEP_ON: "keep",
    Advice.EASIER_DRILL: "back",
    Advice.TOO_LITTLE_SEEN: "few",
}


@dataclass(frozen=True, slots=True)
class BarSpec:
    """What one bar says. low ≤ estimate ≤ high, the likely range; settle_at and easier_at are the club's settings."""

    size: BarSize
    advice: Advice
    low: float = 0.0
    estimate: float = 0.0
    high: float = 0.0
    settle_at: float = 0.65
    easier_at: float = 0.50

    def __post_init__(self) -> None:
        if self.advice is not Advice.NO_REPS_YET and not 0 <= self.low <= self.estimate <= self.high <= 1:
            raise ValueError(f"Not a likely range: {self.low}, {self.estimate}, {self.high}.")
        if not 0 < self.easier_at <= self.settle_at < 1:
            raise ValueError(f"Not two lines: {self.easier_at}, {self.settle_at}.")

    def x(self, share: float) -> float:
        """Where a share stands on the line."""
        return self.size.margin + share * (self.size.width - 2 * self.size.margin)


def range_bar(spec: BarSpec) -> Drawing | None:
    """The drawing; None where there is nothing to draw, because no rep has counted yet."""
    if spec.advice is Advice.NO_REPS_YET:
        return None
    size = spec.size
    shapes = [shape("line", "track", x1=size.margin, x2=size.width - size.margin, y1=size.middle_y, y2=size.middle_y)]
    if size.easier_always or spec.advice is Advice.EASIER_DRILL:
        shapes.append(_upright(spec, "g5", spec.easier_at, size.easier_half, stroke_dasharray="2 2"))
    shapes += [_box(spec), _estimate(spec), _upright(spec, "g", spec.settle_at, size.settle_half), *_figures(spec)]
    return Drawing(size.width, size.height, f"rb {size.name}".strip(), tuple(shapes))


def _upright(spec: BarSpec, css_class: str, share: float, half: float, **attrs: str) -> Shape:
    x, middle = spec.x(share), spec.size.middle_y
    return shape("line", css_class, x1=x, x2=x, y1=middle - half, y2=middle + half, **attrs)


def _box(spec: BarSpec) -> Shape:
    """The likely range: filled settled, open keep on, hatched easier drill, dotted too little seen."""
    size, look = spec.size, LOOKS[spec.advice]
    left, right = spec.x(spec.low), spec.x(spec.high)
    fill = {"fill": "url(#hatch)"} if look == "back" else {}
    top = size.middle_y - size.box_half
    high = 2 * size.box_half
    return shape("rect", f"b {look}", x=left, y=top, width=right - left, height=high, rx=size.corner, **fill)


def _estimate(spec: BarSpec) -> Shape:
    look = LOOKS[spec.advice]
    half = spec.size.filled_estimate_half if look == "on" else spec.size.estimate_half
    return _upright(spec, f"e {look}", spec.estimate, half)


def _figures(spec: BarSpec) -> list[Shape]:
    size = spec.size
    if size.text_y is None:
        return []
    shown = sorted({*size.words, spec.settle_at})
    return [_figure(spec, share, size.text_y) for share in shown]


def _figure(spec: BarSpec, share: float, y: float) -> Shape:
    anchor = "start" if share == 0 else "end" if share == 1 else "middle"
    text = f"{round(share * 100)}" + (" %" if share == 1 else "")
    return shape("text", x=spec.x(share), y=y, text_anchor=anchor, text=text)
