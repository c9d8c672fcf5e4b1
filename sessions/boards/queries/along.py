"""Along the run, for the page of one athlete: every checkpoint of the last weeks, the strip with them, what to mend."""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date
from uuid import UUID

from django.utils.translation import gettext as _

from athletes.models import Athlete
from club.core.marks import RepMark
from club.core.run_strip import STEPS, Hand, Place
from club.core.svg import Drawing
from club.members import Member
from club.roles import Permission
from sessions.boards import trend_words, words
from sessions.trends.core.rates import mondays
from sessions.trends.core.strip import PLACES, Bracket, Trend, draw
from sessions.trends.figures import WEEKS, Along, FoundLink, Links, along_the_run, links, signals
from sessions.trends.models import Signal

SHOWN_MARKS = 24
"""Reps drawn on one row of "mend this first"; more are said in the sentence alone."""
SHOWN_SIGNALS = 6


@dataclass(frozen=True, slots=True)
class Line:
    """A row of the table: cells and flag for its small strip. told: whether it is worth a look."""

    key: str
    name: str
    phase: str
    cells: tuple[str, ...]
    flag: str
    sentence: str
    trend: str
    told: bool
    faulty: int
    watched: int
    days: int
    weeks: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class Mend:
    """A link to mend first. with_earlier, without: marks of the later fault, with and without the earlier one."""

    sentence: str
    advice: str
    grounds: str
    earlier: str
    later: str
    with_earlier: tuple[RepMark, ...]
    without: tuple[RepMark, ...]


@dataclass(frozen=True, slots=True)
class Run:
    """drawing: None where nothing was watched. drawn: how many of the lines are on it. others: further links."""

    weeks: str
    mondays: tuple[date, ...]
    lines: tuple[Line, ...]
    drawing: Drawing | None
    drawn: int
    mend: Mend | None
    others: tuple[str, ...]
    no_link: str


def run(member: Member, athlete: Athlete, today: date) -> Run:
    """Four queries, five where a link was found."""
    found = along_the_run(member, athlete, today)
    linked = links(member, athlete, today)
    first = linked.found[0] if linked.found else None
    shown = _shown(found, first)
    weeks = mondays(today, WEEKS)
    return Run(
        weeks=trend_words.weeks_words(weeks[0], today),
        mondays=weeks,
        lines=tuple(_line(one) for one in found),
        drawing=_drawing(athlete.hand, shown, first) if found else None,
        drawn=len(shown),
        mend=_mend(first, linked) if first else None,
        others=tuple(trend_words.link_sentence(one) for one in linked.found[1:]),
        no_link="" if first else trend_words.no_link_words(linked),
    )


def _line(one: Along) -> Line:
    point = one.checkpoint
    cells = tuple(map(str, point.cells))
    flag = next((cell for cell in cells if one.faulty and cell in map(str, STEPS)), "")
    return Line(
        key=point.key,
        name=point.name,
        phase=point.phase,
        cells=cells,
        flag=flag,
        sentence=words.watched_words(one.faulty, one.watched),
        trend=trend_words.trend_words(one),
        told=one.signal is not None,
        faulty=one.faulty,
        watched=one.watched,
        days=one.days,
        weeks=tuple(f"{week.faulty}/{week.watched}" if week else "–" for week in one.weeks),
    )


def _place(one: Along) -> str:
    """The first place of the strip where the checkpoint is seen."""
    return str(one.checkpoint.cells[0]) if one.checkpoint.cells else ""


def _shown(found: Sequence[Along], first: FoundLink | None) -> dict[str, Along]:
    """For each place of the strip the checkpoint that matters most: of a link, worth a look, else the most watched."""
    linked = {first.earlier.pk, first.later.pk} if first else set()
    order = sorted(found, key=lambda one: (one.checkpoint.pk not in linked, one.signal is None, -one.watched))
    places = set(map(str, PLACES))
    shown: dict[str, Along] = {}
    for one in order:
        if _place(one) in places:
            shown.setdefault(_place(one), one)
    return shown


def _drawing(hand: Hand, shown: dict[str, Along], first: FoundLink | None) -> Drawing:
    trends = [_trend(shown[str(place)], place) for place in PLACES if str(place) in shown]
    bracket = None
    if first:
        places = {one.checkpoint.pk: place for place in PLACES if (one := shown.get(str(place)))}
        earlier, later = places.get(first.earlier.pk), places.get(first.later.pk)
        if earlier is not None and later is not None:
            bracket = Bracket(earlier, later, trend_words.bracket_words(first), trend_words.mend_words(first))
    phases = (_("carry"), _("drop: bottom hand comes down"), _("plant: top hand drives up"))
    return draw(hand, trends, bracket, phases)


def _trend(one: Along, place: Place) -> Trend:
    since = one.signal.since if one.signal else None
    loud = None
    if since:
        loud = next((n for n, week in enumerate(one.weeks) if week and (since - week.monday).days < 7), None)
    return Trend(place, one.checkpoint.name, one.weeks, one.usual, loud, trend_words.trend_words(one))


def _mend(one: FoundLink, found: Links) -> Mend:
    link = one.link
    return Mend(
        sentence=trend_words.link_sentence(one),
        advice=trend_words.mend_words(one),
        grounds=trend_words.link_grounds(one, found),
        earlier=one.earlier.name,
        later=one.later.name,
        with_earlier=_marks(link.both, link.with_earlier),
        without=_marks(link.later_only, link.without_earlier),
    )


def _marks(faulty: int, of: int) -> tuple[RepMark, ...]:
    """In proportion where there are too many to draw."""
    if of > SHOWN_MARKS:
        faulty, of = round(faulty * SHOWN_MARKS / of), SHOWN_MARKS
    return (RepMark.FAULTY,) * faulty + (RepMark.GOOD,) * (of - faulty)


# --- worth a look, on the week page


@dataclass(frozen=True, slots=True)
class Told:
    """A signal. cells, flag: for its small strip."""

    athlete: UUID
    name: str
    hand: str
    checkpoint: str
    what: str
    sentence: str
    cells: tuple[str, ...]
    flag: str


@dataclass(frozen=True, slots=True)
class WorthALook:
    """rows: the newest; more: how many are not shown; decides: whether the reader may set one aside."""

    rows: tuple[Told, ...]
    more: int
    decides: bool


def worth_a_look(member: Member, today: date) -> WorthALook:
    """One query."""
    found = signals(member, today)
    rows = tuple(_told(row) for row in found[:SHOWN_SIGNALS])
    return WorthALook(rows, len(found) - len(rows), member.may(Permission.DECIDE))


def _told(row: Signal) -> Told:
    cells = tuple(map(str, row.checkpoint.cells))
    flag = next((cell for cell in cells if cell in map(str, STEPS)), "")
    return Told(
        athlete=row.athlete_id,
        name=str(row.athlete),
        hand=row.athlete.hand,
        checkpoint=row.checkpoint.key,
        what=row.checkpoint.name,
        sentence=trend_words.signal_sentence(row),
        cells=cells,
        flag=flag,
    )
