"""Who gets which station page, what stands on it, and in how many queries."""

import json
from datetime import date, datetime, time, timedelta
from typing import Any
from uuid import uuid4
from zoneinfo import ZoneInfo

import pytest
from django.conf import settings
from django.test import Client
from django.utils import timezone

from athletes.actions import place, restrict
from club.duties import QUICK, drain
from club.members import Member
from club.roles import Permission
from sessions.practices.actions.checks import check_station
from sessions.practices.actions.pick_up import leave_with_other, take_back
from sessions.practices.core.checks import items_of
from sessions.practices.models import AdultPresence, Assignment, Attendance, Practice, Station
from tests.builders import (
    Cast,
    make_adjustment,
    make_area,
    make_athlete,
    make_block,
    make_checkpoint,
    make_drill,
    make_person,
    make_practice,
    make_station,
)

pytestmark = pytest.mark.django_db
ZONE = ZoneInfo("Europe/London")
TODAY = date(2026, 3, 2)
STATION_QUERIES = 28
START_QUERIES = 9


@pytest.fixture(autouse=True)
def half_past_five(monkeypatch: pytest.MonkeyPatch) -> None:
    moment = datetime(2026, 3, 2, 17, 30, tzinfo=ZONE)
    monkeypatch.setattr("club.clock.timezone.now", lambda: moment)


def signed_in(member: Member) -> Client:
    client = Client()
    client.force_login(member.person, backend=settings.AUTHENTICATION_BACKENDS[0])
    return client


def make_world(cast: Cast, run_by: Member | None = None, day: date = TODAY, **drill: Any) -> Station:
    """Nandi and Eero at one drill in block 1 (17:00), Eero alone in block 2 (17:20)."""
    practice = make_practice(cast.club, day=day, published_at=timezone.now())
    station = make_station(
        practice, area=make_area(practice.venue, name="Smooth floor"), run_by=run_by and run_by.person
    )
    first, second = make_block(practice), make_block(practice, number=2, starts=time(17, 20))
    point = make_checkpoint(cast.club, key="drop-start")
    done = make_drill(cast.club, gate=(point,), key="walk", name="Three-step walk", **drill)
    for order, (block, athlete) in enumerate(
        ((first, cast.vaulter), (first, cast.team_mate), (second, cast.team_mate))
    ):
        Assignment.objects.create(
            club=cast.club, block=block, station=station, athlete=athlete, drill=done, order=order
        )
    return station


def address(cast: Cast, station: Station | None = None) -> str:
    return f"/c/{cast.club.slug}/station/" + (f"{station.pk}/" if station else "")


def data_of(client: Client, url: str) -> dict[str, Any]:
    text = client.get(url).content.decode()
    return json.loads(text.split('id="station-data" type="application/json">')[1].split("</script>")[0])


def log(client: Client, cast: Cast, practice: Practice, *events: dict[str, Any]) -> list[str]:
    at = datetime(2026, 3, 2, 17, 30, tzinfo=ZONE).isoformat()
    sent = [{"uuid": str(uuid4()), "at": at, "sequence": n, **event} for n, event in enumerate(events)]
    body = {"version": 1, "device": {"uuid": str(uuid4()), "name": "t"}, "sent_at": at, "events": sent}
    url = f"/api/v1/clubs/{cast.club.slug}/practices/{practice.pk}/events/"
    return [r["state"] for r in client.post(url, body, content_type="application/json").json()["results"]]


def test_coaches_log_at_every_station_and_athletes_at_none(cast: Cast) -> None:
    station = make_world(cast)
    for member, answer in (
        (cast.head_coach, 200),
        (cast.assistant, 200),
        (cast.athlete, 403),
        (cast.parent, 403),
        (cast.officer, 403),
        (cast.outsider, 404),
    ):
        assert signed_in(member).get(address(cast, station)).status_code == answer, member.roles
        assert signed_in(member).get(address(cast)).status_code == answer, member.roles


