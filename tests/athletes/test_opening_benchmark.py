"""The benchmark of the way to contact runs, keeps its limits on a small draw, and ends with one line of JSON."""

import json
import subprocess
import sys


def test_the_quick_run_keeps_its_limits_and_nobody_is_at_contact_without_a_touch() -> None:
    command = [sys.executable, "-m", "tests.benchmarks.opening", "--quick", "--seed", "1"]
    done = subprocess.run(command, capture_output=True, text=True, check=False)
    last = json.loads(done.stdout.splitlines()[-1])
    assert done.returncode == 0, done.stdout
    figures = last["figures"]
    assert figures["contact drills open without the head coach's touch"] == {
        "value": 0.0, "limit": "at most 0", "ok": True
    }  # fmt: skip
    for day_effect in ("0.35", "0.70"):
        medians = [
            figures[f"true {skill}, day effect {day_effect}, median practices to the touch"]["value"]
            for skill in ("0.6", "0.7", "0.8", "0.9", "1.0")
        ]
        assert medians == sorted(medians, reverse=True), "the abler come there sooner"
