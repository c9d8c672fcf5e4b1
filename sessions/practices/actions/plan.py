"""The plan by hand: blocks, stations, and who does what where. Each write holds the practice's row, so that two
coaches at one plan cannot both fit into the last place."""

from collections.abc import Iterator, Sequence
from contextlib import contextmanager
from dataclasses import dataclass, replace
from datetime import datetime, time

from django.db import transaction
from django.db.models import F, Max
from django.utils.translation import gettext as _
from django.utils.translation import gettext_noop

from athletes.models import Athlete
from club import audit
from club.members import Member
from club.models import Area, Person
from drills.models import Activity, Drill
from sessions.practices.actions.errors import NotNow, PlanRefused, no_less_safe
from sessions.practices.core.clock import PastMidnight, clock_after, instant
from sessions.practices.core.plan import Placing, Plan
from sessions.practices.core.rules import Finding, PlanRefusal, SafetyRefusal, check, concerning
from sessions.practices.models import AdultPresence, Assignment, Block, Practice, Station
from sessions.practices.queries import calendar
from sessions.practices.queries.plan import adult_levels, as_plan, read
from sessions.practices.words import said


@contextmanager
def _holding(by: Member, practice: Practice) -> Iterator[Practice]:
    """The practice's row, held until the end of the transaction."""
    with transaction.atomic():
        yield Practice.objects.for_member(by).select_for_update().get(pk=practice.pk)


# Blocks


def next_start(practice: Practice) -> time:
    """Where the next block begins: when the last one ends, else with the practice. Raises SkippedTime, PastMidnight."""
    last = practice.blocks.last()
    return clock_after(practice.day, last.starts, last.minutes, practice.zone) if last else practice.starts


def add_block(*, by: Member, practice: Practice, minutes: int, starts: time | None = None) -> Block:
    """A block after the last one. Raises NotNow, SkippedTime."""
    with _holding(by, practice) as row:
        begins = starts or next_start(row)
        _check_block(row, begins, minutes)
        number = (row.blocks.aggregate(last=Max("number"))["last"] or 0) + 1
        return Block.objects.create(club=by.club, practice=row, number=number, starts=begins, minutes=minutes)


def _check_block(row: Practice, begins: time, minutes: int) -> None:
    at = instant(row.day, begins, row.zone)
    ends = instant(row.day, row.ends, row.zone)
    if at < instant(row.day, row.starts, row.zone) or (ends - at).total_seconds() < minutes * 60:
        raise NotNow(
            _("The block would lie outside of the practice, %(starts)s to %(ends)s.")
            % {"starts": f"{row.starts:%H:%M}", "ends": f"{row.ends:%H:%M}"}
        )
    try:
        if row.blocks.exists() and at < instant(row.day, next_start(row), row.zone):
            raise NotNow(_("The last block runs until %(time)s.") % {"time": f"{next_start(row):%H:%M}"})
    except PastMidnight as error:
        raise NotNow(_("The last block runs until midnight.")) from error


def remove_block(*, by: Member, practice: Practice, block: Block) -> None:
    """Takes a block out with the places in it; the later ones move up by one number and keep their times."""
    with _holding(by, practice) as row:
        later = row.blocks.filter(number__gt=block.number)
        row.blocks.filter(pk=block.pk).delete()
        for number in list(later.order_by("number").values_list("number", flat=True)):
            row.blocks.filter(number=number).update(number=F("number") - 1)
        audit.note(by, gettext_noop("took a block out"), row, {"block": block.number})


# Stations


def add_station(*, by: Member, practice: Practice, area: Area, run_by: Person | None = None) -> Station:
    """A station in an area of the practice's venue. An adult who runs one is expected there. Raises NotNow."""
    with _holding(by, practice) as row:
        if area.venue_id != row.venue_id:
            raise NotNow(_("%(area)s is not at %(venue)s.") % {"area": area, "venue": row.venue})
        if row.stations.filter(area=area).exists():
            raise NotNow(_("%(area)s has a station already.") % {"area": area})
        _expect(by, row, run_by)
        return Station.objects.create(club=by.club, practice=row, area=area, run_by=run_by)


def set_station_adult(*, by: Member, practice: Practice, station: Station, run_by: Person | None) -> None:
    """Who runs it. Raises PlanRefused if what is planned there would no longer be safe."""
    with _holding(by, practice) as row, no_less_safe(by, row):
        _expect(by, row, run_by)
        row.stations.filter(pk=station.pk).update(run_by=run_by)


