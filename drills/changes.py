"""What another gate, or other step counts, of a drill would mean: said by the apps above, which know the athletes.

An app registers a sentence maker by name; the form of a drill shows what they say and asks once before it is stored.
"""

from collections.abc import Callable
from typing import Any

from club.members import Member
from drills.core.items import Fields
from drills.models import Drill

Sayer = Callable[[Member, Drill], str]

_sayers: dict[str, Sayer] = {}


def says_effects(name: str) -> Callable[[Sayer], Sayer]:
    """Registers what to say about a drill whose gate or steps are to change; an empty sentence is no effect."""

    def register(sayer: Sayer) -> Sayer:
        if name in _sayers:
            raise ValueError(f"two sayers of effects called {name!r}")
        _sayers[name] = sayer
        return sayer

    return register


def effects(member: Member, drill: Drill) -> tuple[str, ...]:
    """One sentence of each app that has one, in the order of their names."""
    said = (_sayers[name](member, drill) for name in sorted(_sayers))
    return tuple(sentence for sentence in said if sentence)


Offer = Callable[[Member, Drill], str]

_offers: dict[str, Offer] = {}


def offers_after(name: str) -> Callable[[Offer], Offer]:
    """Registers what to offer once the gate or the steps of a drill were changed: the address of a page, or "" ."""

    def register(offer: Offer) -> Offer:
        if name in _offers:
            raise ValueError(f"two offers called {name!r}")
        _offers[name] = offer
        return offer

    return register


def offered(member: Member, drill: Drill) -> str:
    """The page of the first app that offers one, in the order of their names; "" for none."""
    return next(filter(None, (_offers[name](member, drill) for name in sorted(_offers))), "")


def judges_otherwise(old: Fields, new: Fields) -> bool:
    """Whether reps of the drill would be judged by another gate, or be of another run."""
    return any(_set(old.get(name)) != _set(new.get(name)) for name in ("gate", "steps"))


def _set(value: Any) -> set[Any]:
    return set(value) if isinstance(value, list) else set()
