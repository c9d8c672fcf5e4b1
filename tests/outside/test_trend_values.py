"""Published values of the figures of the past. Each stands beside its source."""

import math
import random
from datetime import date, timedelta

import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy.stats import chi2, fisher_exact
from scipy.stats.contingency import odds_ratio

from sessions.trends.core.links import (
    Table,
    chi_square,
    chi_square_p,
    common_odds,
    exact_p,
    holding,
    link,
    odds_interval,
)
from sessions.trends.core.rates import DayRate, wilson
from sessions.trends.core.signals import Average, Direction, averages, signal, usual

START = date(2025, 3, 3)

# --- Wilson: Newcombe, Statistics in Medicine 1998;17:857-872, table I, method 3


@pytest.mark.parametrize(
    ("faulty", "watched", "low", "high"),
    [(81, 263, 0.2553, 0.3662), (15, 148, 0.0624, 0.1605), (0, 20, 0.0, 0.1611), (1, 29, 0.0061, 0.1718)],
)
def test_the_interval_of_a_share_is_the_published_one(faulty: int, watched: int, low: float, high: float) -> None:
    found = wilson(faulty, watched)
    assert (round(found.low, 4), round(found.high, 4)) == (low, high)


@given(st.integers(1, 400), st.data())
def test_the_share_lies_in_its_interval_and_the_ends_mirror(watched: int, data: st.DataObject) -> None:
    faulty = data.draw(st.integers(0, watched))
    found, mirrored = wilson(faulty, watched), wilson(watched - faulty, watched)
    assert 0 <= found.low <= faulty / watched <= found.high <= 1
    assert math.isclose(found.low, 1 - mirrored.high, abs_tol=1e-12)


def test_no_share_of_nothing() -> None:
    with pytest.raises(ValueError, match="0 of 0"):
        wilson(0, 0)


# --- Mantel and Haenszel: UCBAdmissions of R (documentation of mantelhaen.test)

ADMISSIONS = (
    (512, 313, 89, 19),
    (353, 207, 17, 8),
    (120, 205, 202, 391),
    (138, 279, 131, 244),
    (53, 138, 94, 299),
    (22, 351, 24, 317),
)


def test_the_common_odds_ratio_and_its_test_are_the_published_ones() -> None:
    tables = [Table(*counts) for counts in ADMISSIONS]
    assert round(common_odds(tables), 4) == 0.9047
    assert round(chi_square(tables), 4) == 1.4269
    assert round(chi_square_p(tables), 4) == 0.2323


def test_the_interval_of_the_common_odds_ratio_is_the_one_that_r_prints() -> None:
    # R documentation of mantelhaen.test on UCBAdmissions: 95 percent confidence interval (from memory).
    found = odds_interval([Table(*counts) for counts in ADMISSIONS])
    assert (round(found.low, 3), round(found.high, 3)) == (0.772, 1.060)


def test_the_exact_test_of_one_table_is_fishers() -> None:
    # Fisher's tea tasting, R documentation of fisher.test: two-sided p .4857.
    assert round(exact_p([Table(3, 1, 1, 3)]), 4) == 0.4857


@given(st.tuples(*[st.integers(0, 12)] * 4))
def test_one_table_agrees_with_scipy(counts: tuple[int, int, int, int]) -> None:
    table = Table(*counts)
    if table.informative:
        both, earlier, later, neither = counts
        assert math.isclose(exact_p([table]), fisher_exact([[both, earlier], [later, neither]])[1], rel_tol=1e-6)
        if both * earlier * later * neither:
            own = odds_ratio([[both, earlier], [later, neither]], kind="sample").statistic
            assert math.isclose(common_odds([table]), own)


def test_the_chance_of_a_chi_square_is_scipys() -> None:
    tables = [Table(9, 2, 3, 21), Table(4, 1, 2, 6)]
    assert math.isclose(chi_square_p(tables), chi2.sf(chi_square(tables), 1))


def test_faults_that_merely_fade_together_are_no_link() -> None:
    """Each day both are as frequent as each other and independent; pooled over days they go hand in hand."""
    days = [Table(16, 4, 4, 1), Table(16, 4, 4, 1), Table(16, 4, 4, 1), Table(1, 4, 4, 16), Table(1, 4, 4, 16)]
    pooled = [Table(sum(d.both for d in days), sum(d.earlier_only for d in days), sum(d.later_only for d in days),
                    sum(d.neither for d in days))]  # fmt: skip
    found = link(days)
    assert found is not None and math.isclose(found.odds, 1.0) and found.p > 0.9
    assert exact_p(pooled) < 0.01


