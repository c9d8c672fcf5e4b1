"""Web and workers killed outright, all at once, while tablets are sending: what was answered for is there, once."""

import json
import random
import time
from collections import Counter
from collections.abc import Iterator
from datetime import UTC, datetime, timedelta
from pathlib import Path
from typing import Any
from uuid import UUID

import pytest

from deploy.listening import free_port
from tests.deploy.running import Place, place, until
from tests.faults.forked import Crew, Duties
from tests.faults.tablets import Sent, Tablet

pytestmark = pytest.mark.processes

KILLS = 20
SEED = 26
PROCESSES = ("web", "quick", "long", "schedule")
# Two tablets' clocks are right, one is nine hours fast, one nine hours slow.
CLOCKS = (timedelta(0), timedelta(hours=9), timedelta(hours=-9), timedelta(0))
TRIP = timedelta(seconds=10)  # what a request may take on a busy machine, which its tablet's clock is then off by


@pytest.fixture
def where(tmp_path: Path) -> Iterator[Place]:
    with place(tmp_path) as made:
        (made.data / "broker" / "control").mkdir(parents=True)
        made.environment.update(SIXMARK_SECRET_KEY="for-tests-only-" + "x" * 40, DJANGO_SETTINGS_MODULE="club.settings")
        yield made


@pytest.fixture
def port() -> int:
    return free_port()


@pytest.fixture
def crew(where: Place, port: int, tmp_path: Path) -> Iterator[Crew]:
    made = Crew(where, tmp_path / "log", "tests.faults.site_crew", str(port))
    yield made
    made.end()


@pytest.fixture
def tablets(crew: Crew, port: int) -> Iterator[list[Tablet]]:
    lanes = json.loads(crew.greeting or "[]")
    assert lanes, crew.log.read_text()
    made = [Tablet(lane, port, seed, off) for seed, (lane, off) in enumerate(zip(lanes, CLOCKS, strict=True), SEED)]
    yield made
    for tablet in made:
        tablet.enough.set()


def answered(tablets: list[Tablet]) -> int:
    return sum(tablet.answered for tablet in tablets)


def test_after_twenty_kills_of_everything_all_that_was_answered_for_is_there_once_and_counted(
    where: Place, crew: Crew, tablets: list[Tablet], capsys: pytest.CaptureFixture[str]
) -> None:
    chance, duties, in_hand = random.Random(SEED), Duties(where), []
    for tablet in tablets:
        tablet.start()
    for number in range(KILLS):
        before, done = answered(tablets), duties.done()
        start_all(crew)
        assert until(lambda before=before: answered(tablets) > before, 30, pause_s=0.01), crew.log.read_text()
        if number % 2:  # every other kill comes while the workers are at their roll-ups, too
            assert until(lambda done=done: duties.done() > done, 30, pause_s=0.01), crew.log.read_text()
        time.sleep(chance.random() * 0.4)
        crew.kill(*crew.pids)
        in_hand.append(duties.in_hand())
        duties.end_leases()
    start_all(crew)
    for tablet in tablets:
        tablet.enough.set()
    for tablet in tablets:
        tablet.join(30)
    assert not any(tablet.is_alive() for tablet in tablets), crew.log.read_text()

    assert [tablet.odd for tablet in tablets] == [[]] * len(tablets), crew.log.read_text()
    sent = [one for tablet in tablets for one in tablet.sent]
    states = Counter(one.states[-1] for one in sent)
    broken = sum(tablet.broken for tablet in tablets)
    with capsys.disabled():
        print(f"\n{len(sent)} events, {dict(states)}; {broken} requests broken; duties in hand at a kill: {in_hand}")
    assert set(states) <= {"accepted", "duplicate"}
    assert differences(sent, stored(duties)) == []
    assert rep_differences(sent, duties) == []
    for command in (["check_counts", "--wait", "30"], ["check_club"]):
        checked = where.manage(*command)
        assert (checked.returncode, checked.stdout.strip()) == (0, "0"), checked.stderr + crew.log.read_text()
    assert len(sent) > 200 and broken >= KILLS, "too little was going on to prove anything"
    assert sum(count > 0 for count in in_hand) >= 3, f"too few kills fell into a roll-up: {in_hand}"


def start_all(crew: Crew) -> None:
    for name in PROCESSES:
        crew.run(name)


# --- what the database says, asked past the site -------------------------------------------------


def stored(duties: Duties) -> list[dict[str, Any]]:
    rows = duties.ask("SELECT uuid, kind, practice_id, sequence, device_at, at, content FROM reps_event")
    names = ("uuid", "kind", "practice", "sequence", "device_at", "at", "content")
    return [
        {
            **dict(zip(names, row, strict=True)),
            "uuid": as_uuid(row[0]),
            "practice": as_uuid(row[2]),
            "device_at": as_moment(row[4]),
            "at": as_moment(row[5]),
            "content": json.loads(row[6]) if isinstance(row[6], str) else row[6],
        }
        for row in rows
    ]


def as_uuid(value: Any) -> str:
    return str(UUID(str(value)))


def as_moment(value: Any) -> datetime:
    """SQLite keeps text without a zone, which is UTC."""
    moment = datetime.fromisoformat(value) if isinstance(value, str) else value
    return moment if moment.tzinfo else moment.replace(tzinfo=UTC)


def differences(sent: list[Sent], rows: list[dict[str, Any]]) -> list[str]:
    """Where the events are not exactly the ones that were answered for, each once, as sent, at their true time."""
    there = Counter(row["uuid"] for row in rows)
    wanted = Counter(one.said["uuid"] for one in sent)
    found = [f"{uuid}: sent once, there {there[uuid]} times" for uuid in wanted | there if there[uuid] != wanted[uuid]]
    rows_by_uuid = {row["uuid"]: row for row in rows}
    for one in sent:
        row = rows_by_uuid.get(one.said["uuid"])
        if row and not is_as_sent(one, row):
            found.append(f"{one} is stored as {row}")
    return found


def is_as_sent(one: Sent, row: dict[str, Any]) -> bool:
    head = {"uuid", "kind", "at", "sequence"}
    content = {name: value for name, value in one.said.items() if name not in head}
    return (
        (row["kind"], row["practice"], row["sequence"]) == (one.said["kind"], one.practice, one.said["sequence"])
        and row["content"] == content
        and row["device_at"] == datetime.fromisoformat(one.said["at"])
        and abs(row["at"] - one.true) < TRIP
    )


def rep_differences(sent: list[Sent], duties: Duties) -> list[str]:
    """Reps that events should have made and did not, or made twice, or made of nothing."""
    made = Counter(as_uuid(row[0]) for row in duties.ask("SELECT source FROM reps_rep"))
    wanted = Counter({one.said["uuid"]: one.said.get("done", 1) for one in sent if one.said["kind"] in {"rep", "set"}})
    return [f"{uuid}: {made[uuid]} reps of {wanted[uuid]}" for uuid in wanted | made if made[uuid] != wanted[uuid]]
