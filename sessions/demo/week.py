"""The invented club's practices: one now, planned and published, and one a week for a month."""

from datetime import datetime, time, timedelta

from athletes.models import Athlete, Squad
from club.members import Member
from club.models import Area, Person, Venue
from drills.models import Drill
from sessions.practices.actions import calendar, plan
from sessions.practices.models import Block, Practice, Station

# What each squad does at which station, block by block: area, drill.
PLAN = (
    (("Smooth floor", "standing-drop"), ("Lane 1", "carry-walk")),
    (("Smooth floor", "three-step-walking-drop"), ("Lane 1", "standing-drop-and-plant")),
    (("Smooth floor", "six-step-walking-drop-and-plant"), ("Lane 1", "walking-stops")),
)
LONG, MINUTES = timedelta(hours=2), 30


def make_week(*, by: Member, now: datetime, venue: Venue, squads: list[Squad], adults: list[Person]) -> Practice:
    """Today's practice around this hour, planned and published; the same weekday and time for four weeks more."""
    starts = _start(now)
    details = calendar.Details(
        day=now.date(),
        starts=starts,
        ends=(datetime.combine(now.date(), starts) + LONG).time(),
        venue=venue,
        squads=tuple(squads),
        adults=tuple(adults),
        focus=None,
        bring="Flat shoes with grip, a bottle of water",
    )
    practices = calendar.add_practices(by=by, details=details, until=now.date() + timedelta(weeks=4))
    _plan(by, practices[0], squads, adults)
    for practice in practices:
        calendar.publish(by=by, practice=practice)
    return practices[0]


def _start(now: datetime) -> time:
    """The hour that is running, early enough in the day for two hours of practice."""
    return time(min(now.hour, 21))


def _plan(by: Member, practice: Practice, squads: list[Squad], adults: list[Person]) -> None:
    areas = {area.name: area for area in Area.objects.for_member(by)}
    drills = {drill.key: drill for drill in Drill.objects.for_member(by)}
    names = [area for area, _ in PLAN[0]]
    stations = {
        name: plan.add_station(by=by, practice=practice, area=areas[name], run_by=adult)
        for name, adult in zip(names, adults, strict=False)
    }
    for row in PLAN:
        block = plan.add_block(by=by, practice=practice, minutes=MINUTES)
        for (area, key), squad in zip(row, squads, strict=True):
            _assign(by, practice, block, stations[area], drills[key], list(squad.athletes.all()))


def _assign(by: Member, practice: Practice, block: Block, station: Station, drill: Drill, who: list[Athlete]) -> None:
    plan.assign(by=by, practice=practice, put=plan.Put(block, tuple(who), station=station, drill=drill))
