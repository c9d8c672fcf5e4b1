"""Workers killed outright at every step of handing a mail over: none is ever sent twice by itself, and each that did
not surely arrive is shown. A real mail server on loopback pulls the trigger, so that each kill falls right."""

import random
import time
from collections import Counter
from collections.abc import Iterator
from pathlib import Path

import pytest

from tests.deploy.running import Place, place, until
from tests.faults.forked import Crew, Duties, groups_alive
from tests.mailing import SENDER, LoopbackServer, loopback

pytestmark = pytest.mark.processes

STEPS = ("ehlo", "mail", "rcpt", "data", "taken", "quit")
SEED, ROUNDS = 31, 8


@pytest.fixture
def server() -> Iterator[LoopbackServer]:
    with loopback() as made:
        yield made


@pytest.fixture
def where(tmp_path: Path, server: LoopbackServer) -> Iterator[Place]:
    with place(tmp_path) as made:
        mail = {"HOST": "127.0.0.1", "PORT": str(server.port), "SECURITY": "none", "FROM": SENDER}
        made.environment.update({f"SIXMARK_MAIL_{name}": value for name, value in mail.items()})
        made.environment.update(SIXMARK_SECRET_KEY="for-tests-only-" + "x" * 40, DJANGO_SETTINGS_MODULE="club.settings")
        (made.data / "broker" / "control").mkdir(parents=True, exist_ok=True)
        done = made.manage("migrate", "--verbosity=0")
        assert done.returncode == 0, done.stderr
        yield made


@pytest.fixture
def crew(where: Place, tmp_path: Path) -> Iterator[Crew]:
    made = Crew(where, tmp_path / "log", "tests.faults.mail_crew")
    assert made.greeting == "ready", made.log.read_text()
    yield made
    made.end()


def ask(crew: Crew, line: str) -> int:
    assert crew.process.stdin
    crew.process.stdin.write(line + "\n")
    crew.process.stdin.flush()
    return int(crew._answer())


def run_to_the_end(crew: Crew, duties: Duties) -> None:
    """A worker that nobody kills; again until what can go by itself has gone."""
    for _ in range(40):
        duties.end_leases()
        duties.ask("UPDATE club_duty SET due_at = asked_at WHERE kind = 'post'")
        duties.ask("UPDATE club_mail SET due_at = queued_at WHERE state = 'waiting'")
        pid = ask(crew, "work")
        assert until(lambda pid=pid: has_ended(pid), 30, pause_s=0.005), crew.log.read_text()
        open_adults = duties.ask("SELECT 1 FROM club_mail WHERE state IN ('waiting', 'sending') AND NOT minor")
        if not open_adults and not waiting_minors_that_can_go(duties):
            return
    raise AssertionError(crew.log.read_text())


def waiting_minors_that_can_go(duties: Duties) -> int:
    sql = """SELECT count(*) FROM club_mail child WHERE child.state = 'waiting' AND child.minor AND EXISTS (
             SELECT 1 FROM club_mail copy WHERE copy.key = child.key AND copy.about_id = child.about_id
             AND NOT copy.minor AND copy.state = 'sent')"""
    return int(duties.ask(sql)[0][0])


def wrong(duties: Duties, server: LoopbackServer) -> list[str]:
    """Duplicates; mails said to be sent that were not, or refused and were; minors' mails without an adult's."""
    got = Counter((one.to, one.mail["Subject"]) for one in server.taken)
    said = [f"{pair} came {times} times" for pair, times in got.items() if times > 1]
    sql = "SELECT p.email, m.title, m.state FROM club_mail m JOIN club_person p ON p.id = m.to_id"
    for email, title, state in duties.ask(sql):
        came = got[(email, title)]
        fits = {"sent": came == 1, "unsure": came <= 1, "sending": came <= 1, "waiting": came == 0}
        if not fits.get(state, False):
            said.append(f"{email} {title}: {state}, and came {came} times")
        if email.startswith("nandi") and came and not got[("thandi@home.example", title)]:
            said.append(f"{title}: to the child alone")
    return said


def states(duties: Duties) -> Counter[str]:
    return Counter(state for (state,) in duties.ask("SELECT state FROM club_mail"))


