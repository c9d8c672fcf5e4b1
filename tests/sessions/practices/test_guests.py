"""An athlete of another squad comes to one practice."""

from django.test import Client

from athletes.models import Athlete
from club.models import AuditEntry
from sessions.practices.models import Assignment, Practice
from sessions.practices.queries.board import board
from tests.builders import make_athlete, make_drill, make_member, make_person, make_squad
from tests.sessions.practices.conftest import Scene, text


def guest_of(scene: Scene) -> Athlete:
    athlete = make_athlete(scene.cast.club, make_person(scene.cast.club, "athlete", given_name="Wren"))
    make_squad(scene.cast.club, athlete, name="Gannets")
    return athlete


def test_a_guest_is_offered_a_place_and_sees_the_published_practice(scene: Scene, coach: Client) -> None:
    wren = guest_of(scene)
    drill = make_drill(scene.cast.club)
    where = {"block": scene.block.pk, "station": scene.station.pk, "work": f"drill:{drill.key}"}
    assert coach.post(scene.url("assign"), {**where, "athletes": [wren.pk]}).status_code == 422
    assert wren.person.full_name in text(coach.get(scene.url("guests")))
    coach.post(scene.url("guests"), {"athlete": wren.pk})
    assert "Wren" in {athlete.person.given_name for athlete in board(scene.planner, scene.practice).source.athletes}
    assert coach.post(scene.url("assign"), {**where, "athletes": [wren.pk]}).status_code == 302
    assert Assignment.objects.get().athlete == wren


def test_whoever_is_expected_anyway_or_is_of_another_club_is_no_guest(scene: Scene, coach: Client) -> None:
    elsewhere = make_athlete(scene.cast.other_club, make_member(scene.cast.other_club, "athlete").person)
    for athlete in (scene.cast.vaulter, elsewhere):
        assert coach.post(scene.url("guests"), {"athlete": athlete.pk}).status_code == 422
    assert not Practice.guests.through.objects.exists()


def test_a_guest_with_a_place_stays_until_it_is_taken_out(scene: Scene, coach: Client) -> None:
    wren = guest_of(scene)
    scene.practice.guests.add(wren)
    values = {"block": scene.block, "station": scene.station, "drill": make_drill(scene.cast.club)}
    Assignment.objects.create(club=scene.cast.club, athlete=wren, **values)
    assert "Take them out first" in text(coach.post(scene.url("drop_guest", athlete=wren.pk), follow=True))
    Assignment.objects.all().delete()
    for _twice in range(2):
        assert "No guest so far." in text(coach.post(scene.url("drop_guest", athlete=wren.pk), follow=True))
    assert AuditEntry.objects.filter(kind="took a guest off a practice").count() == 1
