"""What a tablet takes along: the plan of a practice, for whom, and what is never in it."""

import json
from typing import Any

import pytest
from django.test import Client
from django.utils import timezone

from athletes.models import CardLook, EmergencyCard
from club.members import Member
from sessions.practices.models import AdultPresence, Assignment
from tests.builders import Cast, make_athlete, make_block, make_person, make_station
from tests.sessions.station.test_station_pages import half_past_five, log, make_world, signed_in

__all__ = ["half_past_five"]
pytestmark = pytest.mark.django_db

BUNDLE_QUERIES = 28


def bundle(member: Member, practice: Any) -> Any:
    return signed_in(member).get(f"/api/v1/clubs/{member.club.slug}/practices/{practice.pk}/bundle/")


def test_a_coach_takes_every_station_of_every_block_along(cast: Cast) -> None:
    station = make_world(cast)
    block = make_block(station.practice, number=3)
    drill = Assignment.objects.filter(station=station).first().drill
    Assignment.objects.create(club=cast.club, block=block, station=station, athlete=cast.vaulter, drill=drill)
    taken = bundle(cast.assistant, station.practice).json()
    assert [(sheet["station"], sheet["block"]) for sheet in taken["sheets"]] == [
        (str(station.pk), number) for number in (1, 2, 3)
    ]
    assert [turn["name"] for turn in taken["sheets"][0]["turns"]] == ["Nandi", "Eero"]
    assert {turn["drill"] for sheet in taken["sheets"] for turn in sheet["turns"]} <= taken["drills"].keys()
    assert {person["name"] for person in taken["roster"]} >= {"Nandi", "Eero"}
    assert taken["person"] == str(cast.assistant.person.pk) and taken["as_of"] < taken["until"]


def test_a_bundle_says_the_same_as_the_page_of_the_station(cast: Cast) -> None:
    station = make_world(cast)
    seen = {"drill": "drop", "watched": [], "faults": [], "athlete": str(cast.vaulter.pk), "station": str(station.pk)}
    drill = Assignment.objects.filter(station=station).first().drill
    log(signed_in(cast.assistant), cast, station.practice, {"kind": "rep", **seen, "drill": drill.key})
    page = signed_in(cast.assistant).get(f"/c/{cast.club.slug}/station/{station.pk}/?block=1").content.decode()
    data = json.loads(page.split('id="station-data" type="application/json">')[1].split("</script>")[0])
    taken = bundle(cast.assistant, station.practice).json()
    sheet = taken["sheets"][0]
    assert sheet["turns"] == data["turns"] and data["turns"][0]["done"] == 1
    assert {key: taken["drills"][key] for key in data["drills"]} == data["drills"]
    assert all(taken[key] == data[key] for key in ("person", "club", "practice", "place", "reads_marks"))


def test_a_helper_takes_the_own_station_and_no_counts(cast: Cast) -> None:
    station = make_world(cast, run_by=cast.helper)
    other = make_station(station.practice)
    drill = Assignment.objects.filter(station=station).first().drill
    hidden = make_athlete(cast.club, make_person(cast.club, "athlete", given_name="Hidden"))
    block = station.practice.blocks.get(number=1)
    Assignment.objects.create(club=cast.club, block=block, station=other, athlete=hidden, drill=drill)
    answer = bundle(cast.helper, station.practice)
    taken = answer.json()
    assert {sheet["station"] for sheet in taken["sheets"]} == {str(station.pk)}
    assert "Hidden" not in answer.content.decode() and "Kestrel" not in answer.content.decode()
    assert not taken["reads_marks"] and taken["free"] == []
    assert {turn["stand"] for sheet in taken["sheets"] for turn in sheet["turns"]} == {""}


def test_athletes_and_parents_take_nothing_along(cast: Cast) -> None:
    station = make_world(cast)
    for member in (cast.athlete, cast.parent):
        assert bundle(member, station.practice).status_code == 403
    assert bundle(cast.outsider, station.practice).status_code == 404


def test_emergency_cards_are_for_the_adult_in_charge_and_each_look_is_logged(cast: Cast) -> None:
    station = make_world(cast)
    card = {"allergies": "wasps", "kept_at": timezone.now(), "kept_by": cast.parent.person}
    EmergencyCard.objects.create(club=cast.club, athlete=cast.vaulter, **card)
    url = f"/api/v1/clubs/{cast.club.slug}/practices/{station.practice.pk}/bundle/cards/"
    assert signed_in(cast.assistant).post(url).status_code == 404
    assert signed_in(cast.helper).post(url).status_code == 403
    answer = signed_in(cast.head_coach).post(url)
    names = {card["name"] for card in answer.json()["cards"]}
    assert b"wasps" in answer.content and b"wasps" not in bundle(cast.head_coach, station.practice).content
    assert answer.status_code == 200 and cast.vaulter.person.full_name in names
    assert CardLook.objects.filter(athlete=cast.vaulter, by=cast.head_coach.person).count() == 1


def test_queries_do_not_grow_with_athletes_blocks_or_stations(cast: Cast, django_assert_num_queries: Any) -> None:
    station = make_world(cast)
    AdultPresence.objects.all().delete()
    client = signed_in(cast.assistant)
    url = f"/api/v1/clubs/{cast.club.slug}/practices/{station.practice.pk}/bundle/"
    client.get(url)
    with django_assert_num_queries(BUNDLE_QUERIES):
        client.get(url)
    drill = Assignment.objects.filter(station=station).first().drill
    block = make_block(station.practice, number=3)
    for number in range(5):
        athlete = make_athlete(cast.club, make_person(cast.club, "athlete", given_name=f"A{number}"))
        place = make_station(station.practice)
        Assignment.objects.create(club=cast.club, block=block, station=place, athlete=athlete, drill=drill)
    with django_assert_num_queries(BUNDLE_QUERIES):
        client.get(url)


def test_who_says_hello_is_named_with_a_token_and_the_versions(cast: Cast) -> None:
    url = f"/api/v1/clubs/{cast.club.slug}/hello/"
    said = signed_in(cast.assistant).get(url).json()
    assert said["person"] == str(cast.assistant.person.pk) and said["versions"] == [1, 2] and said["csrf"]
    assert Client().get(url).status_code == 403 and signed_in(cast.outsider).get(url).status_code == 404


def test_the_shell_holds_no_name_and_no_token(cast: Cast) -> None:
    make_world(cast)
    page = signed_in(cast.assistant).get(f"/c/{cast.club.slug}/station/app/").content.decode()
    for word in ("Nandi", "Kestrel", cast.assistant.person.given_name, "csrf", "Smooth floor"):
        assert word not in page


def test_the_worker_names_every_file_that_the_app_loads(cast: Cast) -> None:
    client = signed_in(cast.assistant)
    answer = client.get(f"/c/{cast.club.slug}/station/worker.js")
    assert answer["Content-Type"] == "text/javascript" and answer["Cache-Control"] == "no-cache"
    setup = json.loads(answer.content.decode().split("const SETUP = ")[1].split(";\n")[0])
    page = client.get(setup["shell"]).content.decode()
    loaded = {part.split('"')[0] for part in page.replace('href="', 'src="').split('src="')[1:]}
    assert {url for url in loaded if url.endswith((".js", ".css"))} <= set(setup["assets"])
    manifest = client.get(f"/c/{cast.club.slug}/station/app.webmanifest").json()
    assert manifest["scope"] == manifest["start_url"] == f"/c/{cast.club.slug}/station/"