def test_a_helper_gets_the_own_station_of_today_and_no_other(cast: Cast) -> None:
    own, others = make_world(cast, run_by=cast.helper), make_station(make_practice(cast.club))
    yesterday = make_station(make_practice(cast.club, day=TODAY - timedelta(days=1)), run_by=cast.helper.person)
    client = signed_in(cast.helper)
    assert client.get(address(cast, own)).status_code == 200
    assert client.get(address(cast, others)).status_code == 404
    assert client.get(address(cast, yesterday)).status_code == 404
    start = client.get(address(cast)).content.decode()
    assert "Smooth floor" in start and others.area.name not in start and "without-plan/" not in start


def test_a_helper_gets_first_names_turns_and_cues_but_nothing_that_was_seen(cast: Cast) -> None:
    station = make_world(cast, run_by=cast.helper)
    rep = {"kind": "rep", "athlete": str(cast.vaulter.pk), "drill": "walk", "station": str(station.pk)}
    marks = {"watched": ["drop-start"], "faults": ["drop-start-late"]}
    assert log(signed_in(cast.assistant), cast, station.practice, rep | marks) == ["accepted"]
    page = address(cast, station) + "?block=1"
    for_helper, for_coach = data_of(signed_in(cast.helper), page), data_of(signed_in(cast.assistant), page)
    nandi = {key: for_helper["turns"][0][key] for key in ("name", "done", "marks", "faults")}
    assert nandi == {"name": "Nandi", "done": 1, "marks": [], "faults": {}}
    assert for_coach["turns"][0]["marks"] == ["faulty"]
    assert for_coach["turns"][0]["faults"] == {"drop-start-late": 1}
    assert b"Kestrel" not in signed_in(cast.helper).get(page).content


def test_a_helper_is_shown_floor_drills_only(cast: Cast) -> None:
    station = make_world(cast, run_by=cast.helper, risk="moving")
    page = signed_in(cast.helper).get(address(cast, station)).content.decode()
    assert "Nobody has a place here" in page and "Nandi" not in page


def test_the_block_that_runs_now_is_shown_unless_another_is_asked_for(cast: Cast) -> None:
    station, client = make_world(cast), signed_in(cast.assistant)
    assert [turn["name"] for turn in data_of(client, address(cast, station))["turns"]] == ["Eero"]
    asked = data_of(client, address(cast, station) + "?block=1")
    assert {turn["name"] for turn in asked["turns"]} == {"Nandi", "Eero"}
    assert client.get(address(cast, station) + "?block=٣").status_code == 200


def test_a_restriction_keeps_an_athlete_out_of_the_queue_without_saying_why(cast: Cast) -> None:
    station = make_world(cast)
    restrict(
        by=cast.head_coach, athlete=cast.vaulter, what="no poles", excludes=["floor"], reason="wrist", starts_on=TODAY
    )
    page = address(cast, station) + "?block=1"
    held = {turn["name"]: turn["held"] for turn in data_of(signed_in(cast.assistant), page)["turns"]}
    assert held == {"Nandi": True, "Eero": False}
    content = signed_in(cast.assistant).get(page).content
    assert b"wrist" not in content and b"no poles" not in content


def test_whoever_was_taken_out_is_out_on_every_device(cast: Cast) -> None:
    station = make_world(cast)
    Attendance.objects.create(
        club=cast.club, practice=station.practice, athlete=cast.vaulter, state="out", at=timezone.now()
    )
    turns = data_of(signed_in(cast.assistant), address(cast, station) + "?block=1")["turns"]
    assert {turn["name"]: turn["state"] for turn in turns} == {"Nandi": "out", "Eero": ""}


def test_a_moving_drill_warns_until_two_adults_are_checked_in(cast: Cast) -> None:
    station, client = make_world(cast, risk="moving"), signed_in(cast.assistant)
    assert b"Floor drills only" in client.get(address(cast, station)).content
    for adult in (cast.assistant, cast.head_coach):
        AdultPresence.objects.create(
            club=cast.club, practice=station.practice, person=adult.person, came_at=timezone.now()
        )
    assert b"Floor drills only" not in client.get(address(cast, station)).content