def test_of_unrelated_pairs_few_are_called_and_a_true_link_is_found() -> None:
    dice, called, found = random.Random(5), 0, 0
    for _ in range(120):
        links = {pair: link([_day(dice, 0.5, 0.5) for _ in range(8)]) for pair in range(6)}
        links[9] = link([_day(dice, 0.8, 0.15) for _ in range(8)])
        held = holding({pair: one for pair, one in links.items() if one})
        called += any(pair != 9 for pair in held)
        found += 9 in held
    assert called <= 30 and found >= 100


def _day(dice: random.Random, late_with: float, late_without: float) -> Table:
    counts = {(x, y): 0 for x in (True, False) for y in (True, False)}
    for _ in range(8):
        earlier = dice.random() < 0.5
        counts[earlier, dice.random() < (late_with if earlier else late_without)] += 1
    return Table(counts[True, True], counts[True, False], counts[False, True], counts[False, False])


# --- EWMA: e-Handbook of Statistical Methods 6.3.2.4, weight .3, start 50, s 2.0539

HANDBOOK = (52.0, 47.0, 53.0, 49.3, 50.1, 47.0, 51.0, 50.1, 51.2, 50.5, 49.6, 47.6, 49.9, 51.3, 47.8, 51.2, 52.6, 52.4,
            53.6, 52.1)  # fmt: skip


def test_the_average_ends_where_the_handbook_ends_and_gives_no_signal(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr("sessions.trends.core.signals.WEIGHT", 0.3)
    now = Average(usual=0.50, mean=0.50, variance=0.0)
    for value in HANDBOOK:  # as shares of a hundred: the mean knows nothing of what it averages
        now = now.step(DayRate(START, 1000, round(value * 10)))
    assert round(100 * now.mean, 2) == 51.99


# --- "worth a look": readiness.md


def course(*rates: tuple[int, int]) -> list[DayRate]:
    return [DayRate(START + timedelta(days=2 * n), watched, faulty) for n, (watched, faulty) in enumerate(rates)]


def test_what_is_usual_is_drawn_to_one_in_four_and_frozen_after_the_twelfth_day() -> None:
    assert usual([]) == 0.25
    found = averages(course(*[(10, 3)] * 12, *[(10, 9)] * 4))
    assert len(found) == 10 and found[0].usual == pytest.approx(19 / 64)
    assert {round(one.usual, 9) for one in found[-4:]} == {round(37 / 124, 9)}


def test_the_average_after_one_day_by_hand() -> None:
    now = averages(course(*[(10, 3)] * 6, (5, 5)))[-1]
    p = 19 / 64
    assert now.mean == pytest.approx(0.2 * 1.0 + 0.8 * p)
    assert now.variance == pytest.approx(0.04 * p * (1 - p) / 5)


def test_before_the_seventh_day_nothing_is_said() -> None:
    assert signal(course(*[(10, 0)] * 5, (10, 10))) is None
    found = signal(course(*[(10, 0)] * 6, (10, 10)))
    assert found is not None and found.direction is Direction.ROSE and (found.faulty, found.watched) == (10, 10)


def test_a_fall_is_told_as_a_rise_is() -> None:
    found = signal(course(*[(10, 9)] * 12, *[(10, 0)] * 3))
    assert found is not None and found.direction is Direction.FELL
    assert found.since <= START + timedelta(days=26) and found.usual > 0.8


def test_false_alarms_and_rises_are_as_often_as_the_design_measured() -> None:
    """Design: one false alarm in 24 training days for 13 % of athletes; a rise from .30 to .60 caught within 6 days for
    75 %. Six reps a day here, and a day effect of .35 on the logit."""
    dice, runs = random.Random(3), 600
    alarms = sum(any(one.direction for one in averages(_days(dice, 24, 0.30))) for _ in range(runs))
    caught = 0
    for _ in range(runs):
        after = averages([*_days(dice, 12, 0.30), *_days(dice, 6, 0.60)])[-6:]
        caught += any(one.direction is Direction.ROSE for one in after)
    assert 0.08 <= alarms / runs <= 0.20
    assert 0.65 <= caught / runs <= 0.95


def _days(dice: random.Random, days: int, share: float) -> list[DayRate]:
    found = []
    for _ in range(days):
        logit = math.log(share / (1 - share)) + dice.gauss(0, 0.35)
        found.append((6, sum(dice.random() < 1 / (1 + math.exp(-logit)) for _ in range(6))))
    return course(*found)
