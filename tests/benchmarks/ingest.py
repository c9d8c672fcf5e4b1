"""Fifty tablets send batches of 1 to 50 reps to a really started site: how many a second, how late the slowest.

``python -m tests.benchmarks.ingest [--quick] [--database sqlite|postgresql]``; on PostgreSQL with Redis, too.
The batches come at a set rate, each tablet's by chance, as at many clubs at once; a tablet sends its next one when the
last was answered. Sizes are even on a logarithmic scale: most batches are of a few reps, some a dead spot's whole
backlog. Workers roll up meanwhile. In the same run the same rows of events go in by a bare INSERT, a batch a
transaction: the ratio says what taking a batch costs beside storing it.
"""

import argparse
import http.client
import json
import os
import random
import sqlite3
import statistics
import sys
import time
from collections.abc import Callable, Iterator, Sequence
from contextlib import ExitStack, closing, contextmanager
from datetime import UTC, datetime, timedelta
from pathlib import Path
from tempfile import TemporaryDirectory
from typing import Any
from unittest import mock

from deploy import health, services
from deploy.listening import free_port
from tests.benchmarks.report import Report, at_least, at_most
from tests.deploy.running import Place, place, until
from tests.faults.forked import Crew, Duties
from tests.faults.tablets import GIVE_UP_S, TOKEN, Sent, Tablet

CREW = "tests.faults.site_crew"  # started, not imported: it loads the site
TABLETS, BATCHES_A_S, LARGEST = 50, 66.0, 50
SECONDS, QUICK_SECONDS = 60.0, 10.0
WITHIN_MS = {"sqlite": 1000.0, "postgresql": 300.0}
AT_LEAST_A_S = 60.0
A_TURN = timedelta(seconds=10)
TRIES = 3


def size(chance: random.Random) -> int:
    return int(LARGEST ** chance.random()) if chance.random() < 0.98 else LARGEST


class PacedTablet(Tablet):
    """Sends batches of reps at moments thrown beforehand, over one connection that stays open, as a browser's does.

    Whatever can be is made before the first moment and read after the last: the tablets share the machine with the
    site. took: seconds from each moment's send to its answer.
    """

    def __init__(self, lane: dict[str, Any], port: int, seed: int, seconds: float) -> None:
        super().__init__(lane, port, seed, off=timedelta(0))
        self.took = list[float]()
        self.first = datetime.now(UTC) - timedelta(hours=3)
        self.moments = list(self._moments(seconds))
        self.batches = [self._batch() for _ in self.moments]
        self.texts = [json.dumps([sent.said for sent in batch]).encode() for batch in self.batches]
        self.answers = list[bytes]()
        self.headers = {
            "Content-Type": "application/json",
            "Cookie": f"sessionid={lane['session']}; csrftoken={TOKEN}",
            "X-CSRFToken": TOKEN,
        }

    def _moments(self, seconds: float) -> Iterator[float]:
        moment = 0.0
        while (moment := moment + self.chance.expovariate(BATCHES_A_S / TABLETS)) < seconds:
            yield moment

    def _batch(self) -> list[Sent]:
        return [self.rep() for _ in range(size(self.chance))]

    def run(self) -> None:
        self.send([self.make("hold", station=self.lane["station"])])
        connection = http.client.HTTPConnection("127.0.0.1", self.port, timeout=GIVE_UP_S)
        start = time.monotonic()
        for moment, text in zip(self.moments, self.texts, strict=True):
            time.sleep(max(0.0, start + moment - time.monotonic()))
            began = time.monotonic()
            self.answers.append(self.ask(connection, text))
            self.took.append(time.monotonic() - began)

    def ask(self, connection: http.client.HTTPConnection, text: bytes) -> bytes:
        """Until it is answered for."""
        for _ in range(TRIES):
            try:
                connection.request("POST", self.lane["path"], self._body(text), self.headers)
                answer = connection.getresponse()
                said = answer.read()
            except (OSError, http.client.HTTPException):
                self.broken += 1
                connection.close()
                continue
            if answer.status == 200:
                return said
            self.odd.append(f"{answer.status}: {said[:200]!r}")
        return b""

    def _body(self, text: bytes) -> bytes:
        head = {"version": 1, "device": {"uuid": self.device, "name": "Tablet"}, "sent_at": _now()}
        return json.dumps(head).encode()[:-1] + b', "events": ' + text + b"}"

    def read(self) -> None:
        """What was answered for each event."""
        for batch, answer in zip(self.batches, self.answers, strict=True):
            results = json.loads(answer)["results"] if answer else []
            for sent, result in zip(batch, results, strict=bool(answer)):
                assert result["uuid"] == sent.said["uuid"]
                sent.states.append(result["state"])

    def rep(self) -> Sent:
        """Reps follow each other as at a station, whenever their batch comes: the next athlete every ten seconds."""
        who = {"athlete": self.chance.choice(self.lane["athletes"]), "station": self.lane["station"]}
        made = self.make("rep", **who, drill=self.chance.choice(("drop", "walk")), **self.marks())
        made.said["at"] = (self.first + A_TURN * self.sequence).isoformat()
        return made


