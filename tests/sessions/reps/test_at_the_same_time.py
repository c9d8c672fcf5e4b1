"""Requests that meet: real threads, each with its own connection to the database."""

from collections import Counter
from collections.abc import Callable
from concurrent.futures import ThreadPoolExecutor
from threading import Barrier
from typing import Any
from uuid import UUID

import pytest
from django.db import connection

from sessions.reps.models import Device, Event, Rep, WatchSet
from tests.builders import make_practice
from tests.sessions.reps.ground import SECOND, TABLET, Ground, make_ground

pytestmark = pytest.mark.django_db(transaction=True)


@pytest.fixture
def ground(transactional_db: None) -> Ground:
    return make_ground()


def together(*calls: Callable[[], Any]) -> list[Any]:
    """Starts all calls at one moment, each in its thread; what they return, in their order."""
    start = Barrier(len(calls))

    def run(call: Callable[[], Any]) -> Any:
        start.wait(timeout=20)
        try:
            return call()
        finally:
            connection.close()

    with ThreadPoolExecutor(len(calls)) as pool:
        return [done.result(timeout=60) for done in [pool.submit(run, call) for call in calls]]


def test_one_of_the_same_event_sent_at_the_same_time_is_taken_and_the_others_are_duplicates(ground: Ground) -> None:
    for round_ in range(5):
        sent = ground.rep(round_)
        found = together(*[lambda sent=sent: ground.states(sent)] * 6)
        assert Counter(states[0] for states in found) == {("accepted", ""): 1, ("duplicate", ""): 5}
    assert Event.objects.count() == Rep.objects.count() == 5
    assert WatchSet.objects.count() == 1 and Device.objects.count() == 1


def test_one_uuid_with_two_contents_at_the_same_time_is_one_event_and_a_conflict(ground: Ground) -> None:
    for round_ in range(5):
        sent = ground.rep(round_)
        other = {**sent, "faults": ["timing-late"]}
        found = together(lambda s=sent: ground.states(s), lambda s=other: ground.states(s))
        assert sorted(state for (state,) in found) == [("accepted", ""), ("rejected", "conflict")]


def test_one_uuid_at_two_practices_at_the_same_time_is_taken_at_one(ground: Ground) -> None:
    """Two practices do not wait for each other: here the unique constraint decides."""
    from dataclasses import replace

    elsewhere = replace(ground, practice=make_practice(ground.cast.club, squads=list(ground.practice.squads.all())))
    for round_ in range(5):
        sent = ground.rep(round_, station=None)
        found = together(lambda s=sent: ground.states(s), lambda s=sent: elsewhere.states(s, device=SECOND))
        assert sorted(state for (state,) in found) == [("accepted", ""), ("rejected", "conflict")]


def test_two_holders_reps_at_the_same_time_wait_whoever_was_first(ground: Ground) -> None:
    for device in (TABLET, SECOND):
        ground.send(ground.event(-60, kind="hold", station=ground.station.pk), device=device)
    for round_ in range(3):
        one, two = ground.rep(200 * round_), ground.rep(200 * round_ + 5)
        together(lambda s=one: ground.states(s), lambda s=two: ground.states(s, device=SECOND))
    assert set(Rep.objects.values_list("state", flat=True)) == {"waits"}


def test_many_tablets_new_to_each_other_share_their_watch_sets(ground: Ground) -> None:
    together(
        *[
            lambda n=n: ground.states(ground.rep(n, watched=["timing", "feet"]), device=UUID(int=100 + n))
            for n in range(6)
        ]
    )
    assert Rep.objects.count() == 6 and WatchSet.objects.count() == 1
    assert WatchSet.objects.get().watched.count() == 2
