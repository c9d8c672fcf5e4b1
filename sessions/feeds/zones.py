"""A zone as a calendar carries it (RFC 5545, 3.6.5), from the zone's own data.

Written here because ``Calendar.add_missing_timezones`` of icalendar 7.3 gives the onset of summer time in the new
offset, where the standard asks for the old one (an hour late in the night of the change), and carries seventy years.
"""

from collections.abc import Iterator
from dataclasses import dataclass
from datetime import UTC, date, datetime, time, timedelta
from zoneinfo import ZoneInfo

from icalendar import Timezone, TimezoneDaylight, TimezoneStandard

AROUND = timedelta(days=400)
DAY, MINUTE = timedelta(days=1), timedelta(minutes=1)


@dataclass(frozen=True, slots=True)
class Onset:
    """at: wall time by the old offset, naive. before, after: offsets from UTC."""

    at: datetime
    before: timedelta
    after: timedelta
    name: str
    summer: bool


def onsets(zone: str, first: date, last: date) -> list[Onset]:
    """What holds more than a year before the first day, and each change until more than a year after the last."""
    there = ZoneInfo(zone)
    begin = datetime.combine(first - AROUND, time(0), UTC)
    offset = _offset(begin, there)
    found = [_onset(begin, offset, there)]
    for instant in _changes(begin, datetime.combine(last + AROUND, time(0), UTC), there):
        found.append(_onset(instant, offset, there))
        offset = _offset(instant, there)
    return found


def _offset(instant: datetime, there: ZoneInfo) -> timedelta:
    return instant.astimezone(there).utcoffset() or timedelta(0)


def _onset(instant: datetime, before: timedelta, there: ZoneInfo) -> Onset:
    local = instant.astimezone(there)
    wall = (instant + before).replace(tzinfo=None)
    return Onset(wall, before, _offset(instant, there), local.tzname() or "", bool(local.dst()))


def _changes(begin: datetime, end: datetime, there: ZoneInfo) -> Iterator[datetime]:
    """Instants from which another offset holds, to the minute."""
    while begin < end:
        if _offset(begin, there) != _offset(begin + DAY, there):
            low, high = begin, begin + DAY
            while high - low > MINUTE:
                middle = low + (high - low) // 2 // MINUTE * MINUTE
                low, high = (middle, high) if _offset(middle, there) == _offset(begin, there) else (low, middle)
            yield high
        begin += DAY


def timezone(zone: str, first: date, last: date) -> Timezone:
    made = Timezone()
    made.add("tzid", zone)
    for onset in onsets(zone, first, last):
        part = TimezoneDaylight() if onset.summer else TimezoneStandard()
        part.add("dtstart", onset.at)
        part.add("tzoffsetfrom", onset.before)
        part.add("tzoffsetto", onset.after)
        part.add("tzname", onset.name)
        made.add_component(part)
    return made
