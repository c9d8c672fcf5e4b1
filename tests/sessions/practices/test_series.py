"""Weekly repeats: this one, or this and the later ones, is changed, moved, cancelled and put back on."""

from collections.abc import Iterator
from datetime import UTC, date, datetime, time, timedelta
from typing import Any

import pytest
from django.test import Client
from django.urls import reverse

from club.models import AuditEntry
from sessions.practices import changes
from sessions.practices.actions import calendar as actions
from sessions.practices.actions.errors import NotNow, PlanRefused
from sessions.practices.changes import Change, ChangeKind, Slot
from sessions.practices.models import Assignment, Practice
from sessions.practices.queries import calendar
from tests.builders import (
    make_area,
    make_checkpoint,
    make_drill,
    make_practice,
    make_squad,
    make_venue,
)
from tests.sessions.practices.conftest import Scene, text

MONDAY = date(2027, 3, 1)


@pytest.fixture
def told() -> Iterator[list[Change]]:
    heard: list[Change] = []
    changes.tells(lambda by, change: heard.append(change))
    yield heard
    changes._handlers.pop()


@pytest.fixture
def series(scene: Scene) -> list[Practice]:
    """Five Mondays from 1 March 2027, 17:00 to 18:30. The clocks go forward on Sunday the 28th."""
    details = actions.Details(scene.venue, MONDAY, time(17), time(18, 30), squads=(scene.squad,))
    return actions.add_practices(by=scene.planner, details=details, until=MONDAY + timedelta(weeks=4))


def slot(practice: Practice, **overrides: Any) -> Slot:
    values = {"venue": practice.venue, "day": practice.day, "starts": practice.starts, "ends": practice.ends}
    return Slot(**{**values, **overrides})


def days(rows: Any) -> list[date]:
    return [Practice.objects.get(pk=row.pk).day for row in rows]


def fresh(row: Practice) -> Practice:
    return Practice.objects.get(pk=row.pk)


def test_one_of_a_series_moves_alone(scene: Scene, series: list[Practice]) -> None:
    actions.move(by=scene.planner, practice=series[1], to=slot(series[1], day=date(2027, 3, 10), starts=time(16)))
    assert days(series) == [MONDAY, date(2027, 3, 10), *(MONDAY + timedelta(weeks=k) for k in (2, 3, 4))]
    assert [fresh(row).sequence for row in series] == [1, 2, 1, 1, 1]


def test_this_and_the_later_ones_move_by_as_many_days_and_those_before_stay(
    scene: Scene, series: list[Practice]
) -> None:
    moved = actions.move(
        by=scene.planner, practice=series[2], to=slot(series[2], day=date(2027, 3, 16), starts=time(16)), later=True
    )
    assert [row.pk for row in moved.practices] == [row.pk for row in series[2:]]
    assert days(series) == [
        MONDAY,
        date(2027, 3, 8),
        date(2027, 3, 16),
        date(2027, 3, 23),
        date(2027, 3, 30),
    ]
    assert [fresh(row).starts for row in series] == [time(17), time(17), time(16), time(16), time(16)]
    assert [fresh(row).sequence for row in series] == [1, 1, 2, 2, 2]


@pytest.mark.parametrize(
    ("first", "hours_utc"),
    [(date(2027, 3, 22), (17, 16)), (date(2027, 10, 25), (16, 17))],
    ids=["forward", "back"],
)
def test_moving_over_a_clock_change_keeps_the_wall_time(scene: Scene, first: date, hours_utc: tuple[int, int]) -> None:
    """London: forward on 28 March 2027, back on 31 October 2027."""
    details = actions.Details(scene.venue, first, time(10), time(12), squads=(scene.squad,))
    rows = actions.add_practices(by=scene.planner, details=details, until=first + timedelta(weeks=1))
    actions.move(by=scene.planner, practice=rows[0], to=slot(rows[0], starts=time(17), ends=time(19)), later=True)
    at = [calendar.starts_at(fresh(row)) for row in rows]
    assert at == [
        datetime(row.day.year, row.day.month, row.day.day, hour, tzinfo=UTC)
        for row, hour in zip(rows, hours_utc, strict=True)
    ]


def test_a_time_that_one_of_the_days_skips_moves_none_of_them_and_names_the_day(scene: Scene) -> None:
    details = actions.Details(scene.venue, date(2027, 3, 21), time(10), time(12), squads=(scene.squad,))
    rows = actions.add_practices(by=scene.planner, details=details, until=date(2027, 4, 4))
    with pytest.raises(NotNow, match="Sunday 28 March"):
        actions.move(by=scene.planner, practice=rows[0], to=slot(rows[0], starts=time(1, 30)), later=True)
    assert {fresh(row).starts for row in rows} == {time(10)} and {fresh(row).sequence for row in rows} == {1}


