"""Chance as a core may use it: the generator is handed in, so that one seed makes one club."""

from collections.abc import Mapping, Sequence
from typing import Protocol, TypeVar
from uuid import UUID

T = TypeVar("T")


class Dice(Protocol):
    """What is used of ``random.Random``."""

    def random(self) -> float: ...
    def uniform(self, a: float, b: float) -> float: ...
    def gauss(self, mu: float, sigma: float) -> float: ...
    def randint(self, a: int, b: int) -> int: ...
    def getrandbits(self, k: int, /) -> int: ...


def chance(dice: Dice, share: float) -> bool:
    return dice.random() < share


def one_of(dice: Dice, choices: Sequence[T]) -> T:
    return choices[dice.randint(0, len(choices) - 1)]


def weighted(dice: Dice, weights: Mapping[T, float]) -> T:
    """A key, as often as its weight says. Weights are above 0."""
    left = dice.random() * sum(weights.values())
    for key, weight in weights.items():
        left -= weight
        if left <= 0:
            return key
    return key


def new_uuid(dice: Dice) -> UUID:
    return UUID(int=dice.getrandbits(128), version=4)
