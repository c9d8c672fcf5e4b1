"""A file of unsent events that a tablet saved, for the desk to take in: read strictly, part by part."""

import json
from collections.abc import Iterator
from dataclasses import dataclass
from typing import Any
from uuid import UUID

from sessions.reps.core import reading
from sessions.reps.core.batches import Unusable, read_item
from sessions.reps.core.events import LAST_SEQUENCE, LONGEST_NAME, VERSIONS, Event
from sessions.reps.core.reading import Refused, a_number, a_text, a_time, a_uuid

FORMAT = "sixmark-unsent"
MOST_BYTES = 1024 * 1024
MOST_IN_A_FILE = 5000
AT_ONCE = 50


@dataclass(frozen=True, slots=True)
class Part:
    """Events of one practice, in one version of the format. by: who recorded them."""

    practice: UUID
    by: UUID
    version: int
    items: tuple[Event | Unusable, ...]

    def batches(self) -> Iterator[tuple[Event | Unusable, ...]]:
        """In the order recorded, a short transaction's worth each."""
        for start in range(0, len(self.items), AT_ONCE):
            yield self.items[start : start + AT_ONCE]


@dataclass(frozen=True, slots=True)
class SavedFile:
    device: UUID
    device_name: str
    parts: tuple[Part, ...]


def read_file(text: bytes) -> SavedFile:
    """Raises Refused when the file as a whole cannot be used. A bad item in it harms no other."""
    if len(text) > MOST_BYTES:
        raise Refused("file_too_large", limit=MOST_BYTES)
    try:
        value = json.loads(text.decode("utf-8"))
    except (ValueError, RecursionError):
        raise Refused("not_a_saved_file") from None
    if not isinstance(value, dict) or value.get("format") != FORMAT:
        raise Refused("not_a_saved_file")
    return _file(value)


def _file(value: dict[str, Any]) -> SavedFile:
    f = reading.an_object({name: part for name, part in value.items() if name != "format"})
    f.need("version", a_number(1, 1))
    f.need("club", a_text(LONGEST_NAME))
    f.need("saved_at", a_time)
    device, name = f.need("device", _device)
    parts = f.need("parts", _parts)
    f.done()
    return SavedFile(device, name, parts)


def _device(value: Any) -> tuple[UUID, str]:
    f = reading.an_object(value)
    uuid, name = f.need("uuid", a_uuid), f.maybe("name", a_text(LONGEST_NAME, empty=True))
    f.done()
    return uuid, (name or "").strip()


def _parts(value: Any) -> tuple[Part, ...]:
    if not isinstance(value, list):
        raise Refused("not_a_list", "parts")
    parts = tuple(_part(part) for part in value)
    if sum(len(part.items) for part in parts) > MOST_IN_A_FILE:
        raise Refused("too_many", "events", MOST_IN_A_FILE)
    return parts


def _part(value: Any) -> Part:
    f = reading.an_object(value)
    practice, by = f.need("practice", a_uuid), f.need("by", a_uuid)
    version = f.need("version", a_number(0, LAST_SEQUENCE))
    if version not in VERSIONS:
        raise Refused("unknown_version", "version", ", ".join(map(str, VERSIONS)))
    items = f.need("events", _items)
    f.done()
    return Part(practice, by, version, tuple(read_item(item) for item in items))


def _items(value: Any) -> list[Any]:
    if not isinstance(value, list):
        raise Refused("not_a_list", "events")
    return value