def _now() -> str:
    return datetime.now(UTC).isoformat()


@contextmanager
def servers(database: str) -> Iterator[None]:
    """The run's own PostgreSQL and Redis in the environment, or neither."""
    kept = {key: value for key, value in os.environ.items() if not key.startswith("SIXMARK_")}
    with ExitStack() as stack:
        if database == "postgresql":
            kept["SIXMARK_DATABASE_URL"] = stack.enter_context(services.postgresql())
            kept["SIXMARK_REDIS_URL"] = stack.enter_context(services.redis())
        stack.enter_context(mock.patch.dict(os.environ, kept, clear=True))
        yield


@contextmanager
def site(folder: Path, module: str, *arguments: str) -> Iterator[tuple[Place, Crew, int]]:
    """A site whose processes that module makes; it is given the port, then the arguments."""
    port = free_port()
    with place(folder) as where:
        (where.data / "broker" / "control").mkdir(parents=True)
        where.environment.update(
            SIXMARK_SECRET_KEY="for-tests-only-" + "x" * 40, DJANGO_SETTINGS_MODULE="club.settings"
        )
        crew = Crew(where, folder / "log", module, str(port), *arguments)
        try:
            for name in ("web", "quick", "long", "schedule"):
                crew.run(name)
            yield where, crew, port
        finally:
            crew.end()


def measure(report: Report, database: str, seconds: float) -> None:
    with (
        servers(database),
        TemporaryDirectory() as folder,
        site(Path(folder), CREW, str(TABLETS)) as (where, crew, port),
    ):
        address = health.Address("127.0.0.1", port, f"http://localhost:{port}")
        lanes = json.loads(crew.greeting or "[]")
        assert until(lambda: health.ask(address).good, 60), crew.log.read_text()
        tablets = [PacedTablet(lane, port, seed, seconds) for seed, lane in enumerate(lanes)]
        passed, spent = _run(tablets)
        print(f"{database}: sending took {spent / passed:.2f} of a processor, of {os.cpu_count()}", flush=True)
        _report(report, database, tablets, passed)
        duties = Duties(where)
        report.add(f"{database}_lost_or_doubled", at_most(_differences(tablets, duties), 0))
        waited = time.monotonic()
        until(lambda: not _to_count(duties), 180)
        report.add(f"{database}_counts_not_made", at_most(_to_count(duties), 0))
        print(f"{database}: all counted {time.monotonic() - waited:.1f} s after the last answer", flush=True)
        crew.kill(*crew.pids)
        bare = bare_inserts_a_second(duties, [len(batch) for batch in _batches(tablets)])
        ours = sum(len(tablet.took) for tablet in tablets) / sum(sum(tablet.took) for tablet in tablets) * 1.0
        print(f"{database}: a bare INSERT of the same events takes {bare:.0f} batches a second by one writer;", end=" ")
        print(
            f"one tablet alone would send {ours:.1f}: a batch costs {bare / ours:.0f} times its bare rows", flush=True
        )


def _run(tablets: Sequence[PacedTablet]) -> tuple[float, float]:
    """Seconds that passed, and processor seconds of this process."""
    began, spent = time.monotonic(), time.process_time()
    for tablet in tablets:
        tablet.start()
    for tablet in tablets:
        tablet.join()
    passed, spent = time.monotonic() - began, time.process_time() - spent
    for tablet in tablets:
        tablet.read()
    return passed, spent