def test_nothing_is_logged_at_a_cancelled_practice(cast: Cast) -> None:
    station = make_world(cast)
    Practice.objects.filter(pk=station.practice_id).update(cancelled_at=timezone.now())
    page = signed_in(cast.assistant).get(address(cast, station)).content
    assert b"This practice is cancelled" in page and b"station-data" not in page


def test_who_holds_the_station_is_told(cast: Cast) -> None:
    station = make_world(cast)
    log(signed_in(cast.assistant), cast, station.practice, {"kind": "hold", "station": str(station.pk)})
    assert data_of(signed_in(cast.head_coach), address(cast, station))["holder"]["name"] == "Aiko"


def test_without_a_plan_a_drill_and_athletes_are_chosen_within_the_rules(cast: Cast) -> None:
    make_drill(cast.club, key="hold", name="Carry hold")
    make_drill(cast.club, key="jog", name="Jog", risk="moving")
    make_drill(cast.club, key="wall", name="Wall plant", risk="contact")
    practice = make_practice(cast.club)
    client = signed_in(cast.assistant)
    url = f"{address(cast)}without-plan/{practice.pk}/"
    who = f"athlete={cast.vaulter.pk}"
    assert b"Carry hold" in client.get(url).content and b"Wall plant" not in client.get(url).content
    assert [turn["name"] for turn in data_of(client, f"{url}?drill=hold&{who}")["turns"]] == ["Nandi"]
    for drill in ("jog", "wall", "none"):
        assert b"Choose a drill from the list" in client.get(f"{url}?drill={drill}&{who}").content
    restrict(by=cast.head_coach, athlete=cast.vaulter, what="rest", excludes=["floor"], starts_on=TODAY)
    assert b"A restriction keeps these from Carry hold today: Nandi." in client.get(f"{url}?drill=hold&{who}").content
    for adult in (cast.assistant, cast.head_coach):
        AdultPresence.objects.create(club=cast.club, practice=practice, person=adult.person, came_at=timezone.now())
    assert b"Jog" in client.get(url).content
    assert signed_in(cast.helper).get(url).status_code == 403


def ticked(page: str) -> list[str]:
    """What stands in the tags of the boxes that are ticked."""
    return [tag for part in page.split("<input ")[1:] if " checked" in (tag := part.split(">")[0])]


def test_without_a_plan_whoever_was_noted_as_here_is_ticked(cast: Cast) -> None:
    make_drill(cast.club, key="hold", name="Carry hold")
    practice, client = make_practice(cast.club), signed_in(cast.assistant)
    url = f"{address(cast)}without-plan/{practice.pk}/"
    page = client.get(url).content.decode()
    assert not ticked(page) and "ticked already" not in page
    for athlete, state in ((cast.vaulter, "late"), (cast.team_mate, "absent")):
        Attendance.objects.create(club=cast.club, practice=practice, athlete=athlete, state=state, at=timezone.now())
    page = client.get(url).content.decode()
    (tag,) = ticked(page)
    assert str(cast.vaulter.pk) in tag and "ticked already" in page
    (tag,) = ticked(client.get(f"{url}?drill=none&athlete={cast.team_mate.pk}").content.decode())
    assert str(cast.team_mate.pk) in tag, "what was sent stands"


def test_queries_do_not_grow_with_athletes_or_stations(cast: Cast, django_assert_num_queries: Any) -> None:
    station, client = make_world(cast), signed_in(cast.assistant)
    page = address(cast, station) + "?block=1"
    client.get(page)
    with django_assert_num_queries(STATION_QUERIES):
        client.get(page)
    with django_assert_num_queries(START_QUERIES):
        client.get(address(cast))
    drill = Assignment.objects.filter(station=station).first().drill
    for number in range(5):
        athlete = make_athlete(cast.club, make_person(cast.club, "athlete", given_name=f"A{number}"))
        block = station.practice.blocks.get(number=1)
        Assignment.objects.create(club=cast.club, block=block, station=station, athlete=athlete, drill=drill)
        make_station(station.practice)
    with django_assert_num_queries(STATION_QUERIES):
        client.get(page)
    with django_assert_num_queries(START_QUERIES):
        client.get(address(cast))


