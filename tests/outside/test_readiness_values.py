"""Published and independently computed values of the readiness rule. Each stands beside its source."""

import math
from datetime import date, timedelta

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy.stats import beta

from athletes.core.readiness import (
    EMPTY,
    Advice,
    Outcome,
    Rep,
    Settings,
    State,
    advice,
    cusum,
    cusum_steps,
    fold,
    likely_range,
    read,
)

DEFAULTS = Settings()
START = date(2025, 3, 3)


def after(*marks: tuple[int, str]) -> State:
    """The state after reps given as (day from the start, "1" good and "0" bad in order)."""
    state = EMPTY
    for day, reps in marks:
        for mark in reps:
            outcome = Outcome.GOOD if mark == "1" else Outcome.BAD
            state = fold(state, Rep(START + timedelta(days=day), outcome), DEFAULTS)
    return state


def advised(state: State, day: int) -> Advice:
    return advice(state, START + timedelta(days=day), DEFAULTS)


def low(state: State, day: int) -> float:
    return read(state, START + timedelta(days=day), DEFAULTS).low


@pytest.mark.parametrize(
    ("good", "bad", "mean", "low_end", "high_end"),
    [  # scipy.stats.beta.ppf(.10 and .90, 2 + good, 2 + bad), as written down in the design
        (0, 0, 0.5, 0.1958, 0.8042),
        (8, 0, 0.8333, 0.6898, 0.9505),
        (12, 1, 0.8235, 0.7004, 0.9290),
        (2, 8, 0.2857, 0.1416, 0.4443),
    ],
)
def test_the_likely_range_has_the_values_written_down(good, bad, mean, low_end, high_end):
    assert likely_range(good, bad, DEFAULTS) == pytest.approx((mean, low_end, high_end), abs=0.00005)


@given(good=st.floats(0, 22.2), bad=st.floats(0, 22.2))
@settings(max_examples=300)
def test_the_likely_range_is_scipys_beta_quantiles_for_any_counts(good, bad):
    _, low_end, high_end = likely_range(good, bad, DEFAULTS)
    expected = beta.ppf([0.10, 0.90], 2 + good, 2 + bad)
    assert (low_end, high_end) == pytest.approx(tuple(expected), abs=1e-9)


def test_the_steps_of_slip_are_those_written_down():
    # ln(.40/.65) and ln(.60/.35): the design; the logarithms are repeated here on purpose.
    assert pytest.approx(-0.485508, abs=5e-7) == DEFAULTS.slip_good
    assert pytest.approx(0.538997, abs=5e-7) == DEFAULTS.slip_bad
    assert pytest.approx(math.log(0.40 / 0.65)) == DEFAULTS.slip_good
    assert pytest.approx(math.log(0.60 / 0.35)) == DEFAULTS.slip_bad


def test_a_perfect_start_over_two_days_is_settled_at_the_tenth_rep():
    # Design: 4 reps on day 0, the rest on day 3.
    assert [advised(after((0, "1111"), (3, "1" * more)), 3) for more in (5, 6)] == [Advice.KEEP_ON, Advice.SETTLED]


def test_twenty_of_twenty_on_one_day_is_keep_on():
    assert advised(after((0, "1" * 20)), 0) is Advice.KEEP_ON


def test_twelve_good_over_two_days_fade_as_written_down():
    # Design: low end .717; 14 days later .672, 42 days later .577. The twelve's spread is not given; six and six
    # three days apart give all three values, four and eight would give .719, .674, .579.
    state = after((0, "1" * 6), (3, "1" * 6))
    assert [low(state, day) for day in (3, 17, 45)] == pytest.approx([0.717, 0.672, 0.577], abs=0.0005)


def test_sixty_bad_reps_fill_slip_and_one_good_one_takes_it_under():
    state = after((0, "0" * 60))
    assert state.slip == 5
    assert fold(state, Rep(START, Outcome.GOOD), DEFAULTS).slip < 5


def test_the_weight_of_evidence_never_passes_22_1():
    # 1 / (1 − 2^(−1/15)) = 22.14…; the design says "never above 22.1".
    assert round(read(after((0, "1" * 2000)), START, DEFAULTS).n, 1) == 22.1


def test_the_running_sum_that_slip_uses_gives_the_published_learning_curve():
    # Learning-curve CUSUM, reference page of the R package cusumr: p0 = .2, p1 = .4, α = β = .1, 1 = success.
    # There the steps are the log-likelihood ratios divided by the sum of their sizes, and the wall is at 0 from below.
    outcomes = "0000111" + "00" + "11" + "00" + "11" + "0" * 13 + "1" * 15
    ratios = cusum_steps(0.2, 0.4)
    size = ratios.bad - ratios.good
    success, failure = ratios.good / size, ratios.bad / size
    limit = math.log((1 - 0.1) / 0.1) / size
    assert (success, failure, limit) == pytest.approx((-0.2933049, 0.7066951, 2.2401703), abs=5e-8)

    sums, total = [], 0.0
    for outcome in outcomes:
        total = cusum(total, success if outcome == "1" else failure, -math.inf, 0.0)
        sums.append(total)
    passed = next(event for event, value in enumerate(sums, 1) if value < -limit)
    assert passed == 36
    assert sums[35] == pytest.approx(-2.3464396, abs=5e-7)