def _expect(by: Member, practice: Practice, person: Person | None) -> None:
    """A helper runs a station and is no adult of the practice."""
    if person and person.pk in adult_levels(by, [person.pk]):
        AdultPresence.objects.get_or_create(practice=practice, person=person, defaults={"club": by.club})


def remove_station(*, by: Member, practice: Practice, station: Station, now: datetime) -> None:
    """Takes a station out with the places at it, until the practice begins. Raises NotNow."""
    with _holding(by, practice) as row:
        if row.published_at and calendar.starts_at(row) <= now:
            raise NotNow(_("The practice has begun. Stations stay, because reps may have been logged at them."))
        row.stations.filter(pk=station.pk).delete()
        audit.note(by, gettext_noop("took a station out"), row, {"area": str(station.area_id)})


# Places


@dataclass(frozen=True, slots=True)
class Put:
    """Who does what where. One of drill and activity is set; station None for an activity at no station.

    moving: those who give up another place in the same block for this one.
    """

    block: Block
    athletes: tuple[Athlete, ...]
    station: Station | None = None
    drill: Drill | None = None
    activity: Activity | None = None
    steps: int | None = None
    moving: tuple[Athlete, ...] = ()

    @property
    def everyone(self) -> tuple[Athlete, ...]:
        return (*self.athletes, *self.moving)

    @property
    def run_steps(self) -> int | None:
        """What was said, or the only count that the drill is run with."""
        offered = self.drill.steps if self.drill else []
        return self.steps if self.steps or len(offered) != 1 else offered[0]

    def placings(self) -> tuple[Placing, ...]:
        work = f"drill:{self.drill.key}" if self.drill else f"activity:{self.activity.key}"  # type: ignore[union-attr]
        at = str(self.station.pk) if self.station else None
        return tuple(Placing(self.block.number, str(a.pk), work, at, self.run_steps) for a in self.everyone)


def assign(*, by: Member, practice: Practice, put: Put) -> tuple[str, ...]:
    """Gives athletes a place in a block; what the coach should know about it, in words. Raises PlanRefused."""
    return assign_all(by=by, practice=practice, puts=(put,))


def assign_all(*, by: Member, practice: Practice, puts: Sequence[Put]) -> tuple[str, ...]:
    """Many places at once, checked together and stored all or none. See ``assign``."""
    with _holding(by, practice) as row:
        plan = as_plan(read(by, row))
        placed = tuple(placing for put in puts for placing in put.placings())
        moving = {(put.block.number, str(athlete.pk)) for put in puts for athlete in put.moving}
        kept = tuple(p for p in plan.placings if (p.block, p.vaulter) not in moving)
        after = replace(plan, placings=(*kept, *placed))
        findings = concerning(check(after), placed)
        _refuse(findings, after)
        for put in puts:
            _store(by, put)
    return _words(findings, after)


def _store(by: Member, put: Put) -> None:
    row_filter = Assignment.objects.for_member(by).filter(block=put.block)
    row_filter.filter(athlete__in=put.moving).delete()
    last = row_filter.filter(station=put.station).aggregate(last=Max("order"))["last"] or 0
    Assignment.objects.bulk_create(_rows(by, put, last + 1))


def _rows(by: Member, put: Put, first: int) -> list[Assignment]:
    return [
        Assignment(
            club=by.club,
            block=put.block,
            station=put.station,
            athlete=athlete,
            drill=put.drill,
            activity=put.activity,
            steps=put.run_steps,
            order=first + place,
        )
        for place, athlete in enumerate(put.everyone)
    ]


def unassign(*, by: Member, practice: Practice, assignment: Assignment) -> None:
    """Takes an athlete's place in a block away."""
    with _holding(by, practice):
        Assignment.objects.for_member(by).filter(pk=assignment.pk, block__practice=practice).delete()


def _words(findings: tuple[Finding, ...], plan: Plan) -> tuple[str, ...]:
    return tuple(dict.fromkeys(said(finding, plan) for finding in findings))


def _refuse(findings: tuple[Finding, ...], plan: Plan) -> None:
    unsafe = tuple(finding for finding in findings if isinstance(finding, SafetyRefusal))
    senseless = tuple(finding for finding in findings if isinstance(finding, PlanRefusal))
    if unsafe or senseless:
        raise PlanRefused(_words(unsafe, plan), _words(senseless, plan))
