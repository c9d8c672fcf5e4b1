"""Duties: left in the transaction of a write, done once for each asking, never lost."""

from datetime import timedelta

import pytest
from django.db import transaction
from django.utils import timezone

from club import duties
from club.models import Club, Duty
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
