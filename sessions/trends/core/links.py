"""Which fault leads to which, for one athlete: the odds of the later fault with the earlier one and without it.

Faults fall together as one learns, so pooled counts show links that do not exist. Every table therefore stays within
one drill and one day, and only days on which both went wrong and right say anything (Mantel and Haenszel).
"""

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from math import comb, erfc, exp, inf, log, sqrt
from typing import TypeVar

import numpy as np

from sessions.trends.core.rates import Z_95, Interval

ENOUGH_STRATA = 5
"""Fewer informative drills and days: not enough yet (computations.md)."""
FALSE_SHARE = 0.10
"""Share of false links among those called that is put up with (Benjamini and Hochberg)."""
Key = TypeVar("Key")
EXACT_UP_TO = 600
"""Reps up to which the exact test is worked out; beyond, the chi-square says the same."""


@dataclass(frozen=True, slots=True)
class Table:
    """Reps of one drill and day on which both were watched."""

    both: int
    earlier_only: int
    later_only: int
    neither: int

    @property
    def n(self) -> int:
        return self.both + self.earlier_only + self.later_only + self.neither

    @property
    def earlier(self) -> int:
        return self.both + self.earlier_only

    @property
    def later(self) -> int:
        return self.both + self.later_only

    @property
    def informative(self) -> bool:
        return 0 < self.earlier < self.n and 0 < self.later < self.n


@dataclass(frozen=True, slots=True)
class Link:
    """Two checkpoints over all informative drills and days.

    odds: common odds ratio (``inf`` if the later fault never came alone), with its 95 % interval; p: two-sided. The
    four counts are those of the informative days.
    """

    odds: float
    interval: Interval
    p: float
    strata: int
    with_earlier: int
    both: int
    without_earlier: int
    later_only: int


def link(tables: Iterable[Table]) -> Link | None:
    """None while too few drills and days are informative."""
    found = [table for table in tables if table.informative]
    if len(found) < ENOUGH_STRATA:
        return None
    exact = sum(table.n for table in found) <= EXACT_UP_TO
    odds = common_odds(found)
    return Link(
        odds=odds,
        interval=odds_interval(found),
        p=exact_p(found) if exact else chi_square_p(found),
        strata=len(found),
        with_earlier=sum(table.earlier for table in found),
        both=sum(table.both for table in found),
        without_earlier=sum(table.n - table.earlier for table in found),
        later_only=sum(table.later_only for table in found),
    )


def common_odds(tables: Sequence[Table]) -> float:
    """The common odds ratio of Mantel and Haenszel."""
    up = sum(t.both * t.neither / t.n for t in tables)
    down = sum(t.earlier_only * t.later_only / t.n for t in tables)
    return up / down if down else inf


def odds_interval(tables: Sequence[Table]) -> Interval:
    """95 % of the common odds ratio, by the variance of Robins, Breslow and Greenland (1986); open without one."""
    odds = common_odds(tables)
    if not 0 < odds < inf:
        return Interval(0.0, inf)
    r = [t.both * t.neither / t.n for t in tables]
    s = [t.earlier_only * t.later_only / t.n for t in tables]
    p = [(t.both + t.neither) / t.n for t in tables]
    q = [(t.earlier_only + t.later_only) / t.n for t in tables]
    up, down = sum(r), sum(s)
    variance = (
        sum(pi * ri for pi, ri in zip(p, r, strict=True)) / (2 * up * up)
        + sum(pi * si + qi * ri for pi, qi, ri, si in zip(p, q, r, s, strict=True)) / (2 * up * down)
        + sum(qi * si for qi, si in zip(q, s, strict=True)) / (2 * down * down)
    )
    far = Z_95 * sqrt(variance)
    return Interval(exp(log(odds) - far), exp(log(odds) + far))


def chi_square(tables: Sequence[Table]) -> float:
    """Of Mantel and Haenszel, one degree of freedom, with continuity correction."""
    off = sum(t.both - t.earlier * t.later / t.n for t in tables)
    variance = sum(
        t.earlier * (t.n - t.earlier) * t.later * (t.n - t.later) / (t.n * t.n * (t.n - 1)) for t in tables if t.n > 1
    )
    return max(0.0, abs(off) - 0.5) ** 2 / variance if variance else 0.0


def chi_square_p(tables: Sequence[Table]) -> float:
    return erfc(sqrt(chi_square(tables) / 2))


def exact_p(tables: Sequence[Table]) -> float:
    """Two-sided, given all margins: the chance of every outcome that is no likelier than the one seen."""
    chances = np.ones(1)
    seen = 0
    for table in tables:
        least = max(0, table.earlier + table.later - table.n)
        most = min(table.earlier, table.later)
        whole = comb(table.n, table.later)
        ways = [
            comb(table.earlier, k) * comb(table.n - table.earlier, table.later - k) / whole
            for k in range(least, most + 1)
        ]
        chances = np.convolve(chances, ways)
        seen += table.both - least
    return min(1.0, float(chances[chances <= chances[seen] * (1 + 1e-7)].sum()))


def holding(found: Mapping[Key, Link]) -> list[Key]:
    """Which of one athlete's links hold although so many were looked at, the surest first. Only those by which the
    later fault comes more often."""
    order = sorted(found, key=lambda key: found[key].p)
    passed = [place for place, key in enumerate(order, 1) if found[key].p <= FALSE_SHARE * place / len(order)]
    return [key for key in order[: max(passed, default=0)] if found[key].odds > 1]
