"""Two devices that held a station without knowing of each other."""

import pytest

from club.models import Duty
from sessions.practices.actions.errors import NotNow
from sessions.reps import actions
from sessions.reps.models import Hold, NeedsLook, Rep
from sessions.reps.queries import needs_a_look
from tests.sessions.reps.ground import SECOND, TABLET, Ground


def both_hold(ground: Ground) -> None:
    for device in (TABLET, SECOND):
        ground.send(ground.event(-600, kind="hold", station=ground.station.pk), device=device)


def states() -> list[str]:
    return list(Rep.objects.order_by("at").values_list("state", flat=True))


def test_two_holders_reps_of_one_athlete_within_a_minute_wait(ground: Ground) -> None:
    both_hold(ground)
    assert ground.states(ground.rep(0)) == [("accepted", "")]
    assert ground.states(ground.rep(60), device=SECOND) == [("kept", "two_devices")]
    assert states() == ["waits", "waits"]
    assert Duty.objects.get().asked == 2


@pytest.mark.parametrize("late", [61, 600])
def test_more_than_a_minute_apart_they_count(ground: Ground, late: int) -> None:
    both_hold(ground)
    ground.send(ground.rep(0))
    ground.send(ground.rep(late), device=SECOND)
    assert states() == ["counts", "counts"]


def test_reps_of_two_athletes_count(ground: Ground) -> None:
    both_hold(ground)
    ground.send(ground.rep(0))
    ground.send(ground.rep(5, athlete=ground.cast.team_mate.pk), device=SECOND)
    assert states() == ["counts", "counts"]


def test_nobody_holding_anything_anybody_may_just_log(ground: Ground) -> None:
    ground.send(ground.rep(0))
    ground.send(ground.rep(5), device=SECOND)
    assert states() == ["counts", "counts"]


def test_a_rep_at_a_station_that_another_device_holds_waits_too(ground: Ground) -> None:
    ground.send(ground.event(-600, kind="hold", station=ground.station.pk))
    ground.send(ground.rep(0))
    ground.send(ground.rep(5), device=SECOND)
    assert states() == ["waits", "waits"]


def test_a_hold_that_arrives_late_makes_them_wait(ground: Ground) -> None:
    ground.send(ground.rep(0))
    ground.send(ground.rep(5), device=SECOND)
    ground.send(ground.event(-600, kind="hold", station=ground.station.pk))
    assert states() == ["waits", "waits"]
    ground.send(ground.event(-300, kind="release", station=ground.station.pk))
    assert states() == ["counts", "counts"] and not NeedsLook.objects.exists()


def test_a_look_that_waited_finds_the_first_rep_that_came_with_its_hold(ground: Ground) -> None:
    assert ground.states(ground.look(20), device=SECOND) == [("kept", "no_rep")]
    ground.send(ground.event(-600, kind="hold", station=ground.station.pk), ground.rep(0))
    assert not NeedsLook.objects.exists() and Rep.objects.get().looks.count() == 2


def test_a_hold_and_the_reps_under_it_in_one_batch_come_to_the_same(ground: Ground) -> None:
    ground.send(ground.look(90, station=None))
    ground.send(ground.event(-600, kind="hold", station=ground.station.pk), ground.rep(0))
    ground.send(ground.event(-600, kind="hold", station=ground.station.pk), ground.rep(80), device=SECOND)
    assert states() == ["counts", "counts"] and not NeedsLook.objects.exists()
    ground.send(ground.event(-500, kind="release", station=ground.station.pk), ground.rep(30))
    assert states() == ["counts", "waits", "waits"]


def test_not_her_ends_the_waiting(ground: Ground) -> None:
    both_hold(ground)
    sent = ground.rep(5)
    ground.send(ground.rep(0))
    ground.send(sent, device=SECOND)
    ground.send(ground.correct(sent, athlete=ground.cast.team_mate.pk))
    assert states() == ["counts", "counts"] and not NeedsLook.objects.exists()


def test_unsafe_counts_at_once(ground: Ground) -> None:
    both_hold(ground)
    ground.send(ground.rep(0))
    ground.send(ground.rep(5, unsafe=True), device=SECOND)
    assert Rep.objects.get(unsafe=True).state == "waits"


def test_a_set_and_a_rep_at_the_same_time_wait_whole(ground: Ground) -> None:
    both_hold(ground)
    ground.send(ground.set(0))
    ground.send(ground.rep(30), device=SECOND)
    assert states() == ["waits"] * 6 and NeedsLook.objects.count() == 1


def test_the_coach_says_two_attempts(ground: Ground) -> None:
    both_hold(ground)
    ground.send(ground.rep(0))
    ground.send(ground.rep(5), device=SECOND)
    (need,) = needs_a_look(ground.cast.head_coach.acting("reps.correct"), ground.practice)  # type: ignore[arg-type]
    actions.two_attempts(by=ground.cast.head_coach, need=need)
    assert states() == ["counts", "counts"]
    ground.send(ground.rep(300))
    assert states() == ["counts"] * 3
    with pytest.raises(NotNow):
        actions.one_attempt(by=ground.cast.head_coach, need=need)


def test_the_coach_says_one_attempt(ground: Ground) -> None:
    both_hold(ground)
    ground.send(ground.rep(0))
    ground.send(ground.rep(5), device=SECOND)
    actions.one_attempt(by=ground.cast.assistant, need=NeedsLook.objects.get())
    assert states() == ["counts", "void"]
    assert NeedsLook.objects.get().settled_as == "one"


def test_three_within_a_minute_wait_until_every_pair_is_settled(ground: Ground) -> None:
    both_hold(ground)
    ground.send(ground.rep(0), ground.rep(100))
    ground.send(ground.rep(50), device=SECOND)
    assert states() == ["waits"] * 3
    first, second = NeedsLook.objects.order_by("at", "target")
    for need in (first, second):
        actions.two_attempts(by=ground.cast.head_coach, need=need)
    assert states() == ["counts"] * 3


def test_taking_over_ends_the_hold_of_the_device_that_was_seen_to_hold(ground: Ground) -> None:
    station = ground.station.pk
    ground.send(ground.event(-600, kind="hold", station=station))
    ground.send(ground.event(-300, kind="hold", station=station, takes_over=TABLET), device=SECOND)
    first, second = Hold.objects.order_by("since")
    assert first.until == second.since and second.until is None


def test_a_take_over_is_the_same_whichever_hold_comes_first(ground: Ground) -> None:
    station = ground.station.pk
    ground.send(ground.event(-300, kind="hold", station=station, takes_over=TABLET), device=SECOND)
    ground.send(ground.event(-600, kind="hold", station=station))
    assert Hold.objects.get(until=None).device.uuid == SECOND


def test_what_the_first_device_still_logs_after_a_take_over_waits(ground: Ground) -> None:
    station = ground.station.pk
    ground.send(ground.event(-600, kind="hold", station=station))
    ground.send(ground.event(-300, kind="hold", station=station, takes_over=TABLET), device=SECOND)
    ground.send(ground.rep(0), device=SECOND)
    ground.send(ground.rep(20))
    assert states() == ["waits", "waits"]
