"""What a drill is worth to an athlete: a forecast for planning alone, the learning zone, what else speaks for it."""

from dataclasses import replace

import pytest

from sessions.planning.core.problem import Why, repeats
from sessions.planning.core.worth import Aim, Counts, History, forecast, learning, worth

NONE = Counts()


def test_with_nothing_known_the_next_rep_is_even() -> None:
    assert forecast(NONE, NONE, NONE) == pytest.approx(0.5)


def test_the_prior_is_the_mean_of_drill_and_athlete_on_the_logit_scale() -> None:
    """Shares .8 and .5 (one good and one bad added): logits 1.386294 and 0, their mean gives .666667."""
    assert forecast(NONE, Counts(7, 8), Counts(4, 8)) == pytest.approx(2 / 3)


def test_the_prior_weighs_eight_reps() -> None:
    assert forecast(Counts(8, 8), NONE, NONE) == pytest.approx((8 * 0.5 + 8) / 16)
    assert forecast(Counts(0, 24), NONE, NONE) == pytest.approx(0.125)


@pytest.mark.parametrize(
    ("share", "value"), [(0.0, 0.0), (0.2, 0.5), (0.4, 1.0), (0.6, 1.0), (0.85, 1.0), (0.925, 0.5), (1.0, 0.0)]
)
def test_most_is_learned_between_four_and_eight_and_a_half_in_ten(share: float, value: float) -> None:
    assert learning(share) == pytest.approx(value)


def whys(history: History) -> list[Why]:
    return [reason.why for reason in worth(history).reasons]


MIDDLE = History(own=Counts(6, 10), days_since=3, days_seen=3, reps=10)


@pytest.mark.parametrize(
    ("change", "why"),
    [
        ({"aims": (Aim("plant start", 5, 9),)}, Why.PERSISTENT_FAULT),
        ({"aims": (Aim("sinks", 5, 9, first_link=True),)}, Why.FIRST_LINK),
        ({"focus": "drop start"}, Why.FOCUS),
        ({"days_seen": 1}, Why.TOO_LITTLE_SEEN),
        ({"days_since": None}, Why.NEVER_DONE),
    ],
)
def test_each_reason_raises_the_worth_and_is_said(change: dict[str, object], why: Why) -> None:
    changed = replace(MIDDLE, **change)
    assert worth(changed).worth > worth(MIDDLE).worth and why in whys(changed) and why not in whys(MIDDLE)


def test_the_first_link_of_a_chain_comes_before_a_fault_that_follows() -> None:
    both = replace(MIDDLE, aims=(Aim("late plant", 9, 9), Aim("sinks", 3, 9, first_link=True)))
    assert [reason.what for reason in worth(both).reasons][:2] == ["sinks", "late plant"]
    assert worth(replace(MIDDLE, aims=both.aims[1:])).worth > worth(replace(MIDDLE, aims=both.aims[:1])).worth


@pytest.mark.parametrize(("change", "why"), [({"settled": True}, Why.SETTLED), ({"easier": True}, Why.EASIER)])
def test_settled_and_too_hard_drills_fall_back(change: dict[str, bool], why: Why) -> None:
    changed = replace(MIDDLE, **change)
    assert worth(changed).worth <= worth(MIDDLE).worth / 2 and why in whys(changed)


def test_worth_grows_with_the_days_since_and_stops_growing() -> None:
    grown = [worth(replace(MIDDLE, days_since=days)).worth for days in (0, 5, 14, 60)]
    assert grown[0] < grown[1] < grown[2] == grown[3]


def test_worth_is_never_above_one() -> None:
    best = History(own=Counts(6, 10), aims=(Aim("sinks", 9, 9, first_link=True),), focus="start")
    assert worth(best).worth == pytest.approx(1.0)


def test_a_repeat_is_worth_half() -> None:
    assert [repeats(0.8, n) for n in range(3)] == [0.8, 0.4, 0.2]
