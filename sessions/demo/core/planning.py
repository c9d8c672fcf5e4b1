"""The plan of one block: at each place one family of drills, and for each vaulter one they may try."""

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from drills.core.catalogue import AdultLevel, AreaKind, Drill, Surface, SurfaceVerdict
from sessions.demo.core.dice import Dice, one_of

LEVELS = (AdultLevel.NONE, AdultLevel.FLOOR, AdultLevel.CONTACT)
JOB = "catch-marks"


@dataclass(frozen=True, slots=True)
class Spot:
    """An area with whoever runs the station there. runs: their key in the list of people."""

    area: str
    kind: AreaKind
    surface: Surface
    places: int
    runs: str
    level: AdultLevel
    helper: bool = False

    def fits(self, drill: Drill) -> bool:
        verdicts = {rule.surface: rule.verdict for rule in drill.surfaces}
        slides = verdicts.get(self.surface, SurfaceVerdict.NEVER) is not SurfaceVerdict.NEVER
        return slides and self.kind in drill.areas and LEVELS.index(drill.adult) <= LEVELS.index(self.level)


@dataclass(frozen=True, slots=True)
class Group:
    """Who does one drill at one place in a block; drill None: a job beside it. vaulters: by their number."""

    area: str
    vaulters: tuple[int, ...]
    drill: str | None
    steps: int | None = None


Wants = Mapping[int, Mapping[str, float]]
"""For each vaulter, by number: the drills they may try and how much each is worth now."""


@dataclass(frozen=True, slots=True)
class _Offer:
    """A family at a place: whom it would take, each with their best drill there. worth: of all together."""

    spot: Spot
    drills: dict[int, str]
    worth: float


def plan_block(dice: Dice, wants: Wants, spots: Sequence[Spot], drills: Mapping[str, Drill]) -> tuple[Group, ...]:
    """Everybody has a place. Place after place is given to the family that is worth most to those still without one."""
    free, left = dict(wants), list(spots)
    taken: list[_Offer] = []
    while free and left:
        room = math.ceil(len(free) / len(left))
        offers = [offer for spot in left for offer in _offers(free, spot, drills, room)]
        if not offers:
            break
        best = max(offers, key=lambda offer: offer.worth)
        taken.append(best)
        left.remove(best.spot)
        free = {number: wanted for number, wanted in free.items() if number not in best.drills}
    for number in [number for number, wanted in free.items() if _join(number, wanted, taken, drills)]:
        del free[number]
    groups = [group for offer in taken for group in _groups(dice, offer, drills)]
    return (*groups, *([Group(spots[0].area, tuple(free), None)] if free else ()))


def _offers(free: Wants, spot: Spot, drills: Mapping[str, Drill], room: int) -> list[_Offer]:
    families: dict[str, dict[int, tuple[float, str]]] = {}
    for number, wanted in free.items():
        for key, worth in wanted.items():
            if spot.fits(drills[key]):
                best = families.setdefault(drills[key].family, {})
                best[number] = max(best.get(number, (0.0, "")), (worth, key))
    return [_offer(spot, best, min(room, spot.places)) for best in families.values()]


def _offer(spot: Spot, best: dict[int, tuple[float, str]], room: int) -> _Offer:
    first = sorted(best, key=lambda number: (-best[number][0], number))[:room]
    return _Offer(spot, {number: best[number][1] for number in first}, sum(best[number][0] for number in first))


def _join(number: int, wanted: Mapping[str, float], taken: list[_Offer], drills: Mapping[str, Drill]) -> bool:
    """One more at a place with room, at a drill of the family that is there."""
    for offer in taken:
        family = drills[next(iter(offer.drills.values()))].family
        fitting = [key for key in wanted if drills[key].family == family and offer.spot.fits(drills[key])]
        if fitting and len(offer.drills) < offer.spot.places:
            offer.drills[number] = max(fitting, key=lambda key: wanted[key])
            return True
    return False


def _groups(dice: Dice, offer: _Offer, drills: Mapping[str, Drill]) -> list[Group]:
    doing: dict[str, list[int]] = {}
    for number, key in offer.drills.items():
        doing.setdefault(key, []).append(number)
    return [
        Group(offer.spot.area, tuple(who), key, one_of(dice, drills[key].steps) if drills[key].steps else None)
        for key, who in doing.items()
    ]
