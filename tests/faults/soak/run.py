"""One soak: three tablets, each with an adversary for a network, a site that is killed again and again, a judge."""

import json
import random
import shutil
import time
from collections import Counter
from collections.abc import Callable, Iterator
from contextlib import ExitStack, contextmanager, suppress
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any

from deploy import health
from deploy.listening import free_port
from tests.deploy.running import Place
from tests.faults.forked import Crew, Duties, groups_alive
from tests.faults.siege import PROCESSES, Siege, installation
from tests.faults.soak import judge
from tests.faults.soak.life import Life
from tests.faults.soak.network import Network, Patch
from tests.faults.soak.tablet import Tablet

TABLETS = 3
OFF_H = (-9.0, 9.0)
STALLED_S = 45.0


@dataclass(frozen=True, slots=True)
class Plan:
    """reps: of all tablets together. kill_every_s: mean time from an answering site to a kill. act_share: see Life.

    patches, bug: put into client and server.
    """

    seed: int
    reps: int
    minutes: float = 60.0
    kill_every_s: float = 8.0
    act_share: float = 0.07
    patches: tuple[Patch, ...] = ()
    bug: str = ""


@dataclass
class Soak:
    """strike_database: kills the database server and brings it back, where there is one.

    ended: processes of the site that ended by themselves. ends: when it is enough, of the monotonic clock.
    """

    plan: Plan
    where: Place
    crew: Crew
    world: dict[str, Any]
    lives: list[Life]
    duties: Duties
    strike_database: Callable[[], None] | None = None
    kills: Counter[str] = field(default_factory=Counter)
    pids: dict[str, int] = field(default_factory=dict)
    ended: Counter[str] = field(default_factory=Counter)
    ends: float = 0.0

    def run(self) -> None:
        chance = random.Random(self.plan.seed * 31)
        for life in self.lives:
            life.start()
        for life in self.lives:
            life.prepared.wait()
        self.ends = time.monotonic() + self.plan.minutes * 60
        while not all(life.practised.is_set() for life in self.lives):
            self._wait(
                60, self._answers
            )  # on a busy machine it takes its time; a site that is never there shows nothing
            self._wait(chance.uniform(0.5, 2 * self.plan.kill_every_s - 0.5))
            if not any(life.broken for life in self.lives):
                self._strike(chance)
        self._bring_home()

    def _answers(self) -> bool:
        port = self.lives[0].network.site_port
        return health.ask(health.Address("127.0.0.1", port, f"http://localhost:{port}")).good

    def _wait(self, seconds: float, enough: Callable[[], bool] = lambda: False) -> None:
        end = time.monotonic() + seconds
        while time.monotonic() < end and not all(life.practised.is_set() for life in self.lives) and not enough():
            if time.monotonic() > self.ends:
                for life in self.lives:
                    life.enough.set()
            time.sleep(0.05)

    # --- the site ---

    def start_site(self) -> None:
        """What does not run, also what ended by itself, as the supervisor of deploy/up would."""
        alive = groups_alive()
        for name in PROCESSES:
            dead = self.pids.pop(name) if self.pids.get(name, 0) not in alive and name in self.pids else 0
            if dead:
                self.crew.pids.remove(dead)
                self.ended[name] += 1
            if name not in self.pids:
                self.crew.run(name)
                self.pids[name] = self.crew.pids[-1]

    def _strike(self, chance: random.Random) -> None:
        kinds = {"web": 4, "workers": 3, "site": 3} | ({"database": 3} if self.strike_database else {})
        (kind,) = chance.choices(list(kinds), list(kinds.values()))
        names = {"web": ("web",), "workers": ("quick", "long"), "site": PROCESSES}.get(kind, ())
        self.crew.kill(*(self.pids.pop(name) for name in names))
        if kind == "database" and self.strike_database:
            self.strike_database()
        self.kills[kind] += 1
        time.sleep(chance.random() * 1.2)
        self.start_site()
        with suppress(Exception):  # locked for a moment, or the database is not back yet
            self.duties.end_leases()
            self.duties.end_pauses()

    def end_session(self, key: str) -> None:
        with suppress(Exception):  # the database may be away just now: then the session goes on
            self.duties.ask(f"DELETE FROM django_session WHERE session_key = '{key}'")

    # --- in the end ---

    def _bring_home(self) -> None:
        """Calm, until all that ticked is there or nothing more comes."""
        self.start_site()
        for life in self.lives:
            life.network.calm = True
            life.calm.set()
        wanted = {one.uuid for life in self.lives for one in life.tablet.truth.ticked}
        best, since = len(wanted) + 1, time.monotonic()
        while time.monotonic() - since < STALLED_S:
            lacking = len(wanted - judge.there(self.duties))
            if lacking < best:
                best, since = lacking, time.monotonic()
            if not lacking:
                break
            self.start_site()
            time.sleep(1)
        time.sleep(1.0)  # what is there too much may come yet
        for life in self.lives:
            life.all_there.set()
            life.join(30)

    def faults(self) -> list[str]:
        """What is wrong; figures are asked only where the events are right."""
        found = [life.broken for life in self.lives if life.broken]
        for life in self.lives:
            found += [f"tablet {life.tablet.number}: {why}" for why in sorted(set(life.tablet.wrong))]
            if life.network.overlaps:
                found.append(
                    f"tablet {life.tablet.number}: {life.network.overlaps} flushes at the same time as another"
                )
        lacking = sorted(life.tablet.number for life in self.lives if life.is_alive())
        found += [f"tablet {number} did not come to an end" for number in lacking]
        found += judge.wrong((life.tablet.truth for life in self.lives), self.duties, self.world)
        return found or Siege(self.where, self.crew, [], random.Random(), self.duties).misfigured(wait_s=60)

    def report(self) -> dict[str, object]:
        def total(parts: Iterator[Counter[str]]) -> dict[str, int]:
            return dict(sorted(sum(parts, Counter()).items()))

        said = [one for life in self.lives for one in life.tablet.truth.ticked]
        return {
            "seed": self.plan.seed,
            "reps_and_sets": sum(life.tablet.truth.reps for life in self.lives),
            "events": total(Counter([one.kind]) for one in said),
            "unsure": sum(one.kind != "hold" for life in self.lives for one in life.tablet.truth.unsure),
            "clocks_h": [life.tablet.off_h for life in self.lives],
            "requests": sum(life.network.carried for life in self.lives),
            "network": total(life.network.done for life in self.lives),
            "tablets": total(life.done for life in self.lives),
            "kills": dict(self.kills),
            "ended_by_themselves": dict(self.ended),
            "pages_lost": sum(life.lost.total() for life in self.lives),
        }


