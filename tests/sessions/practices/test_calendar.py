"""Practices come into the calendar, change, and are published, cancelled, put back on and released."""

from datetime import UTC, date, datetime, time, timedelta
from typing import Any

import pytest
from django.test import Client
from django.urls import reverse
from django.utils import timezone

from club.models import AuditEntry
from sessions.practices.actions import calendar as actions
from sessions.practices.actions.errors import NotNow, PlanRefused
from sessions.practices.core.clock import SkippedTime
from sessions.practices.models import Assignment, Practice
from sessions.practices.queries import calendar
from tests.builders import make_area, make_block, make_drill, make_practice, make_squad, make_station, make_venue
from tests.sessions.practices.conftest import Scene, text


def typed(scene: Scene, **overrides: Any) -> dict[str, Any]:
    values = {
        "day": "2030-03-04",
        "starts": "17:00",
        "ends": "18:30",
        "venue": str(scene.venue.pk),
        "squads": [str(scene.squad.pk)],
        "adults": [str(scene.cast.head_coach.person.pk)],
        "bring": "warm clothes",
    }
    return {**values, **overrides}


def new(scene: Scene) -> str:
    return reverse("new_practice", args=[scene.cast.club.slug])


def details(scene: Scene, **overrides: Any) -> actions.Details:
    values = {"venue": scene.venue, "day": date(2026, 3, 2), "starts": time(17), "ends": time(19)}
    return actions.Details(**{**values, "squads": (scene.squad,), **overrides})


def test_a_new_practice_is_a_draft_with_its_squads_and_adults(scene: Scene, coach: Client) -> None:
    response = coach.post(new(scene), typed(scene))
    practice = Practice.objects.get(day=date(2030, 3, 4))
    assert response.headers["Location"] == reverse("practice", args=[scene.cast.club.slug, practice.pk])
    assert calendar.state(practice) is calendar.State.DRAFT
    assert [squad.name for squad in practice.squads.all()] == ["Terns"]
    assert [row.person for row in practice.adults.all()] == [scene.cast.head_coach.person]
    assert practice.series is None and practice.zone == "Europe/London"


def test_a_weekly_series_keeps_its_wall_time_over_both_clock_changes(scene: Scene, coach: Client) -> None:
    coach.post(new(scene), typed(scene, day="2030-03-24", until="2030-11-03"))  # changes: 31 March, 27 October 2030
    rows = list(Practice.objects.filter(series__isnull=False).order_by("day"))
    assert len(rows) == 33 and len({row.series for row in rows}) == 1
    assert {(row.starts, row.ends) for row in rows} == {(time(17), time(18, 30))}
    at = {row.day: calendar.starts_at(row) for row in rows}
    assert at[date(2030, 3, 24)] == datetime(2030, 3, 24, 17, tzinfo=UTC)
    assert at[date(2030, 3, 31)] == datetime(2030, 3, 31, 16, tzinfo=UTC)
    assert at[date(2030, 10, 20)] == datetime(2030, 10, 20, 16, tzinfo=UTC)
    assert at[date(2030, 10, 27)] == datetime(2030, 10, 27, 17, tzinfo=UTC)


@pytest.mark.parametrize(
    ("wrong", "says"),
    [
        ({"ends": "16:00"}, "A practice ends after it starts"),
        ({"day": "2026-01-05"}, "This day is over"),
        ({"squads": []}, "This field is required"),
        ({"until": "2030-03-03"}, "The last day comes before the first"),
        ({"until": "2032-03-03"}, "At most 60 at once"),
        ({"day": "2030-03-31", "starts": "01:30"}, "this time does not come"),
        ({"day": "2030-03-24", "starts": "01:30", "until": "2030-04-07"}, "this time does not come"),
    ],
)
def test_what_is_wrong_is_said_and_what_was_typed_is_kept(
    scene: Scene, coach: Client, wrong: dict[str, Any], says: str
) -> None:
    response = coach.post(new(scene), typed(scene, **wrong))
    page = text(response)
    assert response.status_code == 422 and says in page
    assert 'value="warm clothes"' in page
    assert Practice.objects.count() == 1


def test_a_venue_of_another_club_is_no_choice(scene: Scene, coach: Client) -> None:
    there = make_venue(scene.cast.other_club)
    response = coach.post(new(scene), typed(scene, venue=str(there.pk)))
    assert response.status_code == 422 and Practice.objects.count() == 1


def test_the_action_itself_refuses_a_time_the_day_skips(scene: Scene) -> None:
    skipped = details(scene, day=date(2026, 3, 29), starts=time(1, 30))
    with pytest.raises(SkippedTime):
        actions.add_practices(by=scene.planner, details=skipped)
    assert Practice.objects.count() == 1


