"""Advice: the first line of the rule that applies."""

from datetime import date, timedelta

import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy.stats import beta

from athletes.core.readiness import (
    EMPTY,
    Advice,
    AdviceReason,
    Outcome,
    Rep,
    Settings,
    State,
    advice,
    advise,
    fold,
    says_settled,
)

DEFAULTS = Settings()
START = date(2025, 3, 3)


def after(*marks: tuple[int, str]) -> State:
    state = EMPTY
    for day, reps in marks:
        for mark in reps:
            state = fold(state, Rep(START + timedelta(days=day), _OUTCOMES[mark]), DEFAULTS)
    return state


_OUTCOMES = {"1": Outcome.GOOD, "0": Outcome.BAD, "-": Outcome.NOT_SEEN, "!": Outcome.UNSAFE}


def said(state: State, day: int) -> tuple[Advice, AdviceReason]:
    given_advice = advise(state, START + timedelta(days=day), DEFAULTS)
    return given_advice.advice, given_advice.reason


@pytest.mark.parametrize(
    ("marks", "day", "expected"),
    [
        ([], 0, (Advice.NO_REPS, AdviceReason.NOTHING_COUNTED)),
        ([(0, "--!")], 0, (Advice.NO_REPS, AdviceReason.NOTHING_COUNTED)),
        ([(0, "0" * 20)], 0, (Advice.KEEP_ON, AdviceReason.TOO_LITTLE_SEEN)),
        ([(0, "11"), (1, "111")], 1, (Advice.KEEP_ON, AdviceReason.TOO_LITTLE_SEEN)),
        ([(0, "0000"), (1, "0000")], 1, (Advice.EASIER_DRILL, AdviceReason.HIGH_END_LOW)),
        ([(0, "0000"), (1, "00001")], 1, (Advice.KEEP_ON, AdviceReason.BETWEEN)),
        ([(0, "1" * 30), (1, "0" * 10)], 1, (Advice.EASIER_DRILL, AdviceReason.BAD_REPS_PILED_UP)),
        ([(0, "111111"), (1, "111111")], 1, (Advice.SETTLED, AdviceReason.LOW_END_HIGH)),
        ([(0, "1" * 20), (1, "1" * 20 + "0")], 1, (Advice.KEEP_ON, AdviceReason.BETWEEN)),
        ([(0, "111111"), (1, "111111")], 400, (Advice.KEEP_ON, AdviceReason.TOO_LITTLE_SEEN)),
    ],
)
def test_the_first_line_that_applies_is_said(marks, day, expected):
    assert said(after(*marks), day) == expected


MARKS = st.lists(st.tuples(st.integers(0, 30), st.text("01", max_size=12)), max_size=8)


@given(MARKS, st.integers(0, 100))
def test_advice_is_the_plain_reading_of_the_rule(visits, later):
    state, day = EMPTY, START
    for gap, marks in visits:
        day += timedelta(days=gap)
        for mark in marks:
            state = fold(state, Rep(day, _OUTCOMES[mark]), DEFAULTS)
    today = day + timedelta(days=later)
    fade = 2 ** (-(today - (state.day or today)).days / 42)
    n = fade * (state.good + state.bad)
    low, high = beta.ppf([0.1, 0.9], 2 + fade * state.good, 2 + fade * state.bad)
    if state.reps == 0:
        expected = Advice.NO_REPS
    elif state.days < 2 or n < 6:
        expected = Advice.KEEP_ON
    elif (high <= 0.50 and not state.last_good) or state.slip >= 5:
        expected = Advice.EASIER_DRILL
    elif low >= 0.65 and n >= 8 and state.last_good:
        expected = Advice.SETTLED
    else:
        expected = Advice.KEEP_ON
    assert advice(state, today, DEFAULTS) is expected


@given(MARKS, st.integers(0, 400))
def test_settled_is_first_said_on_the_day_of_a_rep_never_by_time_passing(visits, later):
    state, day = EMPTY, START
    for gap, marks in visits:
        day += timedelta(days=gap)
        for mark in marks:
            state = fold(state, Rep(day, _OUTCOMES[mark]), DEFAULTS)
    on_the_day = state.day is not None and advice(state, state.day, DEFAULTS) is Advice.SETTLED
    assert says_settled(state, DEFAULTS) == on_the_day
    if advice(state, day + timedelta(days=later), DEFAULTS) is Advice.SETTLED:
        assert on_the_day
