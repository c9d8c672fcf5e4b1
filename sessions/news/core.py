"""What changed about a practice, from what its people knew to how it stands now."""

from dataclasses import dataclass
from datetime import date, datetime, time, timedelta
from enum import StrEnum
from zoneinfo import ZoneInfo


@dataclass(frozen=True, slots=True)
class Facts:
    """starts, ends: wall times where the practice is. on: it takes place."""

    day: date
    starts: time
    ends: time
    venue: str
    on: bool


class What(StrEnum):
    CANCELLED = "cancelled"
    MOVED = "moved"
    BACK_ON = "back on"


def what_changed(before: Facts, now: Facts) -> What | None:
    """None where nobody needs to hear of it: put off and on again, or moved while it is off."""
    if before.on and not now.on:
        return What.CANCELLED
    if not before.on and now.on:
        return What.BACK_ON
    return What.MOVED if now.on and before != now else None


def over(facts: Facts, zone: str, now: datetime) -> bool:
    """now: aware."""
    return datetime.combine(facts.day, facts.ends, ZoneInfo(zone)) <= now


def next_sunday_evening(now: datetime) -> datetime:
    """The next Sunday, 17:00 on the clock of ``now``'s zone, after ``now``."""
    day = now.date() + timedelta(days=(6 - now.weekday()) % 7)
    found = datetime.combine(day, time(17), now.tzinfo)
    return found if found > now else datetime.combine(day + timedelta(days=7), time(17), now.tzinfo)


def week_of(day: date) -> str:
    """ "2026-W48": the week that the day after begins, for a Sunday; else the day's own."""
    year, week, _ = (day + timedelta(days=1)).isocalendar()
    return f"{year}-W{week:02}"
