"""Duties: left in the transaction of a write, done once for each asking, never lost."""

from datetime import timedelta
from queue import Queue
from typing import Any

import pytest
from django.db import connection, transaction
from django.test.utils import CaptureQueriesContext
from django.utils import timezone

from club import duties
from club.models import Club, Duty
from club.tasks import drain_task
from tests.builders import make_club

pytestmark = pytest.mark.django_db


@pytest.fixture
def club() -> Club:
    return make_club()


@pytest.fixture
def done() -> list[str]:
    """A kind ``test`` whose effect is a line in this list; key ``bad`` fails."""
    lines: list[str] = []

    def handle(claim: duties.Claim) -> None:
        if claim.key == "bad":
            raise ValueError("no good")
        with claim.effect():
            lines.append(claim.key)

    duties._kinds["test"] = duties._Kind(duties.QUICK, handle, "a test")
    yield lines
    del duties._kinds["test"]


def test_a_duty_left_twice_before_it_is_done_is_done_once(club: Club, done: list[str]) -> None:
    duties.leave("test", club, ["a"])
    duties.leave("test", club, ["a"])
    assert Duty.objects.get().asked == 2
    assert duties.drain(duties.QUICK) == 1
    assert done == ["a"] and Duty.objects.get().done == 2


def test_a_duty_asked_for_again_while_it_is_worked_on_stays_due(club: Club, done: list[str]) -> None:
    duties.leave("test", club, ["a"])
    taken = duties.claim(Duty.objects.get(), timezone.now())
    assert taken is not None
    duties.leave("test", club, ["a"])
    duties._kinds["test"].handle(taken)
    row = Duty.objects.get()
    assert (row.asked, row.done) == (2, 1)
    assert duties.drain(duties.QUICK) == 1


def test_a_leased_duty_is_taken_by_nobody_else_until_the_lease_ends(club: Club, done: list[str]) -> None:
    duties.leave("test", club, ["a"])
    now = timezone.now()
    assert duties.claim(Duty.objects.get(), now) is not None
    assert duties.claim(Duty.objects.get(), now) is None
    assert duties.claim(Duty.objects.get(), now + timedelta(minutes=1)) is not None


def test_a_worker_whose_lease_was_taken_over_stores_nothing(club: Club, done: list[str]) -> None:
    duties.leave("test", club, ["a"])
    first = duties.claim(Duty.objects.get(), timezone.now())
    assert first is not None
    assert duties.claim(Duty.objects.get(), timezone.now() + timedelta(minutes=1)) is not None
    with pytest.raises(duties.LeaseLost), first.effect():
        pytest.fail("the effect ran")
    assert Duty.objects.get().done == 0


def test_a_failed_duty_is_kept_with_its_reason_and_tried_later(club: Club, done: list[str]) -> None:
    duties.leave("test", club, ["bad", "good"])
    assert duties.drain(duties.QUICK) == 1
    row = Duty.objects.get(key="bad")
    assert row.failures == 1 and "no good" in row.last_error and row.due_at > timezone.now()
    duties.retry(row)
    row.refresh_from_db()
    assert row.due_at <= timezone.now() and row.done == 0


def test_a_duty_left_in_a_transaction_that_fails_was_never_asked_for(club: Club, done: list[str]) -> None:
    with pytest.raises(RuntimeError), transaction.atomic():
        duties.leave("test", club, ["a"])
        raise RuntimeError
    assert not Duty.objects.exists()


def test_a_duty_for_later_waits_for_its_time(club: Club, done: list[str]) -> None:
    duties.leave("test", club, ["a"], due_at=timezone.now() + timedelta(hours=1))
    assert duties.drain(duties.QUICK) == 0
    duties.leave("test", club, ["a"])
    assert Duty.objects.get().due_at > timezone.now() - timedelta(hours=1)


def test_only_finished_old_duties_are_swept(club: Club, done: list[str]) -> None:
    duties.leave("test", club, ["a", "bad"])
    duties.drain(duties.QUICK)
    Duty.objects.update(asked_at=timezone.now() - timedelta(days=8))
    assert duties.sweep(club) == 1
    assert Duty.objects.get().key == "bad"


def test_each_club_s_night_tidies_up_and_asks_for_the_next(club: Club, done: list[str]) -> None:
    duties.leave("test", club, ["old"])
    duties.drain(duties.QUICK)
    Duty.objects.update(asked_at=timezone.now() - timedelta(days=8))
    duties._recurring_seen.clear()
    duties.drain(duties.LONG)
    night = Duty.objects.get(kind=duties.NIGHTLY, club=club)
    assert (night.asked, night.done) == (1, 0) and night.due_at > timezone.now()
    Duty.objects.filter(pk=night.pk).update(due_at=timezone.now())
    assert duties.drain(duties.LONG) == 1
    night.refresh_from_db()
    assert (night.asked, night.done) == (2, 1) and night.due_at > timezone.now()
    assert not Duty.objects.filter(key="old").exists()


def test_leases_of_many_are_taken_at_once_but_not_of_what_somebody_has(club: Club, done: list[str]) -> None:
    duties.leave("test", club, ["a", "b", "c"])
    now = timezone.now()
    found = duties.due(duties.QUICK, now)
    assert duties.claim(next(duty for duty in found if duty.key == "b"), now) is not None
    duties.leave("test", club, ["c"])
    with CaptureQueriesContext(connection) as captured:
        claims = duties.claim_all(found, now)
    assert [(claim.key, claim.asked) for claim in claims] == [("a", 1), ("c", 2)]
    assert sum("club_duty" in query["sql"] for query in captured.captured_queries) == 2
    assert duties.claim_all(found, now) == []


def test_rings_of_one_moment_are_one_and_a_later_one_is_another(monkeypatch: pytest.MonkeyPatch) -> None:
    heard: Queue[str] = Queue()
    monkeypatch.setattr(drain_task, "apply_async", lambda args, **how: heard.put(args[0]))
    monkeypatch.setattr(duties, "RING_AFTER_S", 0.2)
    for _ in range(20):
        duties.ring(duties.QUICK)
    duties.ring(duties.LONG)
    assert {heard.get(timeout=20), heard.get(timeout=20)} == {duties.QUICK, duties.LONG}
    duties.ring(duties.QUICK)
    assert heard.get(timeout=20) == duties.QUICK
    assert heard.empty()


def test_a_broker_that_is_away_is_no_matter(monkeypatch: pytest.MonkeyPatch, caplog: Any) -> None:
    def away(**how: Any) -> None:
        raise OSError("nobody there")

    monkeypatch.setattr(drain_task, "apply_async", away)
    duties._ring_now(duties.QUICK)
    assert "no ring for quick" in caplog.text
