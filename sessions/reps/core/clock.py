"""Whose clock is right: a device's is corrected once; the practice's date is the day of everything at it."""

from datetime import UTC, date, datetime, time, timedelta
from zoneinfo import ZoneInfo

SLACK = timedelta(seconds=10)
FAR = timedelta(hours=12)


def offset(sent_at: datetime, received_at: datetime, known: timedelta | None) -> timedelta:
    """What to add to the device's clock.

    The travelling time of a request is part of the difference and varies. As long as it stays near what is known of
    the device, that is used, so that a slow request never puts two taps of one device in the wrong order.
    """
    found = received_at - sent_at
    return known if known is not None and abs(found - known) <= SLACK else found


def corrected(at: datetime, offset: timedelta) -> datetime:
    return at + offset


def span(day: date, starts: time, ends: time, zone: str) -> tuple[datetime, datetime]:
    """Beginning and end of a practice as moments."""
    there = ZoneInfo(zone)
    return (
        datetime.combine(day, starts, there).astimezone(UTC),
        datetime.combine(day, ends, there).astimezone(UTC),
    )


def is_far(at: datetime, practice: tuple[datetime, datetime]) -> bool:
    """Whether a moment lies more than 12 h before or after the practice."""
    return at < practice[0] - FAR or at > practice[1] + FAR
