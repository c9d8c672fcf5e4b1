"""Events as they came in, and the rows derived from them."""

from sessions.reps.models.derived import AdjustmentUsed, Hold, Look, LookFault, Rep, RepNote, Watched, WatchSet
from sessions.reps.models.events import Device, Event, EventQuerySet, NeedsLook

__all__ = [
    "AdjustmentUsed",
    "Device",
    "Event",
    "EventQuerySet",
    "Hold",
    "Look",
    "LookFault",
    "NeedsLook",
    "Rep",
    "RepNote",
    "WatchSet",
    "Watched",
]
