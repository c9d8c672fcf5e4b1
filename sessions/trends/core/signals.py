""" "Worth a look": whether the faults of one athlete at one checkpoint rise or fall, by training day. Never a verdict.

An exponentially weighted moving average of the day's fault rate against what is usual for this athlete. Its limits,
and how often it is wrong, are the project's readiness design ("worth a look"). Choices made where it leaves room:
- a *course* of training days begins with the first day looked at, and again after a coach has set a signal aside: what
  is usual is then learned anew, and the same rise is not told twice;
- a signal lasts as long as the average stays beyond its limit; "since" is the day on which it went there.
"""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import date
from enum import StrEnum
from math import sqrt

from sessions.trends.core.rates import DayRate

WEIGHT = 0.2
SIGMAS = 3.0
FIRST_TESTED, LAST_LEARNED = 7, 12
"""Training days of a course, from 1: the first that is tested, and the last from which *usual* is learned."""
PRIOR_FAULTY, PRIOR_WATCHED = 1, 4


class Direction(StrEnum):
    ROSE = "rose"
    FELL = "fell"


@dataclass(frozen=True, slots=True)
class Average:
    """The moving average after a day. usual, mean: shares of faulty reps; variance: of the mean about *usual*."""

    usual: float
    mean: float
    variance: float

    def step(self, day: DayRate) -> "Average":
        """After one more day, *usual* staying as it is."""
        own = self.usual * (1 - self.usual) / day.watched
        return Average(
            self.usual,
            WEIGHT * day.faulty / day.watched + (1 - WEIGHT) * self.mean,
            WEIGHT**2 * own + (1 - WEIGHT) ** 2 * self.variance,
        )

    @property
    def direction(self) -> Direction | None:
        """Beyond which limit the mean is; None between them."""
        far = SIGMAS * sqrt(self.variance)
        if self.mean > self.usual + far:
            return Direction.ROSE
        return Direction.FELL if self.mean < self.usual - far else None


@dataclass(frozen=True, slots=True)
class Signal:
    """What stands after the last day. usual: before, a share; watched, faulty: reps from `since` to `last`."""

    direction: Direction
    since: date
    last: date
    usual: float
    watched: int
    faulty: int


def usual(days: Iterable[DayRate]) -> float:
    """The share of faulty reps over these days, drawn to one in four where little was watched."""
    found = list(days)
    faulty, watched = sum(day.faulty for day in found), sum(day.watched for day in found)
    return (faulty + PRIOR_FAULTY) / (watched + PRIOR_WATCHED)


def averages(course: Sequence[DayRate]) -> list[Average]:
    """After each tested day of a course: none before the seventh. Every day has watched reps."""
    found: list[Average] = []
    for place in range(FIRST_TESTED - 1, len(course)):
        learned = usual(course[: min(place, LAST_LEARNED)])
        before = found[-1] if found else Average(learned, learned, 0.0)
        found.append(Average(learned, before.mean, before.variance).step(course[place]))
    return found


def signal(course: Sequence[DayRate]) -> Signal | None:
    """What is worth a look after the last day of the course, if anything."""
    found = averages(course)
    if not found or found[-1].direction is None:
        return None
    now = found[-1].direction
    lasting = 0
    while lasting < len(found) and found[-1 - lasting].direction is now:
        lasting += 1
    days = course[-lasting:]
    watched, faulty = sum(day.watched for day in days), sum(day.faulty for day in days)
    return Signal(now, days[0].day, days[-1].day, found[-1].usual, watched, faulty)
