"""Events as they came in, and the rows derived from them."""

from sessions.reps.models.derived import AdjustmentUsed, Hold, Look, LookFault, Rep, RepNote, Watched, WatchSet
from sessions.reps.models.events import Device, DeviceAtPractice, Event, EventQuerySet, NeedsLook

__all__ = [
    "AdjustmentUsed",
    "Device",
    "DeviceAtPractice",
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
