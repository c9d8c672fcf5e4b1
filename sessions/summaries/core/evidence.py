"""Two periods compared: a difference of proportions with Newcombe's interval (method 10), and when it means better."""

from dataclasses import dataclass
from math import sqrt
from statistics import NormalDist

from sessions.trends.core.rates import Interval, wilson

LEVEL = 0.95
LEAST_WATCHED = 10
"""Reps of each period under which nothing is said, as on the coaches' pages."""
LEAST_DAYS = 2
"""Days of each period: reps of one day resemble one another too much to speak for a period."""


@dataclass(frozen=True, slots=True)
class Share:
    """Reps: 0 ≤ good ≤ watched. days: on how many days they were watched."""

    good: int
    watched: int
    days: int

    @property
    def enough(self) -> bool:
        return self.watched >= LEAST_WATCHED and self.days >= LEAST_DAYS


def deviate(level: float = LEVEL, compared: int = 1) -> float:
    """The two-sided normal deviate at which all of so many intervals hold together (Bonferroni)."""
    return NormalDist().inv_cdf(1 - (1 - level) / (2 * max(compared, 1)))


def difference(now: Share, before: Share, z: float) -> Interval:
    """Newcombe's interval for now − before. Newcombe, Stat Med 1998;17:873-890, method 10. Both watched: over 0."""
    p, q = now.good / now.watched, before.good / before.watched
    a, b = wilson(now.good, now.watched, z), wilson(before.good, before.watched, z)
    return Interval(
        p - q - sqrt((p - a.low) ** 2 + (b.high - q) ** 2),
        p - q + sqrt((a.high - p) ** 2 + (q - b.low) ** 2),
    )
