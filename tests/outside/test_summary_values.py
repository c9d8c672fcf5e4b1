"""Published intervals by which a summary says "better". Each stands beside its source."""

import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy.stats import binomtest

from sessions.summaries.core.evidence import Share, deviate, difference
from sessions.trends.core.rates import wilson


@pytest.mark.parametrize(
    ("part", "whole", "low", "high"),
    [(81, 263, 0.2553, 0.3662), (15, 148, 0.0624, 0.1605), (0, 20, 0, 0.1611), (1, 29, 0.0061, 0.1718)],
)
def test_wilson_as_published(part: int, whole: int, low: float, high: float) -> None:
    # Newcombe, Stat Med 1998;17:857-872, table I, method 3.
    found = wilson(part, whole, deviate())
    assert (found.low, found.high) == pytest.approx((low, high), abs=5e-5)


@pytest.mark.parametrize(
    ("now", "before", "low", "high"),
    [((56, 70), (48, 80), 0.0524, 0.3339), ((0, 10), (0, 20), -0.1611, 0.2775)],
)
def test_the_difference_as_published(now: tuple[int, int], before: tuple[int, int], low: float, high: float) -> None:
    # Newcombe, Stat Med 1998;17:873-890, table II, method 10.
    found = difference(Share(*now, 1), Share(*before, 1), deviate())
    assert (found.low, found.high) == pytest.approx((low, high), abs=5e-5)


counts = st.integers(1, 200).flatmap(lambda n: st.tuples(st.integers(0, n), st.just(n)))


@given(counts, st.integers(1, 40))
def test_wilson_is_that_of_scipy_at_any_level(share: tuple[int, int], compared: int) -> None:
    found = wilson(*share, deviate(compared=compared))
    wanted = binomtest(*share).proportion_ci(1 - 0.05 / compared, "wilson")
    assert (found.low, found.high) == pytest.approx((wanted.low, wanted.high), abs=1e-9)
