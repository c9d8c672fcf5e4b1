"""The invented club's calendar: the weeks that were, today, and the weeks to come."""

from datetime import date, datetime, time, timedelta
from random import Random

from athletes.actions import place
from athletes.models import Athlete
from drills.core.catalogue import RiskClass
from drills.models import Drill
from drills.queries.whole import catalogue
from sessions.demo.core.learners import Away, Learner, new_learner
from sessions.demo.core.season import Season
from sessions.demo.core.tablets import new_tablet
from sessions.demo.core.trade import Trade, read_trade
from sessions.demo.entering import SATURDAY, Crew, Entry, Squads
from sessions.demo.people import RESTRICTED, WORDS, Vaulter

USUAL: dict[int, Squads] = {0: (0,), 3: (0,), 1: (1,), 4: (1,)}
"""Squads by weekday; and both on every third Saturday."""
EVERY_WEEKS = 3
WEEKS_AHEAD = 4
UNSAFE_AT, LEAVING_AT = {7, 26}, {5, 19, 31}
"""Numbers of practices from which on a rep is unsafe, and somebody stops early."""
KEEN = 0.98
PLACED_BECAUSE = "Came with two seasons elsewhere; seen at a trial practice."
HURT_BACK, LEAVES_BACK = 3, 4
"""Counted from the last: the practice at which somebody turned an ankle, and those whose departures are noted."""
CALLED_OFF = 14
"""Number of the practice that thunder took."""


def enter_weeks(crew: Crew, dice: Random, weeks: int) -> None:
    """All practices, held or to come, and what was logged at them."""
    trade, today = read_trade(catalogue(crew.by)), crew.now.date()
    learners = [_learner(crew, dice, trade, *who) for who in crew.athletes]
    season = Season(dice, trade, learners, WORDS, new_tablet(dice, "Marta's phone", "Marta"))
    first = today - timedelta(weeks=weeks)
    _place(crew, season, first)
    entry = Entry(crew, season, dice)
    _past(entry, season, days_of_practice(first, today))
    entry.today(WEEKS_AHEAD)
    for day, squads in days_of_practice(today + timedelta(days=1), today + timedelta(weeks=WEEKS_AHEAD)):
        if day.weekday() != today.weekday():  # there is one already, as today's repeats
            entry.coming(day, squads)


def _past(entry: Entry, season: Season, days: list[tuple[date, Squads]]) -> None:
    """The last one the head coach has not released yet."""
    for number, (day, squads) in enumerate(days):
        season.unsafe += number in UNSAFE_AT
        season.leaving += number in LEAVING_AT
        if number == CALLED_OFF:
            entry.called_off(day, squads)
        else:
            back = len(days) - number
            season.hurt += back == HURT_BACK
            practice = entry.past(day, squads, released=back > 1)
            entry.afterwards(practice, leave=back <= LEAVES_BACK)


def days_of_practice(since: date, until: date) -> list[tuple[date, Squads]]:
    """With their squads, before ``until``."""
    found: list[tuple[date, Squads]] = []
    for gap in range((until - since).days):
        day = since + timedelta(days=gap)
        if day.weekday() in USUAL:
            found.append((day, USUAL[day.weekday()]))
        elif day.weekday() == SATURDAY and day.isocalendar().week % EVERY_WEEKS == 0:
            found.append((day, (0, 1)))
    return found


def _place(crew: Crew, season: Season, day: date) -> None:
    """Experienced vaulters stand where they stood when the club began to keep this."""
    at = datetime.combine(day, time(9), crew.now.tzinfo)
    drills = {drill.key: drill for drill in Drill.objects.for_member(crew.by)}
    for number, (vaulter, athlete) in enumerate(crew.athletes):
        if vaulter.placed:
            season.place(number, vaulter.placed, at)
            place(by=crew.by, athlete=athlete, drill=drills[vaulter.placed], day=day, now=at, seen=PLACED_BECAUSE)


def _learner(crew: Crew, dice: Random, trade: Trade, vaulter: Vaulter, athlete: Athlete) -> Learner:
    today = crew.now.date()
    squad = next(n for n, squad in enumerate(crew.squads) if squad in athlete.squads.all())
    learner = new_learner(dice, trade, athlete.pk, squad, vaulter.age < 14, vaulter.placed)
    learner.comes = KEEN if vaulter.keen else learner.comes
    if vaulter.slips:
        learner.slip = (vaulter.slips[0], today - timedelta(days=vaulter.slips[1]))
    if vaulter.away:
        since, until = (today - timedelta(days=ago) for ago in vaulter.away)
        learner.away = Away(since, until)
    if vaulter.given == RESTRICTED.vaulter:
        learner.excludes = frozenset(map(RiskClass, RESTRICTED.excludes))
        learner.excluded_from = today + timedelta(days=RESTRICTED.since)
    return learner
