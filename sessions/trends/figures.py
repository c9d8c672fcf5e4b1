"""Reads of the figures that pages show of an athlete's past (``member`` first), bounded however long that is."""

from collections import defaultdict
from dataclasses import dataclass
from datetime import date, timedelta

from athletes.models import Athlete
from club.members import Member
from drills.core.catalogue import Phase
from drills.models import Checkpoint
from drills.models import Link as CatalogueLink
from sessions.trends.core.links import Link, Table, holding, link
from sessions.trends.core.rates import DayRate, WeekRate, by_day, by_week, mondays
from sessions.trends.core.signals import usual
from sessions.trends.models import DayCheckpoint, DayPair, Signal

WEEKS = 8
"""What is drawn along the run, and what links are looked for in."""
RUN = (Phase.CARRY, Phase.DROP, Phase.PLANT, Phase.CONTACT)
FRESH_DAYS = 28
"""A signal of somebody who has not been watched there for longer is not told any more."""


@dataclass(frozen=True, slots=True)
class Along:
    """One checkpoint over the last weeks. weeks: oldest first, None where nothing was watched; days: watched on;
    usual: share of faulty reps over them, None while too little was watched to say."""

    checkpoint: Checkpoint
    weeks: tuple[WeekRate | None, ...]
    watched: int
    faulty: int
    days: int
    usual: float | None
    signal: Signal | None


def along_the_run(member: Member, athlete: Athlete, today: date) -> list[Along]:
    """Every checkpoint watched in the last weeks, over all drills, in the order of the run. Two queries."""
    shown = mondays(today, WEEKS)
    rows = DayCheckpoint.objects.for_member(member).filter(athlete=athlete, day__gte=shown[0], watched__gt=0)
    days: defaultdict[Checkpoint, list[DayRate]] = defaultdict(list)
    points: dict[int, Checkpoint] = {}
    for row in rows.select_related("checkpoint").order_by("day"):
        point = points.setdefault(row.checkpoint_id, row.checkpoint)
        days[point].append(DayRate(row.day, row.watched, row.faulty))
    told = {row.checkpoint_id: row for row in signals(member, today, athlete)}
    found = [_along(point, by_day(rates), shown, told.get(point.pk)) for point, rates in days.items()]
    return sorted(found, key=lambda one: (_phase(one.checkpoint), one.checkpoint.order, one.checkpoint.key))


def _along(point: Checkpoint, days: list[DayRate], shown: tuple[date, ...], told: Signal | None) -> Along:
    weeks = by_week(days)
    watched, faulty = sum(day.watched for day in days), sum(day.faulty for day in days)
    before = told.usual if told else usual(days) if any(not week.few for week in weeks.values()) else None
    by_monday = tuple(weeks.get(monday) for monday in shown)
    return Along(point, by_monday, watched, faulty, len(days), before, told)


def _phase(point: Checkpoint) -> int:
    return list(Phase).index(Phase(point.phase))


def signals(member: Member, today: date, athlete: Athlete | None = None) -> list[Signal]:
    """What is worth a look, of everybody who has not left or of one athlete; the newest first. One query."""
    rows = Signal.objects.for_member(member).filter(athlete__left_on__isnull=True)
    rows = rows.filter(athlete=athlete) if athlete else rows
    fresh = rows.filter(last__gte=today - timedelta(days=FRESH_DAYS)).select_related("athlete__person", "checkpoint")
    return sorted(fresh, key=lambda row: (-row.since.toordinal(), str(row.athlete), row.checkpoint.order))


@dataclass(frozen=True, slots=True)
class FoundLink:
    """An earlier fault with which a later one comes. known: the catalogue says so too."""

    earlier: Checkpoint
    later: Checkpoint
    link: Link
    known: bool


@dataclass(frozen=True, slots=True)
class Links:
    """found: the surest first; looked_at: pairs with enough drills and days to say anything."""

    found: tuple[FoundLink, ...]
    looked_at: int


def links(member: Member, athlete: Athlete, today: date) -> Links:
    """Which fault leads to which, from an earlier phase of the run to a later one, over the last weeks. Two queries."""
    rows = DayPair.objects.for_member(member).filter(athlete=athlete, day__gte=mondays(today, WEEKS)[0])
    tables: defaultdict[tuple[Checkpoint, Checkpoint], list[Table]] = defaultdict(list)
    for row in rows.select_related("earlier", "later"):
        if row.earlier.phase in RUN and row.later.phase in RUN and _phase(row.earlier) < _phase(row.later):
            tables[row.earlier, row.later].append(Table(row.both, row.earlier_only, row.later_only, row.neither))
    looked_at = {pair: one for pair, strata in tables.items() if (one := link(strata))}
    held = holding(looked_at)
    known = _known(member) if held else set()
    return Links(
        tuple(FoundLink(*pair, looked_at[pair], (pair[0].pk, pair[1].pk) in known) for pair in held), len(looked_at)
    )


def _known(member: Member) -> set[tuple[int, int]]:
    """Checkpoints of which the catalogue says that a fault at one leads to one at the other. One query."""
    rows = CatalogueLink.objects.for_member(member).filter(fault__isnull=False)
    return set(rows.values_list("fault__checkpoint", "to__checkpoint"))
