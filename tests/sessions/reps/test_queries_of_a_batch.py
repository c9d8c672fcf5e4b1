"""How many queries a batch and a list take: pinned, and the same however many events and reps there are."""

from collections.abc import Iterable
from contextlib import contextmanager
from datetime import timedelta
from typing import Any

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext

from drills.actions.rows import new_stamp
from sessions.reps import queries
from sessions.reps.models import Rep
from tests.sessions.reps.ground import SECOND, TABLET, Ground
from tests.sessions.reps.test_events_api import post


def taken(ground: Ground, *sent: Any, **how: Any) -> list[str]:
    with CaptureQueriesContext(
        connection,
    ) as captured:
        assert {state for state, _ in ground.states(*sent, **how)} <= {"accepted", "duplicate", "kept"}
    return statements([query["sql"] for query in captured.captured_queries])


def statements(sent: Iterable[str]) -> list[str]:
    """SQLite takes a bulk insert in several statements once its parameters pass a limit; they count as one."""
    found: list[str] = []
    for sql in sent:
        words = sql.split("(")[0].split("VALUES")[0]
        if not (words.startswith(("INSERT", "UPDATE")) and found and found[-1] == words):
            found.append(words)
    return found


@pytest.fixture
def warm(ground: Ground) -> Ground:
    """A device, watch sets and a catalogue that are known already."""
    new_stamp(ground.cast.club)
    ground.send(ground.rep(-60, faults=["timing-late"]), ground.set(-50))
    return ground


def test_fifty_new_reps_take_as_many_queries_as_one(warm: Ground) -> None:
    one = taken(warm, warm.rep(1, faults=["timing-late"]))
    fifty = taken(warm, *(warm.rep(n, faults=["timing-late"]) for n in range(2, 52)))
    assert len(one) == len(fifty) == NEW_REPS, (one, fifty)


def test_a_request_takes_four_queries_more_than_its_batch(warm: Ground, monkeypatch: pytest.MonkeyPatch) -> None:
    """Session, person, roles and practice, whatever the batch holds: the door."""
    at = warm.at + timedelta(hours=1)
    monkeypatch.setattr("django.utils.timezone.now", lambda: at)  # not too late for this practice
    for batch in ([warm.rep(1, faults=["timing-late"])], [warm.rep(n, faults=["timing-late"]) for n in range(2, 52)]):
        with CaptureQueriesContext(connection) as captured:
            answer = post(warm, warm.batch(*batch))
        assert {result["state"] for result in answer.json()["results"]} == {"accepted"}
        sent = [query["sql"] for query in captured.captured_queries]
        door = max(n for n, sql in enumerate(sent) if "django_session" in sql)  # signing in comes before it
        assert len(statements(sent[door:])) == NEW_REPS + DOOR, sent[door:]


def test_a_batch_takes_no_more_queries_late_in_a_long_practice(warm: Ground) -> None:
    early = taken(warm, warm.rep(1), warm.set(2))
    for part in range(3):
        warm.send(*(warm.rep(1000 * part + n) for n in range(100)))
    late = taken(warm, warm.rep(5001), warm.set(5002))
    assert len(late) == len(early)


def test_where_stations_are_held_many_reps_take_as_many_queries_as_one(warm: Ground) -> None:
    for device in (TABLET, SECOND):
        warm.send(warm.event(-600, kind="hold", station=warm.station.pk), device=device)
    one = taken(warm, warm.rep(1))
    many = taken(warm, *(warm.rep(n) for n in range(2, 42)))
    assert len(one) == len(many)


def test_many_corrections_and_voids_take_as_many_queries_as_one(warm: Ground) -> None:
    reps = [warm.rep(n) for n in range(40)]
    warm.send(*reps)
    one = taken(warm, warm.void(reps[0]), warm.correct(reps[1], faults=["timing-late"]))
    others = [
        *(warm.void(rep) for rep in reps[2:20]),
        *(warm.correct(rep, faults=["timing-late"]) for rep in reps[20:]),
    ]
    assert len(taken(warm, *others)) == len(one)


def test_a_batch_sent_again_writes_nothing_but_when_the_device_was_heard(warm: Ground) -> None:
    sent = [warm.rep(n) for n in range(20)]
    warm.send(*sent)
    writes = [query for query in taken(warm, *sent) if query.startswith(("INSERT", "UPDATE", "DELETE"))]
    assert [query.split('"')[1] for query in writes] == ["reps_deviceatpractice"]


@contextmanager
def pinned(number: int) -> Any:
    with CaptureQueriesContext(connection) as captured:
        yield
    assert len(captured) == number, [query["sql"][:200] for query in captured.captured_queries]


def test_a_page_of_reps_is_one_query_and_pages_follow_each_other(ground: Ground) -> None:
    ground.send(*(ground.rep(n) for n in range(120)))
    coach = ground.cast.head_coach.acting("practice.read")  # type: ignore[arg-type]
    seen: list[Rep] = []
    after = None
    while True:
        with pinned(1):
            page = queries.reps_of_practice(coach, ground.practice, after)
            [(str(rep.athlete), rep.drill.name, str(rep.station)) for rep in page.reps]
        seen += page.reps
        after = page.next
        if not after:
            break
    assert [rep.sequence for rep in seen] == list(range(1119, 999, -1))
    assert queries.reps_of_athlete(coach, ground.cast.team_mate).reps == []
    assert len(queries.reps_of_athlete(coach, ground.cast.vaulter, size=200).reps) == 120


def test_deciding_looks_take_three_queries(ground: Ground) -> None:
    ground.send(*(ground.rep(n, faults=["timing-late"]) for n in range(30)))
    coach = ground.cast.head_coach.acting("practice.read")  # type: ignore[arg-type]
    reps = list(Rep.objects.all())
    with pinned(3):
        looks = queries.deciding_looks(coach, reps)
        names = {
            (str(f.fault), c.key)
            for look in looks.values()
            for f in look.faults.all()
            for c in look.watch_set.checkpoints.all()
        }
    assert len(looks) == 30 and names == {("timing late", "timing")}


def test_an_athlete_sees_their_own_reps_alone(ground: Ground) -> None:
    ground.send(ground.rep(), ground.rep(1, athlete=ground.cast.team_mate.pk))
    nandi = ground.cast.athlete.acting("my.read")  # type: ignore[arg-type]
    assert len(queries.reps_of_practice(nandi, ground.practice).reps) == 1
    assert queries.reps_of_athlete(nandi, ground.cast.team_mate).reps == []


def test_who_holds_what_now(ground: Ground) -> None:
    ground.send(
        ground.event(0, kind="hold", station=ground.station.pk),
        ground.event(1, kind="hold", station=ground.other_station.pk),
    )
    ground.send(ground.event(5, kind="release", station=ground.station.pk))
    coach = ground.cast.head_coach.acting("practice.read")  # type: ignore[arg-type]
    (held,) = queries.holds(coach, ground.practice)
    assert (held.station, held.person) == (ground.other_station, ground.cast.assistant.person)


NEW_REPS, DOOR = 17, 4
