"""Processes forked from a loaded site, killed outright with their whole groups, and what the database says then."""

import os
import signal
import sqlite3
import subprocess
import sys
from contextlib import closing, suppress
from pathlib import Path
from typing import Any

from tests.deploy.running import ROOT, Place, until


class Crew:
    """A process that loads the site once and forks from there what it is told to, and all that it started.

    greeting: the first line that it wrote.
    """

    def __init__(self, where: Place, log: Path, module: str, *arguments: str) -> None:
        self.log = log
        self.process = start(where, log, module, *arguments, stdin=subprocess.PIPE, stdout=subprocess.PIPE)
        self.pids: list[int] = []
        self.greeting = self._answer()

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
        assert until(lambda: not groups_alive().intersection(pids), 10, pause_s=0.005)

    def end(self) -> None:
        self.kill(*self.pids)
        self.process.kill()
        self.process.communicate()

    def _answer(self) -> str:
        assert self.process.stdout
        return self.process.stdout.readline().strip()


def groups_alive() -> set[int]:
    """Process groups in which anybody still runs (proc(5): state and group are the fields after the name)."""
    found = set()
    for entry in Path("/proc").glob("[0-9]*/stat"):
        with suppress(OSError):
            state, _parent, group = entry.read_text().rsplit(")", 1)[1].split()[:3]
            if state != "Z":
                found.add(int(group))
    return found


def start(where: Place, log: Path, module: str, *arguments: str, **pipes: Any) -> subprocess.Popen[str]:
    with log.open("ab") as output:
        return subprocess.Popen(
            [sys.executable, "-m", module, *arguments],
            env=where.environment,
            cwd=ROOT,
            text=True,
            **{"stdin": subprocess.DEVNULL, "stdout": output, "stderr": output, **pipes},
        )


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
        """Duties that a worker has begun and not ended; those of an earlier kill have had their leases ended."""
        return int(self.ask("SELECT count(*) FROM club_duty WHERE token IS NOT NULL AND leased_until > asked_at")[0][0])

    def end_leases(self) -> None:
        """As if the half minute of a dead worker's lease had passed, so that the test need not wait for it."""
        self.ask("UPDATE club_duty SET leased_until = asked_at WHERE token IS NOT NULL")

    def end_pauses(self) -> None:
        """As if the seconds had passed for which what failed, say because its database was away, is set aside."""
        self.ask("UPDATE club_duty SET due_at = asked_at WHERE failures > 0 AND done < asked AND due_at > asked_at")