def test_one_that_was_moved_by_itself_keeps_its_own_time_and_is_named(scene: Scene, series: list[Practice]) -> None:
    actions.move(by=scene.planner, practice=series[3], to=slot(series[3], day=date(2027, 3, 27), starts=time(10)))
    moved = actions.move(by=scene.planner, practice=series[1], to=slot(series[1], ends=time(19)), later=True)
    assert [row.pk for row in moved.stayed] == [series[3].pk]
    assert [fresh(row).ends for row in series] == [time(18, 30), time(19), time(19), time(18, 30), time(19)]


def test_of_the_later_ones_only_what_is_changed_here_changes(scene: Scene, series: list[Practice]) -> None:
    focus = make_checkpoint(scene.cast.club, key="tempo")
    own = actions.Details.of(series[3])
    actions.edit_practice(
        by=scene.planner, practice=series[3], details=actions.Details(**{**_values(own), "bring": "spikes"})
    )
    here = actions.Details(**{**_values(actions.Details.of(series[1])), "focus": focus})
    actions.edit_practice(by=scene.planner, practice=series[1], details=here, later=True)
    assert [fresh(row).focus for row in series] == [None, focus, focus, focus, focus]
    assert [fresh(row).bring for row in series] == ["", "", "", "spikes", ""]
    assert {fresh(row).sequence for row in series} == {1}


def _values(details: actions.Details) -> dict[str, Any]:
    return {name: getattr(details, name) for name in actions.Details.__dataclass_fields__}


def test_the_plan_goes_along_with_the_start(scene: Scene) -> None:
    actions.move(by=scene.planner, practice=scene.practice, to=slot(scene.practice, starts=time(18), ends=time(20)))
    scene.block.refresh_from_db()
    assert scene.block.starts == time(18)


def test_the_stations_go_to_the_like_places_of_another_venue(scene: Scene) -> None:
    there = make_venue(scene.cast.club, name="Mill Hall")
    make_area(there, name="Lobby", surface="other")
    floor = make_area(there, name="Main hall")
    make_drill_place(scene)
    actions.move(by=scene.planner, practice=scene.practice, to=slot(scene.practice, venue=there))
    scene.station.refresh_from_db()
    assert scene.station.area == floor and Assignment.objects.get().station == scene.station
    assert fresh(scene.practice).venue == there


def make_drill_place(scene: Scene, **overrides: Any) -> Assignment:
    return Assignment.objects.create(
        club=scene.cast.club,
        block=scene.block,
        station=scene.station,
        athlete=scene.cast.vaulter,
        drill=make_drill(scene.cast.club, **overrides),
    )


def test_a_venue_without_such_a_place_is_refused_by_name(scene: Scene) -> None:
    there = make_venue(scene.cast.club, name="Mill Hall")
    make_area(there, name="Gym", kind="room")
    with pytest.raises(NotNow, match="Mill Hall has no place like Smooth floor"):
        actions.move(by=scene.planner, practice=scene.practice, to=slot(scene.practice, venue=there))
    scene.station.refresh_from_db()
    assert scene.station.area == scene.floor and fresh(scene.practice).venue == scene.venue


def test_a_surface_on_which_the_drill_is_never_done_is_not_moved_to(scene: Scene) -> None:
    there = make_venue(scene.cast.club, name="Mill Field")
    make_area(there, name="Grass", surface="grass")
    make_drill_place(scene, slides=True)
    with pytest.raises(PlanRefused, match="never done on the surface of Grass"):
        actions.move(by=scene.planner, practice=scene.practice, to=slot(scene.practice, venue=there))
    assert fresh(scene.practice).venue == scene.venue and fresh(scene.practice).sequence == 1


def test_a_squad_is_never_at_two_practices_at_once(scene: Scene, series: list[Practice]) -> None:
    onto = slot(series[0], day=series[1].day, starts=time(18), ends=time(19))
    with pytest.raises(NotNow, match="Terns: another practice is at that time, Monday 8 March, 17:00 to 18:30"):
        actions.move(by=scene.planner, practice=series[0], to=onto)
    actions.cancel(by=scene.planner, practice=series[1])
    actions.move(by=scene.planner, practice=series[0], to=onto)
    with pytest.raises(NotNow, match="another practice is at that time"):
        actions.uncancel(by=scene.planner, practice=series[1])
    assert fresh(series[1]).cancelled_at and fresh(series[0]).day == series[1].day