@contextmanager
def soak(
    plan: Plan, folder: Path, *, ground: Path | None = None, strike_database: Callable[[], None] | None = None
) -> Iterator[Soak]:
    """All of it, ready to run. The environment says on which database.

    ground: a folder for a club that is made once and copied for every run; on SQLite alone.
    """
    port = free_port()
    with ExitStack() as stack:
        where = stack.enter_context(installation(folder))
        if ground and ground.exists():
            shutil.copytree(ground, where.data, dirs_exist_ok=True)
        crew = Crew(where, folder / "log", "tests.faults.soak.crew", str(port), *filter(None, [plan.bug]))
        stack.callback(crew.end)
        assert crew.greeting, crew.log.read_text()
        if ground and not ground.exists():
            shutil.copytree(where.data, ground)
        world = json.loads(crew.greeting)
        made = Soak(plan, where, crew, world, [], Duties(where), strike_database)
        for number in range(TABLETS):
            network = Network(free_port(), port, random.Random(plan.seed * 100 + number), plan.patches)
            network.start()
            stack.callback(network.end)
            made.lives.append(_life(made, number, network, folder))
        made.start_site()
        yield made


def _life(soak: Soak, number: int, network: Network, folder: Path) -> Life:
    plan = soak.plan
    chance = random.Random(plan.seed * 1000 + number)
    tablet = Tablet(number, soak.world, network.port, folder / f"tablet-{number}", chance)
    tablet.off_h = round(chance.uniform(*OFF_H), 2) if number else 0.0
    return Life(tablet, network, soak.end_session, chance, -(-plan.reps // TABLETS), plan.act_share)
