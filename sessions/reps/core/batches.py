"""What one request brings: the envelope read strictly, its items one by one, so that a bad one harms no other."""

from dataclasses import dataclass
from datetime import datetime
from typing import Any
from uuid import UUID

from sessions.reps.core import reading
from sessions.reps.core.events import (
    LAST_SEQUENCE,
    LONGEST_NAME,
    MOST_EVENTS,
    MOST_REPS,
    VERSIONS,
    Event,
    Kind,
    SetOfReps,
    read_event,
)
from sessions.reps.core.reading import Problem, Refused, a_number, a_text, a_time, a_uuid


@dataclass(frozen=True, slots=True)
class Unusable:
    """An item that cannot be taken. uuid: as it was sent, if it was text of a sensible length."""

    uuid: str | None
    problem: Problem


@dataclass(frozen=True, slots=True)
class Batch:
    """What one request brings: items in the order sent.

    by: the person who recorded all of it, from version 2 on. unsent: how many more the device still holds.
    """

    device: UUID
    device_name: str
    sent_at: datetime
    items: tuple[Event | Unusable, ...]
    version: int = 1
    by: UUID | None = None
    unsent: int | None = None


def read_batch(value: Any) -> Batch:
    """The batch with each item read or found unusable. Raises Refused when the envelope itself cannot be used."""
    f = reading.an_object(value)
    version = f.need("version", a_number(0, LAST_SEQUENCE))
    if version not in VERSIONS:
        raise Refused("unknown_version", "version", ", ".join(map(str, VERSIONS)))
    by = f.need("by", a_uuid) if version > 1 else None
    unsent = f.maybe("unsent", a_number(0, LAST_SEQUENCE)) if version > 1 else None
    device, name = f.need("device", _device)
    sent_at = f.need("sent_at", a_time)
    items = f.need("events", _items)
    f.done()
    batch = Batch(device, name, sent_at, tuple(read_item(item) for item in items), version, by, unsent)
    if sum(done(item) for item in batch.items) > MOST_REPS:
        raise Refused("too_many_reps", "events", MOST_REPS)
    return batch


def _device(value: Any) -> tuple[UUID, str]:
    f = reading.an_object(value)
    uuid, name = f.need("uuid", a_uuid), f.maybe("name", a_text(LONGEST_NAME, empty=True))
    f.done()
    return uuid, (name or "").strip()


def _items(value: Any) -> list[Any]:
    if not isinstance(value, list):
        raise Refused("not_a_list")
    if len(value) > MOST_EVENTS:
        raise Refused("too_many", limit=MOST_EVENTS)
    return value


def done(item: Event | Unusable) -> int:
    """How many reps it makes."""
    if not isinstance(item, Event):
        return 0
    return item.content.done if isinstance(item.content, SetOfReps) else int(item.kind is Kind.REP)


def read_item(value: Any) -> Event | Unusable:
    try:
        return read_event(value)
    except Refused as refused:
        given = value.get("uuid") if isinstance(value, dict) else None
        uuid = reading.shown(given) if isinstance(given, str) else None
        return Unusable(uuid, refused.problem)
