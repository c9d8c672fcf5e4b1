"""Where one must stand to see a checkpoint, or several at once."""

from collections.abc import Iterable, Mapping

from drills.core.catalogue import ViewingPlace

EVERYWHERE = frozenset({"top-hand-side", "other-side", "front", "behind", "beside-the-box", "ear-and-eye"})

_STANDING_AT: Mapping[str, frozenset[str]] = {
    # "side" is either side; from the top-hand side one sees all that a side shows
    ViewingPlace.SIDE: frozenset({"top-hand-side", "other-side"}),
    ViewingPlace.ANYWHERE: EVERYWHERE,
}


def viewing_places(seen_from: list[str]) -> frozenset[str]:
    """The places to stand at from which a checkpoint is seen; places it does not know are passed over."""
    places: frozenset[str] = frozenset()
    for place in seen_from:
        places |= _STANDING_AT.get(place, frozenset({place}) & EVERYWHERE)
    return places


def where_to_stand(seen_from: Iterable[list[str]]) -> tuple[str, ...]:
    """Viewing places from which each of these checkpoints is seen; "side" where either side will do."""
    shared = EVERYWHERE
    for places in seen_from:
        shared &= viewing_places(places)
    if shared == EVERYWHERE:
        return (ViewingPlace.ANYWHERE,)
    if _STANDING_AT[ViewingPlace.SIDE] <= shared:
        shared = shared - _STANDING_AT[ViewingPlace.SIDE] | {ViewingPlace.SIDE}
    return tuple(place for place in ViewingPlace if place in shared)
