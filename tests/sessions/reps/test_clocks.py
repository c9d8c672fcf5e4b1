"""Whose clock, which day: the practice's date is the day, whatever a device's clock says."""

from datetime import date, datetime, time, timedelta
from uuid import UUID, uuid4
from zoneinfo import ZoneInfo

import pytest

from sessions.practices.models import Practice
from sessions.reps.actions import take_events
from sessions.reps.models import Event, Rep
from tests.sessions.reps.ground import TABLET, Ground, make_ground

NINE = timedelta(hours=9)


def send(ground: Ground, practice: Practice, true: list[datetime], off: timedelta, **how: timedelta) -> None:
    """Reps at these true times by a clock that is ``off``, sent ``after`` the last, arriving after ``trip``."""
    sent_at = true[-1] + how.get("after", timedelta(minutes=1))
    events = [
        {**ground.rep(), "uuid": str(uuid4()), "at": (at + off).isoformat(), "sequence": number}
        for number, at in enumerate(true)
    ]
    for event in events:
        event.pop("station")
    batch = {
        "version": 1,
        "device": {"uuid": str(how.get("device", TABLET))},
        "sent_at": (sent_at + off).isoformat(),
        "events": events,
    }
    received = sent_at + how.get("trip", timedelta(0))
    answer = take_events(by=ground.cast.assistant, practice=practice, batch=batch, received_at=received)
    assert {result.state for result in answer.results} == {"accepted"}


@pytest.mark.django_db
@pytest.mark.parametrize("off", [-NINE, NINE, timedelta(0)])
# Europe/London: clocks go on at 01:00 UTC on 29 March 2026, back at 01:00 UTC on 25 October 2026. New York: 8 March,
# 1 November. (IANA time zone database.) Practices around the change, and in the evening of that day.
@pytest.mark.parametrize(
    ("zone", "day"),
    [
        ("Europe/London", date(2026, 3, 29)),
        ("Europe/London", date(2026, 10, 25)),
        ("America/New_York", date(2026, 3, 8)),
        ("America/New_York", date(2026, 11, 1)),
        ("Pacific/Auckland", date(2026, 4, 5)),
        ("Pacific/Auckland", date(2026, 9, 27)),
    ],
)
@pytest.mark.parametrize("starts", [time(0, 15), time(21, 45)])
def test_a_reps_day_is_the_date_of_its_practice_and_its_time_is_the_true_one(
    off: timedelta, zone: str, day: date, starts: time
) -> None:
    ends = time(starts.hour + 2, starts.minute - 15)
    ground = make_ground(day=day, starts=starts, ends=ends, zone=zone)
    begin = datetime.combine(day, starts, ZoneInfo(zone)).astimezone(ZoneInfo("UTC"))
    true = [begin + timedelta(minutes=20 * n) for n in range(6)]
    send(ground, ground.practice, true, off)
    reps = list(Rep.objects.order_by("at"))
    assert [rep.at for rep in reps] == true
    assert [rep.sequence for rep in reps] == list(range(6))
    assert {rep.day for rep in reps} == {day}


def test_two_devices_nine_hours_off_either_way_come_out_in_the_true_order(ground: Ground) -> None:
    fast = [ground.at + timedelta(minutes=2 * n) for n in range(4)]
    slow = [at + timedelta(minutes=1) for at in fast]
    send(ground, ground.practice, fast, NINE, device=TABLET)  # type: ignore[arg-type]
    send(ground, ground.practice, slow, -NINE, device=UUID(int=9))  # type: ignore[arg-type]
    found = list(Rep.objects.order_by("at").values_list("at", "device__uuid"))
    assert found == sorted([(at, TABLET) for at in fast] + [(at, UUID(int=9)) for at in slow])


def test_the_time_is_fixed_at_first_acceptance(ground: Ground) -> None:
    sent = ground.rep()
    ground.send(sent)
    ground.send(sent, received_at=ground.at + timedelta(days=2))
    assert Event.objects.get().at == ground.at


def test_a_slow_request_never_puts_taps_of_one_device_in_the_wrong_order(ground: Ground) -> None:
    trip, second = timedelta(seconds=6), timedelta(seconds=1)
    send(ground, ground.practice, [ground.at], NINE, after=second, trip=trip)
    send(ground, ground.practice, [ground.at + 2 * second], NINE, after=second)
    first, then = Rep.objects.order_by("pk")
    assert then.at - first.at == 2 * second


def test_a_device_whose_clock_was_set_right_is_believed(ground: Ground) -> None:
    send(ground, ground.practice, [ground.at], NINE)
    send(ground, ground.practice, [ground.at + timedelta(minutes=5)], timedelta(0))
    assert list(Rep.objects.order_by("at").values_list("at", flat=True)) == [
        ground.at,
        ground.at + timedelta(minutes=5),
    ]