def test_two_squads_may_practise_side_by_side(scene: Scene, series: list[Practice]) -> None:
    others = actions.Details(scene.venue, MONDAY, time(17), time(18), squads=(make_squad(scene.cast.club),))
    assert actions.add_practices(by=scene.planner, details=others)


def test_a_week_later_each_takes_the_place_of_the_next(scene: Scene, series: list[Practice]) -> None:
    actions.move(by=scene.planner, practice=series[0], to=slot(series[0], day=series[1].day), later=True)
    assert days(series) == [MONDAY + timedelta(weeks=k) for k in range(1, 6)]


def test_this_and_the_later_ones_are_cancelled_and_put_back_on_together(
    scene: Scene, series: list[Practice], told: list[Change]
) -> None:
    actions.cancel(by=scene.planner, practice=series[4])
    actions.cancel(by=scene.planner, practice=series[2], later=True)
    assert [fresh(row).cancelled_at is not None for row in series] == [False, False, True, True, True]
    assert [fresh(row).sequence for row in series] == [1, 1, 2, 2, 2]
    actions.uncancel(by=scene.planner, practice=series[3], together=True)
    assert [fresh(row).cancelled_at is not None for row in series] == [False, False, False, False, True]
    kinds = [(change.kind, change.practice.pk) for change in told]
    assert kinds[:3] == [(ChangeKind.CANCELLED, series[k].pk) for k in (4, 2, 3)]
    assert set(kinds[3:]) == {(ChangeKind.BACK_ON, series[k].pk) for k in (2, 3)}
    assert AuditEntry.objects.filter(kind="cancelled a practice").count() == 3


def test_who_is_told_hears_when_and_where_it_was(scene: Scene, series: list[Practice], told: list[Change]) -> None:
    was = slot(series[0])
    actions.move(by=scene.planner, practice=series[0], to=slot(series[0], starts=time(16)))
    actions.publish(by=scene.planner, practice=series[0])
    assert [(change.kind, change.was) for change in told] == [(ChangeKind.MOVED, was), (ChangeKind.PUBLISHED, None)]
    assert told[0].practice.starts == time(16) and told[0].practice.sequence == 2


def test_what_is_over_and_released_is_not_changed_with_the_others(scene: Scene, series: list[Practice]) -> None:
    Practice.objects.filter(pk=series[1].pk).update(released_at=calendar.ends_at(series[1]))
    actions.move(by=scene.planner, practice=series[0], to=slot(series[0], starts=time(16)), later=True)
    assert [fresh(row).starts for row in series] == [time(16), time(17), *[time(16)] * 3]


# Pages


def address(scene: Scene, name: str, practice: Practice) -> str:
    return reverse(name, args=[scene.cast.club.slug, practice.pk])


def test_the_page_to_move_asks_which_ones_and_says_how_many(
    scene: Scene, coach: Client, series: list[Practice]
) -> None:
    url = address(scene, "move_practice", series[1])
    assert "This one and the 3 later ones" in text(coach.get(url))
    sent = {"day": "2027-03-09", "starts": "17:00", "ends": "18:30", "venue": scene.venue.pk, "scope": "later"}
    assert "This practice and 3 later ones are changed." in text(coach.post(url, sent, follow=True))
    assert days(series)[:2] == [MONDAY, date(2027, 3, 9)]


def test_the_last_of_a_series_and_a_single_one_ask_nothing(scene: Scene, coach: Client, series: list[Practice]) -> None:
    for practice in (series[-1], make_practice(scene.cast.club, venue=scene.venue, day=MONDAY)):
        assert 'name="scope"' not in text(coach.get(address(scene, "move_practice", practice)))


def test_cancelling_is_two_taps_for_one_and_for_all_later_ones(
    scene: Scene, coach: Client, series: list[Practice]
) -> None:
    page = text(coach.get(address(scene, "practice", series[2])))
    assert "Cancel this one and 2 later" in page
    after = text(coach.post(address(scene, "cancel_practice", series[2]), {"later": "1"}, follow=True))
    assert "This practice is cancelled" in after and "the 2 others that were cancelled with it" in after
    coach.post(address(scene, "uncancel_practice", series[3]), {"together": "1"})
    assert not Practice.objects.filter(cancelled_at__isnull=False).exists()


def test_a_page_that_stays_open_hears_of_the_cancellation(scene: Scene, coach: Client, series: list[Practice]) -> None:
    url = address(scene, "practice_banner", series[0])
    assert url in text(coach.get(address(scene, "practice", series[0])))
    assert "cancelled" not in text(coach.get(url))
    actions.cancel(by=scene.planner, practice=series[0])
    assert "This practice is cancelled" in text(coach.get(url))
