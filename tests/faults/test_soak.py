"""Three tablets touched by a driver, over a network that loses everything, at a site that is killed: nothing is lost.

For longer, with other seeds: ``python -m tests.faults.soak``. What it would see: ``python -m tests.faults.bugs``.
"""

from pathlib import Path

import pytest

from tests.faults.bugs import CLIENT
from tests.faults.soak.run import Plan, soak

SEED, REPS, MINUTES = 5, 60, 2.0
MODULES = Path(__file__).parents[2] / "sessions" / "station" / "static" / "station"


@pytest.mark.parametrize("name", CLIENT)
def test_each_bug_has_its_place_in_the_app(name: str) -> None:
    for patch in CLIENT[name]:
        assert (MODULES / f"{patch.module}.js").read_text(encoding="utf-8").count(patch.old) == 1


@pytest.mark.browser
def test_every_touch_that_ticked_is_on_the_server_once_as_it_was_meant(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    with soak(Plan(SEED, REPS, MINUTES, kill_every_s=3, act_share=0.2), tmp_path) as made:
        made.run()
        with capsys.disabled():
            print(f"\n{made.report()}")
        assert made.faults() == []
        said = made.report()
    assert isinstance(said["reps_and_sets"], int) and said["reps_and_sets"] >= REPS // 2
    assert said["network"] and said["kills"] and said["tablets"], "too little happened to prove anything"
