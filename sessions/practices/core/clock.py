"""From local dates and wall times to instants and back, by zone: both clock changes of a year pass through here.

A wall time that a zone has twice in a day (autumn) means the first of the two; one that it skips (spring) is an error.
"""

from datetime import UTC, date, datetime, time, timedelta
from zoneinfo import ZoneInfo

WEEK = timedelta(days=7)


OF_AGE = 18
"""Whole years from which an athlete speaks for themselves; an unknown date of birth counts as younger."""


class SkippedTime(ValueError):
    """The clocks are put forward over this wall time: the day does not have it."""


class PastMidnight(ValueError):
    """It would go on into the next day."""


def instant(day: date, clock: time, zone: str) -> datetime:
    """The instant (UTC) of a wall time. Raises SkippedTime."""
    wall = datetime.combine(day, clock.replace(fold=0))
    there = wall.replace(tzinfo=ZoneInfo(zone)).astimezone(UTC)
    if there.astimezone(ZoneInfo(zone)).replace(tzinfo=None, fold=0) != wall:
        raise SkippedTime(f"{day} has no {clock:%H:%M} in {zone}")
    return there


def clock_after(day: date, clock: time, minutes: int, zone: str) -> time:
    """What the clock on the wall shows after so many minutes. Raises SkippedTime, PastMidnight."""
    later = (instant(day, clock, zone) + timedelta(minutes=minutes)).astimezone(ZoneInfo(zone))
    if later.date() != day:
        raise PastMidnight(f"{minutes} minutes after {clock:%H:%M}")
    return later.time().replace(fold=0)


def minutes_between(day: date, starts: time, ends: time, zone: str) -> float:
    """Minutes that really pass between two wall times of one day. Raises SkippedTime."""
    return (instant(day, ends, zone) - instant(day, starts, zone)).total_seconds() / 60


def weekly(first: date, until: date) -> tuple[date, ...]:
    """The same weekday, week by week, both ends included; empty if ``until`` comes before ``first``."""
    weeks = (until - first).days // 7
    return tuple(first + WEEK * k for k in range(weeks + 1))


def age_on(day: date, born: date) -> int:
    """Whole years of age on a day."""
    return day.year - born.year - ((day.month, day.day) < (born.month, born.day))


def of_age(day: date, born: date | None) -> bool:
    return born is not None and age_on(day, born) >= OF_AGE
