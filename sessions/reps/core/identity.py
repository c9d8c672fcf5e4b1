"""What makes an event, a set's rep or a set of checkpoints the same as another one."""

import hashlib
import json
from datetime import UTC
from uuid import UUID, uuid5

from sessions.reps.core.events import Event, SetOfReps, plain


def digest(event: Event, device: UUID, practice: UUID) -> str:
    """Tells the same event from another one with its uuid. Who sends it, and when, does not matter."""
    at = event.at.astimezone(UTC).isoformat()
    said = [event.kind, at, event.sequence, str(device), str(practice), plain(event.content)]
    return hashlib.sha256(json.dumps(said, sort_keys=True).encode()).hexdigest()


def watch_set_digest(checkpoints: frozenset[str]) -> str:
    """The name of a set of checkpoints, by their keys."""
    return hashlib.sha256("\n".join(sorted(checkpoints)).encode()).hexdigest()


def set_rep(set_uuid: UUID, place: int) -> UUID:
    """The uuid of the rep at that place (from 1) of a set."""
    return uuid5(set_uuid, str(place))


def own_uuids(event: Event) -> list[UUID]:
    """The uuids of the reps a rep or set makes, and its own."""
    if isinstance(event.content, SetOfReps):
        return [event.uuid, *(set_rep(event.uuid, place) for place in range(1, event.content.done + 1))]
    return [event.uuid]
