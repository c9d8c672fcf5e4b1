"""A calendar as RFC 5545 wants it. Wall times with their zone, so that both clock changes fall where they should."""

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date, datetime, time, timedelta
from uuid import UUID
from zoneinfo import ZoneInfo

from icalendar import Calendar, Event, vDuration

from sessions.feeds.zones import timezone

REFRESH = timedelta(hours=1)
PRODUCT = "-//Sixmark//Practices//EN"


@dataclass(frozen=True, slots=True)
class Entry:
    """A practice. starts, ends: wall times of ``zone``. sequence: rises with each change (3.8.7.4). draft: unpublished.

    title and about are what a reader sees; url: the page that says more.
    """

    id: UUID
    sequence: int
    day: date
    starts: time
    ends: time
    zone: str
    title: str
    place: str
    about: str
    url: str
    cancelled: bool
    draft: bool


def calendar(name: str, entries: Iterable[Entry], at: datetime) -> bytes:
    """at: when it is read, aware; the stamp of what is handed out then (3.8.7.2)."""
    made = Calendar()
    made.add("prodid", PRODUCT)
    made.add("version", "2.0")
    made.add("method", "PUBLISH")
    made.add("x-wr-calname", name)
    made.add("name", name)
    made.add("refresh-interval", vDuration(REFRESH), parameters={"VALUE": "DURATION"})
    found = list(entries)
    days = [entry.day for entry in found]
    for zone in sorted({entry.zone for entry in found}):
        made.add_component(timezone(zone, min(days), max(days)))
    for entry in found:
        made.add_component(_event(entry, at))
    return bytes(made.to_ical())


def _event(entry: Entry, at: datetime) -> Event:
    event, zone = Event(), ZoneInfo(entry.zone)
    event.add("uid", f"{entry.id}@sixmark")
    event.add("sequence", entry.sequence)
    event.add("dtstamp", at)
    event.add("dtstart", datetime.combine(entry.day, entry.starts, zone))
    event.add("dtend", datetime.combine(entry.day, entry.ends, zone))
    event.add("summary", entry.title)
    event.add("location", entry.place)
    event.add("status", "CANCELLED" if entry.cancelled else "TENTATIVE" if entry.draft else "CONFIRMED")
    event.add("transp", "TRANSPARENT" if entry.cancelled else "OPAQUE")
    event.add("class", "PRIVATE")
    if entry.about:
        event.add("description", entry.about)
    event.add("url", entry.url)
    return event
