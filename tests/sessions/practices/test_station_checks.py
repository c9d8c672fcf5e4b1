"""Stations are checked by name before a contact drill opens, anew after a change; broken kit stays until mended."""

from collections.abc import Callable
from typing import Any
from uuid import uuid4

import pytest
from django.test import Client
from django.urls import reverse

from club.members import Member
from club.models import Area, AuditEntry, Membership
from drills.core.catalogue import AreaKind
from sessions.practices.check_words import item_words
from sessions.practices.core.checks import ITEMS, items_of
from sessions.practices.models import Assignment, KitFault, StationCheck
from sessions.practices.queries.checks import station_lines
from tests.builders import make_area, make_drill, make_practice, make_station, make_venue
from tests.sessions.practices.conftest import Scene

pytestmark = pytest.mark.django_db
SignIn = Callable[[Member], Client]


@pytest.fixture
def coach(scene: Scene, as_member: SignIn) -> Client:
    return as_member(scene.cast.assistant)


def url(scene: Scene, name: str = "check_station") -> str:
    return reverse(name, kwargs={"club": scene.cast.club.slug, "station": scene.station.pk})


def contact(scene: Scene) -> None:
    drill = make_drill(scene.cast.club, key="wall", name="Wall plant", risk="contact", adult="contact")
    Assignment.objects.create(
        club=scene.cast.club, block=scene.block, station=scene.station, athlete=scene.cast.vaulter, drill=drill
    )


def test_every_kind_of_place_has_its_items_in_words() -> None:
    assert set(ITEMS) == set(AreaKind)
    for kind in AreaKind:
        assert len(set(items_of(kind))) == len(items_of(kind)) >= 2
        assert all(item_words(key).endswith(".") for key in items_of(kind))
    assert {"pit", "collar", "standards", "runway", "poles"} <= set(items_of("box"))


def test_a_contact_station_is_not_open_before_its_check_and_says_so(scene: Scene, coach: Client) -> None:
    contact(scene)
    member = scene.cast.assistant.acting("practice.run")
    assert [line.shut for line in station_lines(member, scene.practice)] == [True]
    assert "not open: has to be checked first" in coach.get(scene.url("practice")).content.decode()
    assert coach.post(url(scene), {"items": ["ground", "poles"]}).status_code == 302
    assert [line.shut for line in station_lines(member, scene.practice)] == [False]
    page = coach.get(scene.url("practice")).content.decode()
    assert "checked by Aiko at" in page
    check = StationCheck.objects.get()
    assert check.by == scene.cast.assistant.person and check.items == ["ground", "poles"]


def test_a_floor_station_needs_none_and_a_box_always(scene: Scene) -> None:
    make_station(scene.practice, area=make_area(scene.venue, name="Box", kind="box"))
    member = scene.cast.assistant.acting("practice.run")
    needs = {line.station.area.name: line.needs for line in station_lines(member, scene.practice)}
    assert needs == {"Smooth floor": False, "Box": True}


def test_after_a_change_of_the_set_up_it_is_checked_anew(scene: Scene, coach: Client) -> None:
    coach.post(url(scene), {"items": ["ground", "poles"]})
    assert coach.post(url(scene), {"items": ["ground", "poles"]}).status_code == 422
    coach.post(url(scene, "set_up_changed"))
    assert StationCheck.objects.get().ended_by == scene.cast.assistant.person
    assert coach.post(url(scene), {"items": ["ground", "poles"]}).status_code == 302
    assert StationCheck.objects.count() == 2
    assert AuditEntry.objects.filter(kind="changed the set-up of a station").count() == 1


@pytest.mark.parametrize(
    "items", [[], ["ground"], ["ground", "poles", "pit"], ["x" * 900], ["ground", "poles", ""], ["\x00"]], ids=str
)
def test_a_missing_or_strange_line_leaves_the_station_shut(scene: Scene, coach: Client, items: list[str]) -> None:
    answer = coach.post(url(scene), {"items": items})
    assert answer.status_code == 422 and "Nothing is saved yet" in answer.content.decode()
    assert not StationCheck.objects.exists()


def test_whoever_holds_no_adult_level_checks_nothing(scene: Scene, coach: Client) -> None:
    Membership.objects.filter(person=scene.cast.assistant.person).update(adult_level="")
    assert coach.post(url(scene), {"items": ["ground", "poles"]}).status_code == 422
    assert not StationCheck.objects.exists()


def test_a_station_of_another_club_is_not_found(scene: Scene, coach: Client) -> None:
    theirs = make_station(make_practice(scene.cast.other_club))
    address = reverse("check_station", kwargs={"club": scene.cast.club.slug, "station": theirs.pk})
    assert coach.get(address).status_code == coach.post(address, {}).status_code == 404


def test_broken_kit_ends_the_check_of_its_place_and_stays_until_it_is_mended(scene: Scene, coach: Client) -> None:
    coach.post(url(scene), {"items": ["ground", "poles"]})
    assert coach.post(scene.url("kit"), {"what": "a torn mat", "area": scene.floor.pk}).status_code == 302
    assert StationCheck.objects.get().ended_at
    assert "a torn mat" in coach.get(url(scene)).content.decode()
    kit = KitFault.objects.get()
    mended = f"/c/{scene.cast.club.slug}/practices/kit/{kit.pk}/mended/"
    coach.post(mended)
    coach.post(mended)
    assert "a torn mat" not in coach.get(scene.url("kit")).content.decode()
    assert AuditEntry.objects.filter(kind="mended kit").count() == 1


@pytest.mark.parametrize(
    "said", [{}, {"what": " "}, {"what": "x" * 300}, {"what": "a\x00b"}, {"what": "ok", "area": "x"},
             {"what": "ok", "area": str(uuid4())}, {"what": "ok", "area": "theirs"}],
    ids=lambda said: ",".join(f"{k}={str(v)[:8]}" for k, v in said.items()) or "none",
)  # fmt: skip
def test_bad_input_about_kit_is_said_and_keeps_nothing(scene: Scene, coach: Client, said: dict[str, Any]) -> None:
    if said.get("area") == "theirs":
        theirs: Area = make_area(make_venue(scene.cast.other_club))
        said = {**said, "area": theirs.pk}
    assert coach.post(scene.url("kit"), said).status_code == 422
    assert not KitFault.objects.exists()
