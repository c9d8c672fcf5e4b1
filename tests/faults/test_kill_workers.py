"""Workers killed outright in the middle of roll-ups: once they are back, every figure is what the reps say."""

import random
import subprocess
import time
from collections.abc import Iterator
from pathlib import Path

import pytest

from tests.deploy.running import Place, place, until
from tests.faults.forked import Crew, Duties, start

pytestmark = pytest.mark.processes

KILLS = 10
SEED = 20
WORKER = ["worker", "-Q", "quick", "--concurrency=1", "--loglevel=WARNING"]
WORKER += ["--without-gossip", "--without-mingle", "--without-heartbeat"]
SCHEDULE = ["beat", "--loglevel=WARNING", "--scheduler=celery.beat:Scheduler"]


def worker(crew: Crew, name: str) -> None:
    crew.run(*WORKER, "-n", f"{name}@%h")


@pytest.fixture
def crew(where: Place, tmp_path: Path) -> Iterator[Crew]:
    made = Crew(where, tmp_path / "log", "tests.faults.crew")
    assert made.greeting == "ready", made.log.read_text()
    yield made
    made.end()


@pytest.fixture
def feeder(where: Place, tmp_path: Path) -> Iterator[subprocess.Popen[str]]:
    """Writes reps until there is a file ``stop``, and then says into ``fed`` how many steps it took."""
    process = start(where, tmp_path / "fed", "tests.faults.feed_rows", str(SEED), str(tmp_path / "stop"))
    yield process
    process.kill()
    process.wait()


@pytest.fixture
def where(tmp_path: Path) -> Iterator[Place]:
    """An empty installation: a data folder, a migrated database."""
    with place(tmp_path) as made:
        (made.data / "broker" / "control").mkdir(parents=True)
        made.environment.update(SIXMARK_SECRET_KEY="for-tests-only-" + "x" * 40, DJANGO_SETTINGS_MODULE="club.settings")
        done = made.manage("migrate", "--verbosity=0")
        assert done.returncode == 0, done.stderr
        yield made


def test_after_ten_kills_in_the_middle_of_roll_ups_every_figure_is_what_the_reps_say(
    where: Place, crew: Crew, feeder: subprocess.Popen[str], tmp_path: Path
) -> None:
    chance, duties, fed = random.Random(SEED), Duties(where), tmp_path / "fed"
    left_in_hand = []
    crew.run(*SCHEDULE)
    (schedule,) = crew.pids
    for _ in range(KILLS):
        done = duties.done()
        worker(crew, "one")
        worker(crew, "two")
        assert until(lambda done=done: duties.done() > done, 30, pause_s=0.01), crew.log.read_text() + fed.read_text()
        time.sleep(chance.random() * 0.4)
        crew.kill(*(pid for pid in crew.pids if pid != schedule))
        left_in_hand.append(duties.in_hand())
        duties.end_leases()
    worker(crew, "last")
    (tmp_path / "stop").touch()
    assert feeder.wait(20) == 0, fed.read_text()
    checked = where.manage("check_counts", "--wait", "30")
    assert duties.due() == 0
    assert (checked.returncode, checked.stdout.strip()) == (0, "0"), checked.stderr + crew.log.read_text()
    assert int(fed.read_text()) > 100, "too little was fed to prove anything"
    assert sum(count > 0 for count in left_in_hand) >= 3, f"too few kills fell into a roll-up: {left_in_hand}"
