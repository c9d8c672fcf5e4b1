"""Workers killed outright in the middle of roll-ups: once they are back, every figure is what the reps say."""

import os
import random
import signal
import sqlite3
import subprocess
import sys
import time
from collections.abc import Iterator
from contextlib import closing, suppress
from pathlib import Path
from typing import Any

import pytest

from tests.deploy.running import ROOT, Place, place, until

pytestmark = pytest.mark.processes

KILLS = 10
SEED = 20
WORKER = ["worker", "-Q", "quick", "--concurrency=1", "--loglevel=WARNING"]
WORKER += ["--without-gossip", "--without-mingle", "--without-heartbeat"]
SCHEDULE = ["beat", "--loglevel=WARNING", "--scheduler=celery.beat:Scheduler"]


class Crew:
    """A process from which workers are forked, and all that it started."""

    def __init__(self, where: Place, log: Path) -> None:
        self.log = log
        self.process = start(where, log, "tests.faults.crew", stdin=subprocess.PIPE, stdout=subprocess.PIPE)
        self.pids: list[int] = []
        assert self._answer() == "ready", log.read_text()

    def worker(self, name: str) -> None:
        self.run(*WORKER, "-n", f"{name}@%h")

    def run(self, *arguments: str) -> None:
        assert self.process.stdin
        self.process.stdin.write(" ".join(arguments) + "\n")
        self.process.stdin.flush()
        self.pids.append(int(self._answer()))

    def kill(self, *pids: int) -> None:
        """The whole group of each, outright, whatever it is at."""
        for pid in pids:
            self.pids.remove(pid)
            with suppress(ProcessLookupError):
                os.killpg(pid, signal.SIGKILL)
        assert until(lambda: not any(Path(f"/proc/{pid}").exists() for pid in pids), 10, pause_s=0.005)

    def end(self) -> None:
        self.kill(*self.pids)
        self.process.kill()
        self.process.communicate()

    def _answer(self) -> str:
        assert self.process.stdout
        return self.process.stdout.readline().strip()


def start(where: Place, log: Path, module: str, *arguments: str, **pipes: Any) -> subprocess.Popen[str]:
    with log.open("ab") as output:
        return subprocess.Popen(
            [sys.executable, "-m", module, *arguments],
            env=where.environment,
            cwd=ROOT,
            text=True,
            **{"stdin": subprocess.DEVNULL, "stdout": output, "stderr": output, **pipes},
        )


@pytest.fixture
def crew(where: Place, tmp_path: Path) -> Iterator[Crew]:
    made = Crew(where, tmp_path / "log")
    yield made
    made.end()


@pytest.fixture
def feeder(where: Place, tmp_path: Path) -> Iterator[subprocess.Popen[str]]:
    """Writes reps until there is a file ``stop``, and then says into ``fed`` how many steps it took."""
    process = start(where, tmp_path / "fed", "tests.faults.feed_rows", str(SEED), str(tmp_path / "stop"))
    yield process
    process.kill()
    process.wait()


class Duties:
    """What the duties say, asked past the site."""

    def __init__(self, where: Place) -> None:
        self.url = where.environment.get("SIXMARK_DATABASE_URL", "")
        self.file = where.data / "sixmark.sqlite3"

    def ask(self, sql: str) -> list[Any]:
        if not self.url:
            with closing(sqlite3.connect(self.file, timeout=20)) as connection, connection:
                return connection.execute(sql).fetchall()
        import psycopg

        with psycopg.connect(self.url) as connection:
            cursor = connection.execute(sql)
            return cursor.fetchall() if cursor.description else []

    def due(self) -> int:
        return int(self.ask("SELECT count(*) FROM club_duty WHERE done < asked")[0][0])

    def done(self) -> int:
        return int(self.ask("SELECT coalesce(sum(done), 0) FROM club_duty")[0][0])

    def in_hand(self) -> int:
        """Duties that a worker has begun and not ended."""
        return int(self.ask("SELECT count(*) FROM club_duty WHERE token IS NOT NULL")[0][0])

    def end_leases(self) -> None:
        """As if the half minute of a dead worker's lease had passed, so that the test need not wait for it."""
        self.ask("UPDATE club_duty SET leased_until = asked_at WHERE token IS NOT NULL")


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
        crew.worker("one")
        crew.worker("two")
        assert until(lambda done=done: duties.done() > done, 30, pause_s=0.01), crew.log.read_text() + fed.read_text()
        time.sleep(chance.random() * 0.4)
        crew.kill(*(pid for pid in crew.pids if pid != schedule))
        left_in_hand.append(duties.in_hand())
        duties.end_leases()
    crew.worker("last")
    (tmp_path / "stop").touch()
    assert feeder.wait(20) == 0, fed.read_text()
    checked = where.manage("check_counts", "--wait", "30")
    assert duties.due() == 0
    assert (checked.returncode, checked.stdout.strip()) == (0, "0"), checked.stderr + crew.log.read_text()
    assert int(fed.read_text()) > 100, "too little was fed to prove anything"
    assert sum(count > 0 for count in left_in_hand) >= 3, f"too few kills fell into a roll-up: {left_in_hand}"
