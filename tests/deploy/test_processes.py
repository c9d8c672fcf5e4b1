"""The family of processes, on small children: who comes back, and that nobody is left behind."""

import os
import signal
import subprocess
import sys
from collections.abc import Iterator
from contextlib import contextmanager, suppress
from pathlib import Path

import pytest

from deploy.data_folder import ROOT, read_json
from tests.deploy.running import until

pytestmark = pytest.mark.processes

# A family of three: one that stays (with a child of its own that ignores SIGTERM), one that ends
# at once every time, one that will not end when asked.
FAMILY = """
import os, signal, subprocess, sys, time
from pathlib import Path
from deploy.data_folder import write_json
from deploy.processes import Ended, Family, Role, watch_signals

folder = Path(sys.argv[1])

def steady():
    subprocess.Popen(["sleep", "61"], preexec_fn=lambda: signal.signal(signal.SIGTERM, signal.SIG_IGN))
    time.sleep(60)

def brief():
    (folder / "brief").open("a").write(f"{time.monotonic()}\\n")

def stubborn():
    signal.signal(signal.SIGTERM, signal.SIG_IGN)
    while True:
        time.sleep(0.1)

watch_signals()
roles = (Role("steady", steady), Role("brief", brief), Role("stubborn", stubborn, nice=5))
family = Family(roles, lambda name: folder / f"{name}.log", lambda pids: write_json(folder / "pids", pids))
try:
    family.start()
    while True:
        family.tend(1.0)
except Ended:
    family.end(patience_s=1.0)
"""


@contextmanager
def _family(folder: Path) -> Iterator[subprocess.Popen[bytes]]:
    environment = os.environ | {"FAMILY": str(folder), "PYTHONPATH": str(ROOT)}
    process = subprocess.Popen([sys.executable, "-c", FAMILY, str(folder)], env=environment)
    try:
        assert until(lambda: _pids(folder).get("stubborn", 0) > 0 and _sleeps(folder), 10)
        yield process
    finally:
        process.kill()
        process.wait()
        for pid in _members(folder):
            with suppress(ProcessLookupError):
                os.kill(pid, signal.SIGKILL)


def _pids(folder: Path) -> dict[str, int]:
    return {name: int(str(pid)) for name, pid in read_json(folder / "pids").items()}


def _members(folder: Path) -> list[int]:
    """Everything alive that descends from this family, grandchildren too."""
    found = []
    for entry in Path("/proc").iterdir():
        with suppress(OSError):
            marked = entry.name.isdigit() and f"FAMILY={folder}".encode() in (entry / "environ").read_bytes().split(
                b"\0"
            )
            if marked and (entry / "stat").read_text().rsplit(")", 1)[1].split()[0] != "Z":
                found.append(int(entry.name))
    return found


def _sleeps(folder: Path) -> bool:
    return any(Path(f"/proc/{pid}/comm").read_text().strip() == "sleep" for pid in _members(folder))


def test_when_it_is_asked_to_end_nobody_is_left_not_even_who_ignores_it(tmp_path: Path) -> None:
    with _family(tmp_path) as process:
        process.send_signal(signal.SIGTERM)
        assert process.wait(10) == 0
        assert until(lambda: not _members(tmp_path), 5)


def test_a_killed_child_comes_back_and_what_it_left_behind_does_not_stay(tmp_path: Path) -> None:
    with _family(tmp_path):
        first = _pids(tmp_path)["steady"]
        before = set(_members(tmp_path))
        os.kill(first, signal.SIGKILL)
        assert until(lambda: _pids(tmp_path)["steady"] not in {0, first}, 5)
        assert until(lambda: _sleeps(tmp_path), 5)
        sleepers = [pid for pid in _members(tmp_path) if Path(f"/proc/{pid}/comm").read_text().strip() == "sleep"]
        assert len(sleepers) == 1 and sleepers[0] not in before


def test_a_child_that_keeps_dying_is_started_at_growing_distances(tmp_path: Path) -> None:
    with _family(tmp_path):
        assert until(lambda: len(_starts(tmp_path)) >= 4, 10)
        starts = _starts(tmp_path)[:4]
        pauses = [later - earlier for earlier, later in zip(starts, starts[1:], strict=False)]
        assert pauses[0] >= 0.2 and pauses[1] >= 0.4 and pauses[2] >= 0.8


def _starts(folder: Path) -> list[float]:
    file = folder / "brief"
    return [float(line) for line in file.read_text().split()] if file.exists() else []


def test_children_end_when_the_supervisor_is_killed(tmp_path: Path) -> None:
    with _family(tmp_path) as process:
        steady = _pids(tmp_path)["steady"]
        process.kill()
        process.wait()
        assert until(lambda: steady not in _members(tmp_path), 5)


def test_the_long_queue_yields_to_the_others(tmp_path: Path) -> None:
    with _family(tmp_path):
        pids = _pids(tmp_path)
        assert os.getpriority(os.PRIO_PROCESS, pids["stubborn"]) - os.getpriority(os.PRIO_PROCESS, pids["steady"]) == 5


def test_each_child_leads_its_own_group(tmp_path: Path) -> None:
    with _family(tmp_path) as process:
        steady = _pids(tmp_path)["steady"]
        assert os.getpgid(steady) == steady != os.getpgid(process.pid)
