"""Every device of a practice, as the desk sees it."""

from collections import defaultdict
from dataclasses import dataclass
from datetime import datetime, timedelta

from club.members import Member
from sessions.practices.models import Practice
from sessions.reps.models import DeviceAtPractice, Hold

LIVE = timedelta(seconds=90)
"""A page that is open tells of itself every half minute."""


@dataclass(frozen=True, slots=True)
class DeviceLine:
    """name: may be empty. unsent: entries it said it still held, None if it never said. holds: names of stations."""

    name: str
    person: str
    heard_at: datetime
    unsent: int | None
    holds: tuple[str, ...]
    live: bool


def devices(member: Member, practice: Practice, now: datetime) -> list[DeviceLine]:
    """Last heard first. Two queries."""
    held: dict[int, list[str]] = defaultdict(list)
    holds = Hold.objects.for_member(member).filter(station__practice=practice, until__isnull=True)
    for device, area in holds.order_by("station__area__name").values_list("device_id", "station__area__name"):
        held[device].append(area)
    rows = DeviceAtPractice.objects.for_member(member).filter(practice=practice).select_related("device", "person")
    return [
        DeviceLine(
            name=row.device.name,
            person=row.person.full_name,
            heard_at=row.heard_at,
            unsent=row.unsent,
            holds=tuple(dict.fromkeys(held[row.device_id])),
            live=now - row.heard_at <= LIVE,
        )
        for row in rows.order_by("-heard_at", "-pk")
    ]
