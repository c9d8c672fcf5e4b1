"""The desk's page of a practice's tablets, and the file of one that cannot send."""

import json
from typing import Any
from uuid import uuid4

import pytest
from django.core.files.uploadedfile import SimpleUploadedFile

from club.members import Member
from sessions.practices.models import Station
from sessions.reps.models import Event, Rep
from sessions.station import words
from tests.builders import Cast
from tests.sessions.station.test_station_pages import half_past_five, log, make_world, signed_in

__all__ = ["half_past_five"]
pytestmark = pytest.mark.django_db


def rep(cast: Cast, station: Station, **changes: Any) -> dict[str, Any]:
    said = {"uuid": str(uuid4()), "kind": "rep", "at": "2026-03-02T17:40:00+00:00", "sequence": 1}
    drill = station.assignments.first().drill.key
    return {**said, "athlete": str(cast.vaulter.pk), "drill": drill, "watched": [], "faults": [], **changes}


def saved(cast: Cast, station: Station, *events: Any, **changes: Any) -> dict[str, Any]:
    part = {"practice": str(station.practice_id), "by": str(cast.assistant.person.pk), "version": 2}
    return {
        "format": "sixmark-unsent",
        "version": 1,
        "club": cast.club.slug,
        "device": {"uuid": str(uuid4()), "name": "Tablet"},
        "saved_at": "2026-03-02T18:00:00+00:00",
        "parts": [{**part, "events": list(events), **changes}],
    }


def take_in(member: Member, station: Station, content: Any) -> Any:
    text = content if isinstance(content, bytes) else json.dumps(content).encode()
    url = f"/c/{member.club.slug}/practices/{station.practice_id}/tablets/take-in/"
    return signed_in(member).post(url, {"file": SimpleUploadedFile("unsent.json", text)})


def test_a_file_is_taken_in_once_and_says_what_became_of_each_entry(cast: Cast) -> None:
    station = make_world(cast)
    good, bad = rep(cast, station), rep(cast, station, athlete=str(uuid4()))
    file = saved(cast, station, good, bad)
    page = take_in(cast.head_coach, station, file).content.decode()
    assert "New: 1. Here already: 0. Kept for a look: 0. Not taken: 1." in page
    assert "This club has no such athlete for you." in page
    assert "New: 0. Here already: 1." in take_in(cast.head_coach, station, file).content.decode()
    assert Rep.objects.count() == 1 and Event.objects.get().by == cast.head_coach.person


def test_what_the_tablet_sends_after_all_is_known_already(cast: Cast) -> None:
    station = make_world(cast)
    good = rep(cast, station)
    file = saved(cast, station, good)
    take_in(cast.head_coach, station, file)
    body = {"version": 2, "by": str(cast.assistant.person.pk), "device": file["device"], "unsent": 3}
    body |= {"sent_at": "2026-03-02T17:41:00+00:00", "events": [good]}
    url = f"/api/v1/clubs/{cast.club.slug}/practices/{station.practice_id}/events/"
    answer = signed_in(cast.assistant).post(url, body, content_type="application/json").json()
    assert [result["state"] for result in answer["results"]] == ["duplicate"]
    page = signed_in(cast.head_coach).get(f"/c/{cast.club.slug}/practices/{station.practice_id}/tablets/")
    assert b"Tablet" in page.content and b"<td>3</td>" in page.content


@pytest.mark.parametrize("content", [b"", b"{", b"[]", b'{"format": "other"}', b"\xff", b"[" * 100000])
def test_what_is_no_saved_file_is_refused_and_nothing_is_stored(cast: Cast, content: bytes) -> None:
    station = make_world(cast)
    answer = take_in(cast.head_coach, station, content)
    assert answer.status_code == 422 and b"This is no file of unsent entries" in answer.content
    assert not Event.objects.exists()


def test_a_file_of_a_future_version_or_another_club_s_practice_is_refused_with_its_reason(cast: Cast) -> None:
    station = make_world(cast)
    future = saved(cast, station, rep(cast, station), version=3)
    assert "takes versions 1, 2 of the format" in take_in(cast.head_coach, station, future).content.decode()
    other = saved(cast, station, rep(cast, station), practice=str(uuid4()))
    assert "This club has no such practice for you" in take_in(cast.head_coach, station, other).content.decode()
    assert not Event.objects.exists()


def test_the_desk_sees_who_holds_which_station(cast: Cast) -> None:
    station = make_world(cast)
    log(signed_in(cast.assistant), cast, station.practice, {"kind": "hold", "station": str(station.pk)})
    url = f"/c/{cast.club.slug}/practices/{station.practice_id}/tablets/"
    page = signed_in(cast.head_coach).get(url).content.decode()
    assert "Smooth floor" in page and cast.assistant.person.full_name in page and "did not say" in page
    assert signed_in(cast.helper).get(url).status_code == 403


def test_no_two_texts_of_the_script_share_a_key() -> None:
    parts = (words._logging(), words._queue(), words._state(), words._app())
    keys = [key for part in parts for key in part] + list(words._COUNTED)
    assert sorted(keys) == sorted(set(keys))