def test_editing_changes_this_one_of_a_series(scene: Scene, coach: Client) -> None:
    coach.post(new(scene), typed(scene, until="2030-03-11"))
    first, second = Practice.objects.filter(day__year=2030).order_by("day")
    url = reverse("edit_practice", args=[scene.cast.club.slug, first.pk])
    assert "This one and the later one" in text(coach.get(url))
    assert coach.post(url, typed(scene, starts="16:00")).status_code == 302
    first.refresh_from_db()
    second.refresh_from_db()
    assert (first.starts, second.starts) == (time(16), time(17))


def test_times_that_would_leave_a_block_outside_are_refused_with_all_that_was_typed(
    scene: Scene, coach: Client
) -> None:
    response = coach.post(scene.url("edit_practice"), typed(scene, day="2026-03-02", starts="17:10", ends="17:15"))
    page = text(response)
    assert response.status_code == 422 and "blocks would lie outside" in page and 'value="17:10"' in page
    scene.practice.refresh_from_db()
    assert scene.practice.starts == time(17)


def test_an_adult_whom_the_plan_needs_is_not_taken_off(scene: Scene) -> None:
    drill = make_drill(scene.cast.club)
    Assignment.objects.create(
        club=scene.cast.club, block=scene.block, station=scene.station, athlete=scene.cast.vaulter, drill=drill
    )
    with pytest.raises(PlanRefused):
        actions.edit_practice(
            by=scene.planner,
            practice=scene.practice,
            details=details(scene, adults=(scene.cast.head_coach.person,)),
        )
    assert scene.practice.adults.count() == 2


def test_the_venue_stays_while_stations_stand_there(scene: Scene) -> None:
    elsewhere = details(scene, venue=make_venue(scene.cast.club))
    with pytest.raises(NotNow):
        actions.edit_practice(by=scene.planner, practice=scene.practice, details=elsewhere)


def test_publishing_cancelling_and_putting_back_on_are_said_and_noted(scene: Scene, coach: Client) -> None:
    for name, says in (
        ("publish_practice", "Published."),
        ("cancel_practice", "This practice is cancelled"),
        ("uncancel_practice", "takes place after all"),
    ):
        assert says in text(coach.post(scene.url(name), follow=True))
    kinds = AuditEntry.objects.filter(subject_id=str(scene.practice.pk)).order_by("pk").values_list("kind", "by")
    person = scene.cast.head_coach.person.pk
    assert list(kinds) == [
        ("published a practice", person),
        ("cancelled a practice", person),
        ("put a practice back on", person),
    ]


def test_the_banner_of_a_cancelled_practice_is_on_each_of_its_pages(scene: Scene, coach: Client) -> None:
    coach.post(scene.url("cancel_practice"))
    for name in ("practice", "plan", "attendance", "wall_sheet"):
        assert "This practice is cancelled" in text(coach.get(scene.url(name)))


def test_cancelling_twice_is_said_and_noted_once(scene: Scene, coach: Client) -> None:
    coach.post(scene.url("cancel_practice"))
    assert "cancelled already" in text(coach.post(scene.url("cancel_practice"), follow=True))
    assert AuditEntry.objects.filter(kind="cancelled a practice").count() == 1


def test_a_practice_says_which_squads_are_at_which_venue_and_who_sees_what(scene: Scene, coach: Client) -> None:
    actions.publish(by=scene.planner, practice=scene.practice)
    page = text(coach.get(scene.url("practice")))
    assert "Terns at Quarry Track." in page and "athletes also see what they do." in page
    scene.practice.squads.add(make_squad(scene.cast.club, name="Gannets"))
    page = text(coach.get(scene.url("practice")))
    assert "Terns and Gannets at Quarry Track." in page or "Gannets and Terns at Quarry Track." in page


def test_cancelling_asks_once(scene: Scene, coach: Client) -> None:
    assert "Cancel this practice?" in text(coach.get(scene.url("practice")))


def test_an_unsafe_plan_is_not_published(scene: Scene, coach: Client) -> None:
    drill = make_drill(scene.cast.club, name="Carry walk")
    Assignment.objects.create(
        club=scene.cast.club, block=scene.block, station=scene.station, athlete=scene.cast.vaulter, drill=drill
    )
    scene.station.run_by = None
    scene.station.save()
    page = text(coach.post(scene.url("publish_practice"), follow=True))
    assert "Carry walk needs an adult at Smooth floor" in page
    scene.practice.refresh_from_db()
    assert scene.practice.published_at is None


