"""The state of one athlete at one drill, against a plain sum over the whole history."""

import json
import math
from datetime import date, timedelta

import pytest
from hypothesis import given
from hypothesis import strategies as st

from athletes.core.readiness import EMPTY, Outcome, Rep, Settings, State, fold, outcome_of, read, start_over

DEFAULTS = Settings()
START = date(2025, 3, 3)
GAPS = st.sampled_from([0, 0, 0, 0, 1, 2, 3, 4, 14, 21, 200])
HISTORIES = st.lists(st.tuples(GAPS, st.sampled_from(Outcome)), max_size=60)


def reps_of(history: list[tuple[int, Outcome]]) -> list[Rep]:
    day, reps = START, []
    for gap, outcome in history:
        day += timedelta(days=gap)
        reps.append(Rep(day, outcome))
    return reps


def folded(reps: list[Rep]) -> State:
    state = EMPTY
    for rep in reps:
        state = fold(state, rep, DEFAULTS)
    return state


@given(HISTORIES)
def test_decayed_counts_are_the_plain_weighted_sum_over_the_history(history):
    reps = reps_of(history)
    counted = [rep for rep in reps if rep.outcome in (Outcome.GOOD, Outcome.BAD)]
    good = bad = 0.0
    for place, rep in enumerate(reversed(counted)):
        weight = 2 ** (-place / 15) * 2 ** (-(counted[-1].day - rep.day).days / 42)
        good += weight * (rep.outcome is Outcome.GOOD)
        bad += weight * (rep.outcome is Outcome.BAD)
    state = folded(reps)
    assert (state.good, state.bad) == pytest.approx((good, bad))
    assert (state.reps, state.days) == (len(counted), len({rep.day for rep in counted}))


@given(HISTORIES)
def test_slip_is_the_worst_rise_of_the_sum_since_its_lowest_point_with_a_ceiling(history):
    slip = 0.0
    for _, outcome in history:
        if outcome is Outcome.GOOD:
            slip = max(0.0, slip + math.log(0.40 / 0.65))
        elif outcome is Outcome.BAD:
            slip = min(5.0, slip + math.log(0.60 / 0.35))
    assert folded(reps_of(history)).slip == pytest.approx(slip)


@given(HISTORIES)
def test_the_last_five_counted_reps_are_remembered_in_order(history):
    marks = "".join("1" if o is Outcome.GOOD else "0" for _, o in history if o in (Outcome.GOOD, Outcome.BAD))
    state = folded(reps_of(history))
    assert state.recent == marks[-5:]
    assert state.last_good == marks.endswith("1")


@given(HISTORIES)
def test_an_unsafe_rep_is_never_averaged_and_a_rep_not_seen_changes_nothing(history):
    reps = reps_of(history)
    counted = folded([rep for rep in reps if rep.outcome in (Outcome.GOOD, Outcome.BAD)])
    state = folded(reps)
    assert (state.good, state.bad, state.slip, state.recent) == (
        counted.good,
        counted.bad,
        counted.slip,
        counted.recent,
    )
    assert folded([rep for rep in reps if rep.outcome is not Outcome.NOT_SEEN]) == state


@given(HISTORIES)
def test_counted_reps_since_the_last_unsafe_one_are_counted(history):
    outcomes = [outcome for _, outcome in history]
    expected = None
    if Outcome.UNSAFE in outcomes:
        since = outcomes[len(outcomes) - outcomes[::-1].index(Outcome.UNSAFE) :]
        expected = sum(o in (Outcome.GOOD, Outcome.BAD) for o in since)
    assert folded(reps_of(history)).since_unsafe == expected


@given(HISTORIES)
def test_a_state_survives_storage_as_json_exactly(history):
    state = folded(reps_of(history))
    assert State.from_row(json.loads(json.dumps(state.to_row()))) == state


@given(HISTORIES, st.integers(0, 400), st.integers(0, 400))
def test_evidence_only_fades_between_reps(history, sooner, later):
    state = folded(reps_of(history))
    last = state.day or START
    first = read(state, last + timedelta(days=sooner), DEFAULTS)
    second = read(state, last + timedelta(days=sooner + later), DEFAULTS)
    assert second.n <= first.n
    assert abs(second.estimate - 0.5) <= abs(first.estimate - 0.5) + 1e-12


def test_a_rep_before_the_last_counted_day_is_refused():
    state = folded([Rep(START, Outcome.GOOD)])
    with pytest.raises(ValueError, match="after one of"):
        fold(state, Rep(START - timedelta(days=1), Outcome.GOOD), DEFAULTS)
    with pytest.raises(ValueError, match="before the last rep"):
        read(state, START - timedelta(days=1), DEFAULTS)


def test_starting_over_forgets_all_but_what_was_unsafe():
    state = folded([Rep(START, Outcome.GOOD), Rep(START, Outcome.UNSAFE), Rep(START, Outcome.GOOD)])
    assert start_over(state) == State(since_unsafe=1)


@pytest.mark.parametrize(
    ("watched", "faulty", "expected"),
    [
        ({"plant start", "full reach"}, set(), Outcome.GOOD),
        ({"plant start", "full reach"}, {"full reach"}, Outcome.BAD),
        ({"plant start", "full reach", "posture"}, {"posture"}, Outcome.GOOD),
        ({"plant start"}, {"plant start"}, Outcome.NOT_SEEN),
        (set(), {"full reach"}, Outcome.NOT_SEEN),
    ],
)
def test_a_rep_is_good_when_every_gate_checkpoint_was_watched_and_none_was_faulty(watched, faulty, expected):
    assert outcome_of({"plant start", "full reach"}, watched, faulty) is expected


def test_an_unsafe_rep_is_unsafe_whatever_was_watched_and_a_drill_without_a_gate_is_never_seen():
    assert outcome_of({"posture"}, {"posture"}, set(), unsafe=True) is Outcome.UNSAFE
    assert outcome_of(set(), {"posture"}, set()) is Outcome.NOT_SEEN


@pytest.mark.parametrize(
    "changed",
    [
        {"half_life_reps": 0},
        {"prior_good": 0},
        {"low_quantile": 0.9},
        {"slip_from": 0.4, "slip_to": 0.65},
        {"settled_low": 1.0},
        {"floor_last": 6},
        {"warm_up_bad": 4},
    ],
)
def test_settings_without_meaning_are_refused(changed):
    with pytest.raises(ValueError, match="must|looks|need"):
        Settings(**changed)
