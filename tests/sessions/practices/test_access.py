"""Who may open and change practices: the policy's answers for this room."""

from collections.abc import Callable

import pytest
from django.test import Client
from django.urls import reverse

from club.members import Member
from sessions.practices.models import Assignment, Block, Practice
from tests.builders import make_block, make_drill, make_practice, make_squad, make_station
from tests.sessions.practices.conftest import Scene

SignIn = Callable[[Member], Client]
READ = ("practice", "wall_sheet")
RUN = ("attendance",)
PLAN = ("plan", "edit_practice")
POSTS = (
    "publish_practice",
    "cancel_practice",
    "uncancel_practice",
    "release_practice",
    "unrelease_practice",
    "add_block",
    "add_station",
    "assign",
)


@pytest.mark.parametrize(
    ("who", "reads", "runs", "plans"),
    [
        ("head_coach", 200, 200, 200),
        ("assistant", 200, 200, 403),
        ("helper", 403, 403, 403),
        ("athlete", 403, 403, 403),
        ("parent", 403, 403, 403),
        ("officer", 403, 403, 403),
        ("outsider", 404, 404, 404),
    ],
)
def test_who_may_read_run_and_plan(
    scene: Scene, as_member: SignIn, who: str, reads: int, runs: int, plans: int
) -> None:
    client = as_member(getattr(scene.cast, who))
    for names, expected in ((READ, reads), (RUN, runs), (PLAN, plans)):
        assert {client.get(scene.url(name)).status_code for name in names} == {expected}
    assert client.get(reverse("practices", args=[scene.cast.club.slug])).status_code == reads
    assert client.get(reverse("new_practice", args=[scene.cast.club.slug])).status_code == plans


@pytest.mark.parametrize(("who", "expected"), [("assistant", 403), ("parent", 403), ("outsider", 404)])
def test_nobody_but_the_head_coach_changes_anything(scene: Scene, as_member: SignIn, who: str, expected: int) -> None:
    client = as_member(getattr(scene.cast, who))
    assert {client.post(scene.url(name), {"minutes": "10"}).status_code for name in POSTS} == {expected}
    assert Block.objects.count() == 1
    scene.practice.refresh_from_db()
    assert not scene.practice.published_at and not scene.practice.cancelled_at


def test_another_clubs_practice_is_not_found_under_ones_own_address(scene: Scene, as_member: SignIn) -> None:
    client = as_member(scene.cast.outsider)
    own = {"club": scene.cast.other_club.slug, "practice": scene.practice.pk}
    assert client.get(reverse("practice", kwargs=own)).status_code == 404
    assert client.post(reverse("cancel_practice", kwargs=own)).status_code == 404


def test_a_block_station_or_place_of_another_practice_is_not_found_here(scene: Scene, coach: Client) -> None:
    other = make_practice(scene.cast.club, venue=scene.venue)
    block, station = make_block(other), make_station(other)
    row = Assignment.objects.create(
        club=scene.cast.club,
        block=block,
        station=station,
        athlete=scene.cast.vaulter,
        drill=make_drill(scene.cast.club),
    )
    urls = [
        scene.url("remove_block", block=block.pk),
        scene.url("remove_station", station=station.pk),
        scene.url("station_adult", station=station.pk),
        scene.url("unassign", assignment=row.pk),
    ]
    assert {coach.post(url).status_code for url in urls} == {404}
    assert Assignment.objects.count() == 1


def test_a_get_changes_nothing(scene: Scene, coach: Client) -> None:
    assert {coach.get(scene.url(name)).status_code for name in POSTS} == {405}


def test_an_assistant_sees_no_act_that_they_may_not_do(scene: Scene, as_member: SignIn) -> None:
    page = as_member(scene.cast.assistant).get(scene.url("practice")).content.decode()
    assert scene.url("plan") not in page and scene.url("cancel_practice") not in page
    assert scene.url("attendance") in page


def test_athletes_and_guardians_reach_published_practices_of_their_squads_only(scene: Scene) -> None:
    from club.roles import Permission

    athlete = scene.cast.athlete.acting(Permission.MY_READ)
    make_practice(scene.cast.club, squads=[make_squad(scene.cast.club)], published_at="2026-03-01T10:00Z")
    assert list(Practice.objects.for_member(athlete)) == []
    Practice.objects.filter(pk=scene.practice.pk).update(published_at="2026-03-01T10:00Z")
    assert list(Practice.objects.for_member(athlete)) == [scene.practice]