def test_who_is_not_open_at_a_drill_is_marked_and_at_contact_it_is_said_before(cast: Cast) -> None:
    station = make_world(cast, run_by=cast.assistant, risk="contact", adult="contact")
    client = signed_in(cast.assistant)
    assert [turn["shut"] for turn in data_of(client, address(cast, station) + "?block=1")["turns"]] == [True, True]
    page = client.get(address(cast, station) + "?block=1").content.decode()
    assert "Not opened at contact: Nandi, Eero." in page and "the head coach is told" in page
    drill = Assignment.objects.filter(station=station).first().drill
    place(by=cast.head_coach, athlete=cast.vaulter, drill=drill, day=TODAY, now=timezone.now(), seen="ten years of it")
    drain(QUICK)
    assert [turn["shut"] for turn in data_of(client, address(cast, station) + "?block=1")["turns"]] == [False, True]
    assert "Not opened at contact: Eero." in client.get(address(cast, station) + "?block=1").content.decode()


def test_a_helper_is_not_told_what_is_open(cast: Cast) -> None:
    first = make_drill(cast.club, key="hold")
    station = make_world(cast, run_by=cast.helper, needs=(first,))
    assert [turn["shut"] for turn in data_of(signed_in(cast.helper), address(cast, station) + "?block=1")["turns"]] == [
        False,
        False,
    ]
    turns = data_of(signed_in(cast.assistant), address(cast, station) + "?block=1")["turns"]
    assert [turn["shut"] for turn in turns] == [True, True]


def test_a_station_says_whether_it_was_checked_and_how_many_adults_are_here(cast: Cast) -> None:
    station = make_world(cast, run_by=cast.helper, risk="contact", adult="contact")
    address_of = address(cast, station) + "safety/"
    said = signed_in(cast.assistant).get(address_of).content.decode()
    assert "Not open yet." in said and "Floor drills only." in said and "Check it now" in said
    assert "Check it now" not in signed_in(cast.helper).get(address_of).content.decode()
    for member in (cast.head_coach, cast.assistant):
        AdultPresence.objects.create(
            club=cast.club, practice=station.practice, person=member.person, came_at=timezone.now()
        )
    by = cast.assistant.acting(Permission.PRACTICE_RUN)
    check_station(by=by, station=station, items=items_of(station.area.kind), now=timezone.now())
    said = signed_in(cast.assistant).get(address_of).content.decode()
    assert "Checked by Aiko" in said and "Floor drills only" not in said and "Not open" not in said
    assert "Checked by Aiko" in signed_in(cast.assistant).get(address(cast, station)).content.decode()


def test_what_was_adjusted_stands_with_the_athlete(cast: Cast) -> None:
    station = make_world(cast)
    make_adjustment(cast.club)
    said = {"kind": "adjustment", "athlete": str(cast.vaulter.pk), "drill": "walk", "adjustment": "hold-lower"}
    assert log(signed_in(cast.assistant), cast, station.practice, said) == ["accepted"]
    page = data_of(signed_in(cast.assistant), address(cast, station) + "?block=1")
    assert page["adjustments"]["hold-lower"]["name"] == "hold lower"
    assert [[one["key"] for one in turn["adjusted"]] for turn in page["turns"]] == [["hold-lower"], []]


def test_whoever_has_gone_home_waits_for_no_turn(cast: Cast) -> None:
    station = make_world(cast)
    by = cast.assistant.acting(Permission.PRACTICE_RUN)
    gone = leave_with_other(by=by, practice=station.practice, athlete=cast.vaulter, name="Ada Reed", now=timezone.now())
    page = address(cast, station) + "?block=1"
    assert [turn["state"] for turn in data_of(signed_in(cast.assistant), page)["turns"]] == ["left", ""]
    take_back(by=by, departure=gone, now=timezone.now())
    assert [turn["state"] for turn in data_of(signed_in(cast.assistant), page)["turns"]] == ["", ""]