def test_kills_at_each_step_and_at_any_moment_send_nothing_twice_and_hide_nothing(
    where: Place, crew: Crew, server: LoopbackServer, capsys: pytest.CaptureFixture[str]
) -> None:
    duties = Duties(where)
    at_each_step(crew, duties, server, capsys)
    at_any_moment(crew, duties, server, capsys)


def at_each_step(crew: Crew, duties: Duties, server: LoopbackServer, capsys: pytest.CaptureFixture[str]) -> None:
    struck = Counter[str]()
    for step in STEPS:
        for whom in ("aiko", "thandi", "nandi"):
            if step in {"ehlo", "quit"} and whom != "aiko":  # these are not about a reader
                continue
            ask(crew, "queue 1")
            strike(crew, duties, server, step, whom, struck)
            run_to_the_end(crew, duties)
            assert wrong(duties, server) == []
    found = states(duties)
    with capsys.disabled():
        print(f"\nkilled {dict(struck)}; {len(server.taken)} mails came, {dict(found)}")
    assert struck.total() == 14 and set(struck) == set(STEPS)
    assert found["unsure"] == 6, "those that were killed with the words in the server's hands"
    assert set(found) <= {"sent", "unsure", "waiting"}
    waiting = duties.ask("SELECT m.minor FROM club_mail m WHERE m.state = 'waiting'")
    assert len(waiting) == 2 and all(minor for (minor,) in waiting), "the child's, while her mother's is unsure"


def strike(crew: Crew, duties: Duties, server: LoopbackServer, step: str, whom: str, struck: Counter[str]) -> None:
    """Starts a worker and kills it when the server hears that step for that reader."""
    pids: list[int] = []

    def kill(at: str, to: str) -> None:
        until(lambda: bool(pids), 5, pause_s=0.002)  # it may be heard of before its id is known here
        about = step in {"ehlo", "quit", "mail"} or to.startswith(whom)
        if at == step and about and pids and not struck_now:
            if step == "mail" and not before_of(duties, whom):
                return
            crew.kill(*pids)
            struck_now.append(at)
            struck[at] += 1

    struck_now: list[str] = []
    server.step = kill
    duties.end_leases()
    pids.append(ask(crew, "work"))
    crew.pids += pids
    assert until(lambda: bool(struck_now) or has_ended(pids[0]), 30, pause_s=0.005), crew.log.read_text()
    server.step = lambda at, to: None
    crew.pids = [pid for pid in crew.pids if pid in groups_alive()]


def has_ended(pid: int) -> bool:
    """By its id: the group that it is going to lead is not there from its first moment on."""
    return not Path(f"/proc/{pid}").exists()


def before_of(duties: Duties, whom: str) -> bool:
    """Whether the next mail of the worker is that reader's, by what is still waiting: coach, mother, child."""
    order = {"aiko": 0, "thandi": 1, "nandi": 2}
    sql = """SELECT p.email FROM club_mail m JOIN club_person p ON p.id = m.to_id WHERE m.state = 'waiting'
             ORDER BY m.minor, m.due_at, m.id"""
    waiting = [email.split("@")[0] for (email,) in duties.ask(sql)]
    return bool(waiting) and waiting[0] == whom and whom in order


def at_any_moment(crew: Crew, duties: Duties, server: LoopbackServer, capsys: pytest.CaptureFixture[str]) -> None:
    chance, mid = random.Random(SEED), 0
    for _ in range(ROUNDS):
        ask(crew, "queue 12")
        duties.end_leases()
        duties.ask("UPDATE club_duty SET due_at = asked_at WHERE kind = 'post'")
        taken = len(server.taken)
        pid = ask(crew, "work")
        crew.pids.append(pid)
        assert until(lambda taken=taken: len(server.taken) > taken, 20, pause_s=0.001), crew.log.read_text()
        time.sleep(chance.random() * 0.15)
        mid += pid in groups_alive()
        crew.kill(pid)
        assert wrong(duties, server) == []
    run_to_the_end(crew, duties)
    with capsys.disabled():
        print(f"\n{mid} of {ROUNDS} kills while sending; {len(server.taken)} mails came, {dict(states(duties))}")
    assert wrong(duties, server) == [] and mid >= ROUNDS // 2
    assert len(server.taken) >= 12 * ROUNDS and "sending" not in states(duties)
