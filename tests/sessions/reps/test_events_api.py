"""The door of the events: who comes in, what is refused before anything is read, what the answer looks like."""

import json
from datetime import time
from typing import Any

import pytest
from django.test import Client
from django.urls import reverse
from django.utils import timezone

from sessions.reps.models import Event, Rep
from tests.sessions.reps.ground import Ground

JSON = "application/json"


def address(ground: Ground, **other: Any) -> str:
    club = other.get("club", ground.cast.club)
    return reverse("api_events", args=[club.slug, other.get("practice", ground.practice.pk)])


def client(member: Any, **how: Any) -> Client:
    found = Client(**how)
    if member:
        found.force_login(member.person)
    return found


def post(ground: Ground, body: Any, who: str = "assistant", **headers: str) -> Any:
    body = body if isinstance(body, (str, bytes)) else json.dumps(body)
    return client(getattr(ground.cast, who)).post(address(ground), body, content_type=JSON, headers=headers)


def test_a_batch_is_answered_item_by_item(ground: Ground) -> None:
    sent = ground.rep(-1)
    answer = post(ground, ground.batch(sent, {"kind": "rep"}, sent))
    assert answer.status_code == 200
    body = answer.json()
    assert sorted(body) == ["now", "results"]
    assert body["results"][0] == {"uuid": sent["uuid"], "state": "kept", "reason": "far_from_practice"} | {
        "message": body["results"][0]["message"]
    }
    assert [(r["uuid"], r["state"], r["reason"]) for r in body["results"][1:]] == [
        (None, "rejected", "missing"),
        (sent["uuid"], "duplicate", ""),
    ]


def test_sent_in_time_a_rep_is_accepted(ground: Ground) -> None:
    now = timezone.now()
    day = {"day": now.date(), "starts": time(0), "ends": time(23, 59), "zone": "UTC"}
    for name, value in day.items():
        setattr(ground.practice, name, value)
    ground.practice.save()
    sent = {**ground.rep(), "at": now.isoformat()}
    answer = post(ground, {**ground.batch(sent), "sent_at": now.isoformat()})
    assert answer.json()["results"] == [{"uuid": sent["uuid"], "state": "accepted", "reason": "", "message": ""}]


@pytest.mark.parametrize(
    ("who", "status"),
    [
        ("head_coach", 200), ("assistant", 200), ("helper", 200), ("athlete", 403), ("parent", 403), ("officer", 403),
        ("outsider", 404),
    ],
)  # fmt: skip
def test_who_may_log(ground: Ground, who: str, status: int) -> None:
    assert post(ground, ground.batch(), who).status_code == status


def test_nobody_comes_in_without_signing_in_or_without_the_token(ground: Ground) -> None:
    body = json.dumps(ground.batch(ground.rep()))
    assert client(None).post(address(ground), body, content_type=JSON).status_code == 403
    strict = client(ground.cast.assistant, enforce_csrf_checks=True)
    assert strict.post(address(ground), body, content_type=JSON).status_code == 403
    assert not Event.objects.exists()


def test_a_practice_of_another_club_is_not_there(ground: Ground) -> None:
    from tests.builders import make_practice

    theirs = make_practice(ground.cast.other_club)
    url = address(ground, practice=theirs.pk)
    found = client(ground.cast.assistant).post(url, json.dumps(ground.batch()), content_type=JSON)
    assert found.status_code == 404


def test_a_helper_finds_only_practices_where_they_stand(ground: Ground) -> None:
    from tests.builders import make_practice

    other = make_practice(ground.cast.club)
    url = address(ground, practice=other.pk)
    found = client(ground.cast.helper).post(url, json.dumps(ground.batch()), content_type=JSON)
    assert found.status_code == 404


@pytest.mark.parametrize(
    "body",
    [
        b"", b"{", b"null{", b"\xff\xfe", b'{"a": NaN}', b'{"a": 1' + b"0" * 5000 + b"}", b"[" * 100_000,
        b'{"a":' * 50_000 + b"1" + b"}" * 50_000, '{"version": Infinity}',
    ],
)  # fmt: skip
def test_what_is_not_json_is_answered_clearly(ground: Ground, body: bytes) -> None:
    answer = post(ground, body)
    assert answer.status_code == 400
    found = answer.json()
    assert found["reason"] in ("not_json", "not_an_object", "missing", "not_a_number", "unknown_field")
    assert found["message"]


@pytest.mark.parametrize("body", ["null", "1", '"x"', "[]", "{}", '{"version": 1}'])
def test_what_is_no_batch_is_answered_with_the_field(ground: Ground, body: str) -> None:
    answer = post(ground, body)
    assert answer.status_code == 400 and answer.json()["reason"] in ("not_an_object", "missing")


def test_a_request_over_a_mebibyte_is_refused_unread(ground: Ground) -> None:
    answer = post(ground, json.dumps(ground.batch()) + " " * 1024 * 1024)
    assert answer.status_code == 413 and "1048576" in answer.json()["message"]


def test_over_two_hundred_events_are_refused_whole(ground: Ground) -> None:
    answer = post(ground, ground.batch(*(ground.rep(n) for n in range(201))))
    assert answer.status_code == 400 and answer.json()["reason"] == "too_many"
    assert not Rep.objects.exists()


@pytest.mark.parametrize("content_type", ["text/plain", "application/x-www-form-urlencoded", "multipart/form-data"])
def test_only_json_is_read(ground: Ground, content_type: str) -> None:
    found = client(ground.cast.assistant).post(address(ground), b"x=1", content_type=content_type)
    assert found.status_code == 415


def test_reading_the_address_is_not_allowed(ground: Ground) -> None:
    assert client(ground.cast.assistant).get(address(ground)).status_code == 405
