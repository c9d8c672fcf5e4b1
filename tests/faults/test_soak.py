"""What ``python -m tests.faults.bugs`` puts into the app still has its place there.

The soak itself, ``python -m tests.faults.soak``, takes minutes and runs on demand.
"""

from pathlib import Path

import pytest

from tests.faults.bugs import CLIENT

MODULES = Path(__file__).parents[2] / "sessions" / "station" / "static" / "station"


@pytest.mark.parametrize("name", CLIENT)
def test_each_bug_has_its_place_in_the_app(name: str) -> None:
    for patch in CLIENT[name]:
        assert (MODULES / f"{patch.module}.js").read_text(encoding="utf-8").count(patch.old) == 1
