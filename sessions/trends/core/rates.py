"""Fault rates by week, each with the interval it may lie in. A rate on few reps is never said alone."""

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date, timedelta
from math import sqrt

Z_95 = 1.959963984540054
"""Two-sided 95 % of the normal distribution."""
FEW = 10
"""Under so many watched reps a rate is only sketched (computations.md)."""


@dataclass(frozen=True, slots=True)
class Interval:
    """Ends of a range of shares, 0 to 1."""

    low: float
    high: float


def wilson(part: int, whole: int, z: float = Z_95) -> Interval:
    """The score interval of a share without continuity correction (Newcombe, Stat Med 1998;17:857, method 3).

    z: the two-sided normal deviate, of 95 % unless told. Raises ValueError unless 0 ≤ part ≤ whole and whole > 0.
    """
    if not 0 <= part <= whole or not whole:
        raise ValueError(f"{part} of {whole}")
    share, z2 = part / whole, z * z
    middle = share + z2 / (2 * whole)
    half = z * sqrt(share * (1 - share) / whole + z2 / (4 * whole * whole))
    under = 1 + z2 / whole
    # Exact at both ends, where rounding would leave a hair; and never past the share itself.
    low = 0.0 if not part else (middle - half) / under
    high = 1.0 if part == whole else (middle + half) / under
    return Interval(min(low, share), max(high, share))


@dataclass(frozen=True, slots=True)
class DayRate:
    """One athlete, one checkpoint, one day, over all drills: reps watched, and faulty of those."""

    day: date
    watched: int
    faulty: int


@dataclass(frozen=True, slots=True)
class WeekRate:
    """monday: its first day."""

    monday: date
    watched: int
    faulty: int

    @property
    def rate(self) -> float:
        return self.faulty / self.watched

    @property
    def interval(self) -> Interval:
        return wilson(self.faulty, self.watched)

    @property
    def few(self) -> bool:
        return self.watched < FEW


def monday_of(day: date) -> date:
    return day - timedelta(days=day.weekday())


def mondays(today: date, weeks: int) -> tuple[date, ...]:
    """The first days of the last so many weeks, this one among them, oldest first."""
    this = monday_of(today)
    return tuple(this - timedelta(weeks=back) for back in reversed(range(weeks)))


def by_week(days: Iterable[DayRate]) -> dict[date, WeekRate]:
    """By Monday, the weeks in which anything was watched."""
    found: dict[date, WeekRate] = {}
    for day in days:
        if day.watched:
            monday = monday_of(day.day)
            before = found.get(monday, WeekRate(monday, 0, 0))
            found[monday] = WeekRate(monday, before.watched + day.watched, before.faulty + day.faulty)
    return found


def by_day(days: Iterable[DayRate]) -> list[DayRate]:
    """The same with one entry a day, oldest first, days without a watched rep left out."""
    found: dict[date, DayRate] = {}
    for day in days:
        if day.watched:
            before = found.get(day.day, DayRate(day.day, 0, 0))
            found[day.day] = DayRate(day.day, before.watched + day.watched, before.faulty + day.faulty)
    return sorted(found.values(), key=lambda one: one.day)
