"""Wall times and instants across both clock changes, and weekly dates."""

from datetime import UTC, date, datetime, time

import pytest

from sessions.practices.core.clock import (
    PastMidnight,
    SkippedTime,
    age_on,
    clock_after,
    instant,
    minutes_between,
    weekly,
)

LONDON = "Europe/London"  # forward on 29 March 2026 at 01:00, back on 25 October 2026 at 02:00
FORWARD, BACK = date(2026, 3, 29), date(2026, 10, 25)


@pytest.mark.parametrize(
    ("day", "expected_hour"),
    [(date(2026, 3, 28), 17), (FORWARD, 16), (date(2026, 10, 24), 16), (BACK, 17)],
)
def test_the_same_wall_time_is_another_instant_after_a_clock_change(day: date, expected_hour: int) -> None:
    assert instant(day, time(17), LONDON) == datetime(day.year, day.month, day.day, expected_hour, tzinfo=UTC)


def test_a_time_that_the_day_skips_is_an_error() -> None:
    with pytest.raises(SkippedTime):
        instant(FORWARD, time(1, 30), LONDON)


def test_a_time_that_comes_twice_means_the_first() -> None:
    assert instant(BACK, time(1, 30), LONDON) == datetime(2026, 10, 25, 0, 30, tzinfo=UTC)


def test_blocks_follow_the_wall_clock_over_both_changes() -> None:
    assert clock_after(FORWARD, time(0, 50), 20, LONDON) == time(2, 10)
    assert clock_after(BACK, time(0, 50), 80, LONDON) == time(1, 10)
    assert clock_after(date(2026, 3, 2), time(17), 20, LONDON) == time(17, 20)


def test_the_minutes_of_a_practice_are_those_that_pass() -> None:
    assert minutes_between(FORWARD, time(0, 30), time(2, 30), LONDON) == 60
    assert minutes_between(BACK, time(0, 30), time(2, 30), LONDON) == 180
    assert minutes_between(date(2026, 3, 2), time(17), time(19), LONDON) == 120


def test_a_block_does_not_go_past_midnight() -> None:
    with pytest.raises(PastMidnight):
        clock_after(date(2026, 3, 2), time(23, 50), 20, LONDON)


def test_a_weekly_series_keeps_its_weekday_over_a_clock_change() -> None:
    assert weekly(date(2026, 3, 23), date(2026, 4, 12)) == (date(2026, 3, 23), date(2026, 3, 30), date(2026, 4, 6))
    assert weekly(date(2026, 3, 23), date(2026, 3, 22)) == ()


def test_age_turns_on_the_birthday() -> None:
    assert age_on(date(2026, 3, 1), date(2012, 3, 2)) == 13
    assert age_on(date(2026, 3, 2), date(2012, 3, 2)) == 14
