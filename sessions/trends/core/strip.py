"""The run strip with weeks under it: for each place one checkpoint, one upright a week; and a bracket for a link.

Pure geometry on a strip of size "trend"; the words are given by whoever draws.
"""

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass

from club.core.run_strip import STEPS, Hand, Place, RunStrip, StripSize, StripSpec
from club.core.svg import Drawing, Shape, px, shape
from sessions.trends.core.rates import WeekRate

SIZE = StripSize(
    1324, 346, 158, 74, 156, carry_u=1.15, feet="soles", numbers=True, hand_line=True, box_deep=15, name="trend"
)
PLACES: tuple[Place, ...] = ("carry", *STEPS, "contact")
NONE_Y, ALL_Y, NAME_Y, WORDS_Y = 324.0, 232.0, 216.0, 344.0
BRACKET_Y = 58.0
TEXT_ROOM = 560.0
"""What a bracket's words need to the right of where they begin."""


@dataclass(frozen=True, slots=True)
class Trend:
    """One checkpoint's weeks under its place. weeks: oldest first, None where nothing was watched; usual: a share;
    loud_from: the week from which it is worth a look, by its number in `weeks`; words: below it, bold where loud."""

    place: Place
    name: str
    weeks: tuple[WeekRate | None, ...]
    usual: float | None
    loud_from: int | None
    words: str


@dataclass(frozen=True, slots=True)
class Bracket:
    """From the earlier fault's place to the later one's, with two lines of words above."""

    earlier: Place
    later: Place
    words: str
    advice: str


def draw(hand: Hand, trends: Sequence[Trend], bracket: Bracket | None, phases: tuple[str, str, str]) -> Drawing:
    """phases: words over carry, drop and plant."""
    lit = {bracket.earlier, bracket.later} if bracket else {t.place for t in trends if t.loud_from is not None}
    strip = RunStrip(StripSpec(SIZE, hand=hand, lit=frozenset(lit)))
    shapes = [*_phases(strip, phases, covered=bracket is not None and bracket.later in (2, 1, "contact"))]
    for trend in trends:
        shapes += _trend(strip, trend)
    if bracket:
        shapes += _bracket(strip, bracket)
    return strip.drawing().over(shapes)


def _phases(strip: RunStrip, words: tuple[str, str, str], covered: bool) -> Iterator[Shape]:
    """covered: a bracket comes down where the words over the plant would stand."""
    carry, drop, plant = words
    up = strip.edge_y(6) - 8
    yield shape("text", "soft", x=0, y=up, text=carry)
    yield shape("text", "td", x=strip.landing_x(6) + 4, y=up, text=drop)
    if not covered:
        yield shape("text", "tp", x=strip.landing_x(0) - 6, y=strip.edge_y(0) - 8, text_anchor="end", text=plant)


def _ends(strip: RunStrip, place: Place) -> tuple[float, float]:
    """Left and right of the place's column."""
    if place == "carry":
        return 0.0, strip.landing_x(6) - 18
    if place == "contact":
        return strip.landing_x(0), strip.spec.size.width
    return strip.landing_x(place), strip.landing_x(place - 1) - 18


def level(share: float) -> float:
    """Where a share stands: none at the bottom, all at the top."""
    return NONE_Y - share * (NONE_Y - ALL_Y)


def _trend(strip: RunStrip, trend: Trend) -> Iterator[Shape]:
    left, right = _ends(strip, trend.place)
    yield shape("text", "name", x=left, y=NAME_Y, text=trend.name)
    for share, css in ((0.0, "axis"), (0.5, "axis dots"), (1.0, "axis dots")):
        yield shape("line", css, x1=left, x2=right, y1=level(share), y2=level(share))
    if trend.usual is not None:
        yield shape("line", "usual", x1=left, x2=right, y1=level(trend.usual), y2=level(trend.usual))
    step = (right - left) / max(1, len(trend.weeks))
    for number, week in enumerate(trend.weeks):
        if week:
            loud = trend.loud_from is not None and number >= trend.loud_from
            yield from upright(left + (number + 0.5) * step, week, loud)
    if trend.loud_from is not None:
        x = left + (trend.loud_from + 0.5) * step
        yield shape("path", "flag", d=f"M{px(x - 5)} {px(ALL_Y - 8)}h10l-5 8z")
    css = "soft" if trend.loud_from is None else ""
    yield shape("text", css, x=left, y=WORDS_Y, text=trend.words)


def upright(x: float, week: WeekRate, loud: bool = False) -> Iterator[Shape]:
    """A week's rate with its interval; broken where little was watched."""
    ends = week.interval
    css = "week" + (" loud" if loud else " few" if week.few else "")
    yield shape("line", css, x1=x, x2=x, y1=level(ends.low), y2=level(ends.high))
    if not week.few or loud:
        yield shape("line", "at", x1=x - 5, x2=x + 5, y1=level(week.rate), y2=level(week.rate))


def _bracket(strip: RunStrip, bracket: Bracket) -> Iterable[Shape]:
    start, end = strip.middle_x(bracket.earlier), strip.middle_x(bracket.later)
    low, tip = strip.top_y(bracket.earlier), strip.top_y(bracket.later) - 3
    x = min(start - 10, strip.spec.size.width - TEXT_ROOM)
    return (
        shape("path", "arc", d=f"M{px(start)} {px(low)}V{px(BRACKET_Y)}H{px(end)}V{px(tip - 6)}"),
        shape("path", "flag", d=f"M{px(end - 6)} {px(tip - 9)}h12l-6 9z"),
        shape("circle", "flag", cx=start, cy=low, r=4.5),
        shape("text", "loud", x=x, y=22, text=bracket.words),
        shape("text", "soft", x=x, y=44, text=bracket.advice),
    )