def test_only_a_published_practice_that_began_is_released_and_only_once(scene: Scene) -> None:
    begins = calendar.starts_at(scene.practice)
    act = {"by": scene.planner, "practice": scene.practice}
    with pytest.raises(NotNow):
        actions.release(**act, now=begins)
    actions.publish(**act)
    with pytest.raises(NotNow):
        actions.release(**act, now=begins - timedelta(seconds=1))
    actions.release(**act, now=begins)
    scene.practice.refresh_from_db()
    assert scene.practice.released_at == begins
    with pytest.raises(NotNow):
        actions.release(**act, now=begins)
    assert AuditEntry.objects.filter(kind="released a practice").count() == 1


def test_a_release_is_taken_back_and_can_be_given_again(scene: Scene, coach: Client) -> None:
    at = calendar.starts_at(scene.practice)
    actions.publish(by=scene.planner, practice=scene.practice)
    actions.release(by=scene.planner, practice=scene.practice, now=at)
    assert "Take the release back" in text(coach.get(scene.url("practice")))
    assert "The release is taken back." in text(coach.post(scene.url("unrelease_practice"), follow=True))
    scene.practice.refresh_from_db()
    assert scene.practice.released_at is None and calendar.state(scene.practice) is calendar.State.PUBLISHED
    actions.release(by=scene.planner, practice=scene.practice, now=at)
    kinds = list(AuditEntry.objects.order_by("pk").values_list("kind", flat=True))
    assert kinds[-3:] == ["released a practice", "took a release back", "released a practice"]


def test_what_was_not_released_has_no_release_to_take_back(scene: Scene, coach: Client) -> None:
    assert "Take the release back" not in text(coach.get(scene.url("practice")))
    assert "It is not released." in text(coach.post(scene.url("unrelease_practice"), follow=True))
    assert not AuditEntry.objects.filter(kind="took a release back").exists()


@pytest.mark.parametrize(
    ("minutes", "offered", "asks"), [(-1, False, False), (1, True, True), (119, True, True), (121, True, False)]
)
def test_release_asks_once_while_the_practice_runs_and_is_the_main_button_after_it(
    scene: Scene, coach: Client, monkeypatch: pytest.MonkeyPatch, minutes: int, offered: bool, asks: bool
) -> None:
    actions.publish(by=scene.planner, practice=scene.practice)
    length = calendar.ends_at(scene.practice) - calendar.starts_at(scene.practice)
    assert length == timedelta(hours=2)
    now = calendar.starts_at(scene.practice) + timedelta(minutes=minutes)
    monkeypatch.setattr("sessions.practices.views.calendar.club_now", lambda club: now)
    page = text(coach.get(scene.url("practice")))
    assert (scene.url("release_practice") in page) is offered
    assert ("Release while it still runs?" in page) is asks
    assert ('<button class="btn main">Release</button></form>' in page) is (offered and not asks)


def test_the_list_parts_what_comes_from_what_was(scene: Scene, coach: Client) -> None:
    later = make_practice(scene.cast.club, venue=scene.venue, day=timezone.now().date() + timedelta(days=400))
    url = reverse("practices", args=[scene.cast.club.slug])
    to_come, was = text(coach.get(url)), text(coach.get(url, {"when": "past"}))
    assert str(later.pk) in to_come and str(scene.practice.pk) not in to_come
    assert str(scene.practice.pk) in was and str(later.pk) not in was


def test_the_list_is_paged_and_its_queries_do_not_grow(
    scene: Scene, coach: Client, django_assert_num_queries: Any
) -> None:
    url = reverse("practices", args=[scene.cast.club.slug])
    day = timezone.now().date() + timedelta(days=1)
    make_practice(scene.cast.club, venue=scene.venue, squads=[scene.squad], day=day)
    for number in range(25):
        practice = make_practice(
            scene.cast.club, day=day + timedelta(days=number), squads=[make_squad(scene.cast.club)]
        )
        make_block(practice)
        make_station(practice, area=make_area(practice.venue))
    with django_assert_num_queries(8):  # session, person, member, count, practices, their squads, who came (two)
        response = coach.get(url)
    assert "Page 1 of 2, 26 in all" in text(response)
    with django_assert_num_queries(8):
        coach.get(url, {"page": 2})


def test_an_empty_calendar_says_what_to_do(scene: Scene, coach: Client) -> None:
    page = text(coach.get(reverse("practices", args=[scene.cast.club.slug])))
    assert "No practice is planned" in page and "New practice" in page
