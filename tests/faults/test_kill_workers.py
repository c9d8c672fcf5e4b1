"""Workers killed outright in the middle of roll-ups: once they are back, every figure is what the reps say."""

import os
import random
import signal
import sqlite3
import subprocess
import sys
import time
from collections.abc import Iterator
from contextlib import ExitStack, closing, contextmanager, suppress
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


@contextmanager
def group(where: Place, log: Path, *command: str) -> Iterator[subprocess.Popen[bytes]]:
    """A process that leads its own group; in the end the whole group is killed with SIGKILL, whatever it is at."""
    with log.open("ab") as output:
        process = subprocess.Popen(
            [sys.executable, "-m", *command],
            env=where.environment,
            cwd=ROOT,
            stdin=subprocess.DEVNULL,
            stdout=output,
            stderr=output,
            start_new_session=True,
        )
    try:
        yield process
    finally:
        kill(process)


def kill(process: subprocess.Popen[bytes]) -> None:
    with suppress(ProcessLookupError):
        os.killpg(process.pid, signal.SIGKILL)
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
    where: Place, tmp_path: Path
) -> None:
    chance, duties, stop, log = random.Random(SEED), Duties(where), tmp_path / "stop", tmp_path / "log"
    left_in_hand = []
    with ExitStack() as stack:
        feeder = stack.enter_context(group(where, tmp_path / "fed", "tests.faults.feed_rows", str(SEED), str(stop)))
        stack.enter_context(group(where, log, "celery", "-A", "club.celery", *SCHEDULE))
        for _ in range(KILLS):
            done = duties.done()
            with worker(where, log, "one"), worker(where, log, "two"):
                assert until(lambda done=done: duties.done() > done, 20, pause_s=0.01), log.read_text()
                time.sleep(chance.random() * 0.4)
            left_in_hand.append(duties.in_hand())
            duties.end_leases()
        stack.enter_context(worker(where, log, "last"))
        stop.touch()
        assert feeder.wait(20) == 0, (tmp_path / "fed").read_text()
        checked = where.manage("check_counts", "--wait", "30")
        assert duties.due() == 0
    assert (checked.returncode, checked.stdout.strip()) == (0, "0"), checked.stderr + log.read_text()
    assert int((tmp_path / "fed").read_text()) > 100, "too little was fed to prove anything"
    assert sum(count > 0 for count in left_in_hand) >= 3, f"too few kills fell into a roll-up: {left_in_hand}"


def worker(where: Place, log: Path, name: str) -> Any:
    return group(where, log, "celery", "-A", "club.celery", *WORKER, "-n", f"{name}@%h")
