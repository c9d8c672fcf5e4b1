"""The benchmark notices a rule that was softened or bent, and says so in its exit code."""

import json

import numpy as np
import pytest

from athletes.core.readiness import Settings
from tests.benchmarks.readiness import call, differing_calls
from tests.benchmarks.report import Report, at_least, at_most, near
from tests.benchmarks.simulated_learners import simulate

WORLD = simulate(np.random.default_rng(20250303), learners=40, reps=240, day_sd=0.35)
CALLS = call(WORLD)


def test_the_application_makes_the_calls_of_the_plain_fold():
    assert differing_calls(WORLD, CALLS, 40, Settings()) == 0


@pytest.mark.parametrize(
    "bent",
    [
        {"settled_low": 0.62},
        {"half_life_reps": 16.0},
        {"half_life_days": 60.0},
        {"prior_good": 3.0},
        {"low_quantile": 0.2},
        {"floor_good": 3},
        {"moving_low": 0.5},
        {"moving_n": 7.0},
    ],
)
def test_a_bent_threshold_makes_other_calls(bent):
    assert differing_calls(WORLD, CALLS, 40, Settings(**bent)) > 0


@pytest.mark.parametrize(("figure", "code"), [(at_most(1, 2), 0), (at_least(1, 2), 1), (near(5, 3, 1.9), 1)])
def test_the_last_line_is_json_and_the_exit_code_says_whether_limits_hold(figure, code, capsys):
    report = Report("some benchmark")
    report.add("a figure", figure)
    with pytest.raises(SystemExit) as stopped:
        report.finish()
    last = json.loads(capsys.readouterr().out.splitlines()[-1])
    assert stopped.value.code == code
    assert last == {
        "name": "some benchmark",
        "figures": {"a figure": {"value": figure.value, "limit": figure.limit, "ok": code == 0}},
    }


def test_a_benchmark_without_figures_does_not_pass():
    with pytest.raises(SystemExit) as stopped:
        Report("empty").finish()
    assert stopped.value.code == 1
