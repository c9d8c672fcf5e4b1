"""Adults check in and out by a form; athletes' states are shown from their events."""

from collections.abc import Callable
from datetime import time
from typing import Any
from uuid import uuid4

from django.test import Client
from django.utils import timezone

from club.clock import club_today
from club.members import Member
from club.models import AuditEntry
from sessions.practices.models import AdultPresence, Attendance, Practice
from sessions.practices.queries import calendar
from tests.builders import make_athlete, make_person
from tests.sessions.practices.conftest import Scene, text


def check(scene: Scene, client: Client, member: Any, act: str) -> str:
    posted = {"person": str(member.person.pk), "act": act}
    return text(client.post(scene.url("attendance"), posted, follow=True))


def test_an_adult_checks_in_out_and_in_again(scene: Scene, coach: Client) -> None:
    aiko = AdultPresence.objects.get(person=scene.cast.assistant.person)
    check(scene, coach, scene.cast.assistant, "in")
    aiko.refresh_from_db()
    came = aiko.came_at
    assert came and not aiko.left_at
    check(scene, coach, scene.cast.assistant, "out")
    aiko.refresh_from_db()
    assert aiko.left_at
    check(scene, coach, scene.cast.assistant, "in")
    aiko.refresh_from_db()
    assert aiko.came_at == came and not aiko.left_at
    assert AuditEntry.objects.filter(kind__startswith="checked an adult").count() == 3


def test_checking_in_twice_is_noted_once(scene: Scene, coach: Client) -> None:
    for _ in range(2):
        check(scene, coach, scene.cast.assistant, "in")
    assert AuditEntry.objects.filter(kind="checked an adult in").count() == 1


def test_an_adult_who_was_not_named_can_come(scene: Scene, coach: Client) -> None:
    AdultPresence.objects.all().delete()
    assert "here since" in check(scene, coach, scene.cast.assistant, "in")


def test_leaving_without_having_come_is_said(scene: Scene, coach: Client) -> None:
    assert "Aiko is not checked in" in check(scene, coach, scene.cast.assistant, "out")


def test_a_helper_a_parent_and_an_outsider_are_no_adults_of_the_practice(scene: Scene, coach: Client) -> None:
    for member in (scene.cast.helper, scene.cast.parent, scene.cast.outsider):
        assert "Choose an adult of this club" in check(scene, coach, member, "in")
    assert AdultPresence.objects.filter(came_at__isnull=False).count() == 0


def test_until_two_adults_are_here_it_says_floor_drills_only(scene: Scene, coach: Client) -> None:
    assert "With fewer, floor drills only" in check(scene, coach, scene.cast.assistant, "in")
    assert "With fewer, floor drills only" not in check(scene, coach, scene.cast.head_coach, "in")


def test_athletes_states_are_shown_and_wait_for_script_to_be_changed(
    scene: Scene, as_member: Callable[[Member], Client]
) -> None:
    coach = as_member(scene.cast.assistant)
    at = calendar.starts_at(scene.practice)
    Attendance.objects.create(
        club=scene.cast.club, practice=scene.practice, athlete=scene.cast.vaulter, state="late", at=at
    )
    Attendance.objects.create(
        club=scene.cast.club, practice=scene.practice, athlete=scene.cast.team_mate, state="out", at=at
    )
    page = text(coach.get(scene.url("attendance")))
    assert "Checking athletes in needs script" in page and "came late" in page
    chosen = (
        f'data-athlete="{scene.cast.vaulter.pk}" data-state="late" data-said="came late" aria-pressed="true" disabled'
    )
    assert chosen in page
    back = f'data-athlete="{scene.cast.team_mate.pk}"'  # the head coach alone brings back in who was taken out
    assert back not in page and back in text(as_member(scene.cast.head_coach).get(scene.url("attendance")))


def test_a_tap_as_the_script_sends_it_is_accepted_and_shown(scene: Scene, coach: Client) -> None:
    today = {"day": club_today(scene.cast.club), "starts": time(0), "ends": time(23, 59)}
    Practice.objects.filter(pk=scene.practice.pk).update(**today)
    page = coach.get(scene.url("attendance")).content.decode()
    events_url = page.split('data-events="')[1].split('"')[0]
    now = timezone.now().isoformat()
    event = {"uuid": str(uuid4()), "kind": "attendance", "at": now, "sequence": 1}
    event |= {"athlete": str(scene.cast.vaulter.pk), "state": "late"}
    body = {"version": 1, "device": {"uuid": str(uuid4()), "name": "desk"}, "sent_at": now, "events": [event]}
    answer = coach.post(events_url, body, content_type="application/json")
    assert [result["state"] for result in answer.json()["results"]] == ["accepted"]
    assert 'data-state="late" data-said="came late" aria-pressed="true"' in text(coach.get(scene.url("attendance")))


def test_the_queries_of_who_is_here_do_not_grow(scene: Scene, coach: Client, django_assert_num_queries: Any) -> None:
    with django_assert_num_queries(14):
        coach.get(scene.url("attendance"))
    for name in "ABCDE":
        scene.squad.athletes.add(
            make_athlete(scene.cast.club, make_person(scene.cast.club, "athlete", given_name=name))
        )
        make_person(scene.cast.club, "assistant", given_name=name)
    with django_assert_num_queries(14):
        coach.get(scene.url("attendance"))
