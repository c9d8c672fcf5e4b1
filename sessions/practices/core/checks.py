"""What is checked before a station opens, by the kind of its place. Common practice among coaches."""

from drills.core.catalogue import AreaKind

_GROUND = ("ground", "poles")
_RUNWAY = ("runway", "surface", "poles")

ITEMS: dict[AreaKind, tuple[str, ...]] = {
    AreaKind.FLOOR: _GROUND,
    AreaKind.ROOM: _GROUND,
    AreaKind.RUNWAY: _RUNWAY,
    AreaKind.WALL: ("wall", "mat", "walked", "shoes", "poles"),
    AreaKind.SLIDING_BOX: ("box_slides", "runway", "poles", "nobody_beside", "no_phone"),
    AreaKind.BOX: ("pit", "padding", "collar", "standards", "runway", "poles", "nobody_beside", "no_phone"),
}


def items_of(kind: str) -> tuple[str, ...]:
    """Keys of what is checked at a place of this kind, in the order in which one walks round it."""
    return ITEMS[AreaKind(kind)]
