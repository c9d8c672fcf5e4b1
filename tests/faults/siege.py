"""Tablets send, the site is killed again and again, and in the end the database is asked what there is.

Both the test of this folder and ``python -m tests.faults.kills`` are rounds of this.
"""

import json
import random
import time
from collections import Counter
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from dataclasses import dataclass, field
from datetime import timedelta
from pathlib import Path

from tests.deploy.running import Place, place, until
from tests.faults.answered import differences, rep_differences, stored
from tests.faults.forked import Crew, Duties, groups_alive
from tests.faults.tablets import Sent, Tablet

PROCESSES = ("web", "quick", "long", "schedule")
# Two tablets' clocks are right, one is nine hours fast, one nine hours slow.
CLOCKS = (timedelta(0), timedelta(hours=9), timedelta(hours=-9), timedelta(0))
LONGEST_PAUSE_S = 0.4


@contextmanager
def installation(folder: Path) -> Iterator[Place]:
    """A data folder and a database of its own, on the kind of database that this process is told of."""
    with place(folder) as made:
        (made.data / "broker" / "control").mkdir(parents=True)
        made.environment.update(SIXMARK_SECRET_KEY="for-tests-only-" + "x" * 40, DJANGO_SETTINGS_MODULE="club.settings")
        yield made


@contextmanager
def site(where: Place, log: Path, port: int) -> Iterator[Crew]:
    """A club, and the site's processes ready to be forked; none is left afterwards."""
    made = Crew(where, log, "tests.faults.site_crew", str(port))
    try:
        yield made
    finally:
        made.end()


@contextmanager
def tablets_of(crew: Crew, port: int, seed: int) -> Iterator[list[Tablet]]:
    lanes = json.loads(crew.greeting or "[]")
    assert lanes, crew.log.read_text()
    made = [Tablet(lane, port, number, off) for number, (lane, off) in enumerate(zip(lanes, CLOCKS, strict=True), seed)]
    try:
        yield made
    finally:
        for tablet in made:
            tablet.enough.set()


@dataclass(slots=True)
class Siege:
    """in_hand: how many duties were begun and not ended at each kill."""

    where: Place
    crew: Crew
    tablets: list[Tablet]
    chance: random.Random
    duties: Duties
    in_hand: list[int] = field(default_factory=list)
    running: dict[str, int] = field(default_factory=dict)

    def begin(self) -> None:
        for tablet in self.tablets:
            tablet.start()

    def round(self, kill: Callable[[], None]) -> None:
        """Runs what does not run, lets it work a while, and kills. Every other round comes while the workers are at
        their roll-ups, too."""
        before, done = self.answered, self.duties.done()
        self.start_all()
        assert until(lambda: self.answered > before, 30, pause_s=0.01), self.log
        if len(self.in_hand) % 2:
            assert until(lambda: self._at_work(done), 30, pause_s=0.01), self.log
        time.sleep(self.chance.random() * LONGEST_PAUSE_S)
        kill()
        self.in_hand.append(self.duties.in_hand())
        self.duties.end_leases()
        self.duties.end_pauses()

    def start_all(self) -> None:
        """What does not run; also what ended by itself, as the supervisor of deploy/up would: a worker does, once,
        where a kill left it half a message in the broker's folder."""
        alive = groups_alive()
        for name in PROCESSES:
            pid = self.running.get(name)
            if pid in self.crew.pids and pid not in alive:
                self.crew.pids.remove(pid)
            if pid not in self.crew.pids:
                self.crew.run(name)
                self.running[name] = self.crew.pids[-1]

    def _at_work(self, done: int) -> bool:
        self.start_all()
        return self.duties.done() > done

    def kill_site(self) -> None:
        """Web, workers and schedule at once."""
        self.crew.kill(*self.crew.pids)

    def end(self) -> None:
        """With everything running, until every tablet has an answer for all that it sent."""
        self.start_all()
        for tablet in self.tablets:
            tablet.enough.set()
        for tablet in self.tablets:
            tablet.join(60)
        assert not any(tablet.is_alive() for tablet in self.tablets), self.log

    # --- what there was, and what there is ---

    @property
    def log(self) -> str:
        return self.crew.log.read_text()

    @property
    def answered(self) -> int:
        return sum(tablet.answered for tablet in self.tablets)

    @property
    def sent(self) -> list[Sent]:
        return [one for tablet in self.tablets for one in tablet.sent]

    @property
    def states(self) -> Counter[str]:
        return Counter(one.states[-1] for one in self.sent)

    @property
    def kinds(self) -> Counter[str]:
        return Counter(one.said["kind"] for one in self.sent)

    @property
    def late(self) -> int:
        return sum(tablet.late for tablet in self.tablets)

    @property
    def broken(self) -> int:
        return sum(tablet.broken for tablet in self.tablets)

    @property
    def odd(self) -> list[str]:
        return [odd for tablet in self.tablets for odd in tablet.odd]

    def wrong(self) -> list[str]:
        """Events and reps that are not exactly what was answered for."""
        return differences(self.sent, stored(self.duties)) + rep_differences(self.sent, self.duties)

    def misfigured(self, wait_s: int = 30) -> list[str]:
        """What the checks of figures and of the club say, other than 0."""
        found = []
        for command in (["check_counts", "--wait", str(wait_s)], ["check_club"]):
            checked = self.where.manage(*command, timeout_s=wait_s + 300)
            if (checked.returncode, checked.stdout.strip()) != (0, "0"):
                found.append(f"{command[0]}: {checked.stdout}{checked.stderr}")
        return found
