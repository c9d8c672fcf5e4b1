"""Repeatable chance: the same seed gives the same rolls on every machine."""

from collections.abc import Sequence
from typing import TypeVar

Thing = TypeVar("Thing")
_MASK = (1 << 64) - 1


class Dice:
    """splitmix64 (Steele, Lea, Flood 2014, "Fast splittable pseudorandom number generators")."""

    def __init__(self, seed: int) -> None:
        self.state = seed & _MASK

    def roll(self, sides: int) -> int:
        """A whole number from 0 to below ``sides``."""
        self.state = (self.state + 0x9E3779B97F4A7C15) & _MASK
        z = self.state
        z = ((z ^ (z >> 30)) * 0xBF58476D1CE4E5B9) & _MASK
        z = ((z ^ (z >> 27)) * 0x94D049BB133111EB) & _MASK
        return (z ^ (z >> 31)) % sides

    def pick(self, things: Sequence[Thing]) -> Thing:
        return things[self.roll(len(things))]