def _report(report: Report, database: str, tablets: Sequence[PacedTablet], passed: float) -> None:
    took = sorted(ms * 1000 for tablet in tablets for ms in tablet.took)
    events = sum(len(tablet.sent) for tablet in tablets)
    states = {state for tablet in tablets for sent in tablet.sent for state in sent.states}
    odd = [words for tablet in tablets for words in tablet.odd]
    median = statistics.median(took)
    print(f"{database}: {events} events, {events / passed:.0f} a second, median {median:.0f} ms {odd[:3]}", flush=True)
    errors = len(odd) + sum(tablet.broken for tablet in tablets) + len(states - {"accepted"})
    report.add(f"{database}_errors", at_most(errors, 0))
    report.add(f"{database}_batches_a_second", at_least(len(took) / passed, AT_LEAST_A_S))
    report.add(f"{database}_p99_ms", at_most(took[int(len(took) * 0.99)], WITHIN_MS[database]))


def _batches(tablets: Sequence[PacedTablet]) -> list[list[Sent]]:
    chance = random.Random(1)
    everything = [sent for tablet in tablets for sent in tablet.sent]
    found = []
    while everything:
        count = size(chance)
        found.append(everything[:count])
        del everything[:count]
    return found


def _differences(tablets: Sequence[PacedTablet], duties: Duties) -> int:
    """Events sent and not stored, stored and not sent, and reps that are not one an event."""
    sent = sum(len(tablet.sent) for tablet in tablets)
    reps = sum(one.said["kind"] == "rep" for tablet in tablets for one in tablet.sent)
    stored, rows = (duties.ask(f"SELECT count(*) FROM {table}")[0][0] for table in ("reps_event", "reps_rep"))
    return abs(stored - sent) + abs(rows - reps)


def _to_count(duties: Duties) -> int:
    kinds = "('day_counts', 'standing')"
    return int(duties.ask(f"SELECT count(*) FROM club_duty WHERE done < asked AND kind IN {kinds}")[0][0])


def bare_inserts_a_second(duties: Duties, sizes: Sequence[int]) -> float:
    """The stored rows of events copied in batches of these sizes into a table of the same columns and indexes."""
    rows = duties.ask("SELECT * FROM reps_event")
    with _bare_table(duties) as insert:
        began = time.monotonic()
        for size in sizes:
            insert(rows[:size])
            rows = rows[size:]
        return len(sizes) / (time.monotonic() - began)


@contextmanager
def _bare_table(duties: Duties) -> Iterator[Callable[[list[Any]], None]]:
    if not duties.url:
        with closing(sqlite3.connect(duties.file, timeout=20)) as connection:
            made = connection.execute("SELECT sql FROM sqlite_master WHERE name = 'reps_event'").fetchone()[0]
            connection.execute(made.replace('"reps_event"', '"bare_event"', 1))
            for (index,) in connection.execute(
                "SELECT sql FROM sqlite_master WHERE tbl_name = 'reps_event' AND type = 'index' AND sql IS NOT NULL"
            ).fetchall():
                name = index.split('"')[1]
                connection.execute(
                    index.replace(f'"{name}"', f'"bare_{name}"', 1).replace('"reps_event"', '"bare_event"')
                )
            columns = len(connection.execute("PRAGMA table_info(bare_event)").fetchall())

            def insert(rows: list[Any]) -> None:
                with connection:
                    connection.executemany(f"INSERT INTO bare_event VALUES ({', '.join('?' * columns)})", rows)

            yield insert
        return
    import psycopg
    from psycopg.types.json import Jsonb

    with psycopg.connect(duties.url) as connection:
        connection.execute("CREATE TABLE bare_event (LIKE reps_event INCLUDING ALL)")
        connection.commit()

        def insert_there(rows: list[Any]) -> None:
            values = [tuple(Jsonb(value) if isinstance(value, dict) else value for value in row) for row in rows]
            with connection.cursor() as cursor:
                marks = ", ".join(["%s"] * len(values[0])) if values else ""
                cursor.executemany(f"INSERT INTO bare_event OVERRIDING SYSTEM VALUE VALUES ({marks})", values)
            connection.commit()

        yield insert_there


def main() -> None:
    parser = argparse.ArgumentParser()
    parser.add_argument("--quick", action="store_true", help=f"{QUICK_SECONDS:g} seconds instead of {SECONDS:g}")
    parser.add_argument("--database", choices=list(WITHIN_MS), action="append")
    given = parser.parse_args()
    report = Report("ingest")
    for database in given.database or WITHIN_MS:
        measure(report, database, QUICK_SECONDS if given.quick else SECONDS)
    report.finish()


if __name__ == "__main__":
    sys.exit(main())
