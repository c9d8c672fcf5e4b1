"""The wrap-up: who was not seen, what is undecided, what waits, what happened, what broke; and the answers given."""

from datetime import timedelta
from typing import Any
from uuid import UUID, uuid4

import pytest
from django.utils import timezone

from club.models import AuditEntry
from sessions.practices.actions import checks, incidents
from sessions.practices.models import Attendance, Practice
from sessions.reps.models import Look, NeedsLook, Rep, RepNote
from tests.builders import make_athlete, make_person
from tests.sessions.boards.helpers import signed_in, text_of
from tests.sessions.reps.ground import SECOND, Ground, make_ground

pytestmark = pytest.mark.django_db
QUERIES = 21


@pytest.fixture
def ground(db: None) -> Ground:
    found = make_ground(published_at=timezone.now())
    for athlete in (found.cast.vaulter, found.cast.team_mate):
        Attendance.objects.create(
            club=found.cast.club, practice=found.practice, athlete=athlete, state="here", at=found.at
        )
    return found


def url(ground: Ground, page: str) -> str:
    return f"/c/{ground.cast.club.slug}/practices/{ground.practice.pk}/{page}/"


def shown(ground: Ground, page: str = "wrap-up", by: Any = None) -> str:
    return text_of(signed_in(by or ground.cast.head_coach).get(url(ground, page)))


def settle(ground: Ground, need: NeedsLook, by: Any = None, **said: Any) -> int:
    address = f"/c/{ground.cast.club.slug}/looks/{need.pk}/settle/"
    return signed_in(by or ground.cast.head_coach).post(address, said).status_code


def test_whoever_was_there_and_not_watched_is_named_with_their_reps(ground: Ground) -> None:
    ground.send(ground.rep(), ground.rep(30, athlete=ground.cast.team_mate.pk, watched=[]))
    page = shown(ground)
    assert "2 athletes came." in page
    assert "Eero V. 1 rep, not watched" in page and "Nandi K. 1 rep" not in page
    assert "drop 2 reps Eero V. and Nandi K." in page, "who did what"


def test_a_look_that_somebody_watched_makes_them_seen(ground: Ground) -> None:
    ground.send(ground.rep(watched=[]))
    assert "Nandi K. 1 rep, not watched" in shown(ground)
    ground.send(ground.look(5), device=SECOND)
    assert "Nandi K. 1 rep, not watched" not in shown(ground)


def test_what_waits_happened_broke_and_was_written_is_there_with_its_act(ground: Ground) -> None:
    cast, now = ground.cast, timezone.now()
    ground.send(ground.look(400))
    ground.send(ground.event(5, kind="note", athlete=cast.vaulter.pk, text="Calm feet.", reader="athlete"))
    checks.report_kit(by=cast.assistant, practice=ground.practice, what="a strap", area=None, now=now)
    incidents.open_incident(
        by=cast.assistant, practice=ground.practice, athlete=cast.vaulter, at=now, now=now, happened="fell"
    )
    page = shown(ground)
    assert "1 entry waits for you" in page and "a strap" in page and "Calm feet." in page and "Nandi Kestrel" in page
    assert "Release" in page and "Done" in page
    for_assistant = shown(ground, by=cast.assistant)
    assert "None that you read here." in for_assistant and "Release" not in for_assistant and "Done" in for_assistant


def test_done_is_once_and_never_before_it_has_begun(ground: Ground) -> None:
    client = signed_in(ground.cast.assistant)
    assert client.post(url(ground, "wrapped")).status_code == 302
    assert Practice.objects.get(pk=ground.practice.pk).wrapped_at
    client.post(url(ground, "wrapped"))
    assert AuditEntry.objects.filter(kind="wrapped a practice up").count() == 1
    assert "Wrapped up on" in shown(ground)
    Practice.objects.update(day=timezone.now().date() + timedelta(days=3), wrapped_at=None)
    client.post(url(ground, "wrapped"))
    assert not Practice.objects.filter(wrapped_at__isnull=False).exists()


def test_a_note_to_an_athlete_is_taken_back_before_the_release(ground: Ground) -> None:
    ground.send(ground.event(5, kind="note", athlete=ground.cast.vaulter.pk, text="Calm feet.", reader="athlete"))
    note = RepNote.objects.get()
    signed_in(ground.cast.head_coach).post(f"/c/{ground.cast.club.slug}/notes/{note.uuid}/take-back/")
    assert not RepNote.objects.exists()


def test_a_look_is_attached_to_the_rep_that_a_coach_chooses(ground: Ground) -> None:
    rep = ground.rep()
    ground.send(rep)
    ground.send(ground.look(400), device=SECOND)
    page = shown(ground, "looks")
    assert "no rep within 60 seconds" in page and "Which rep was it?" in page
    assert settle(ground, NeedsLook.objects.get(), act="attach", rep=rep["uuid"]) == 302
    assert Look.objects.get(deciding=False).rep.uuid == UUID(rep["uuid"])
    assert "Nothing waits" in shown(ground, "looks")


@pytest.mark.parametrize(("act", "counting"), [("one", 1), ("two", 2)])
def test_two_recordings_are_one_attempt_or_two(ground: Ground, act: str, counting: int) -> None:
    ground.send(ground.event(-60, kind="hold", station=ground.station.pk))
    ground.send(ground.rep())
    ground.send(ground.rep(10), device=SECOND)
    page = shown(ground, "looks")
    assert "One attempt" in page and "Two attempts" in page and "17:30:00" in page and "17:30:10" in page
    settle(ground, NeedsLook.objects.get(), act=act)
    assert Rep.objects.filter(state="counts").count() == counting


BAD: list[dict[str, Any]] = [
    {}, {"act": ""}, {"act": "rocket"}, {"act": "x" * 5000}, {"act": "attach"}, {"act": "attach", "rep": "x"},
    {"act": "attach", "rep": str(uuid4())}, {"act": "attach", "rep": "\x00"}, {"act": "one"}, {"act": "accept"},
]  # fmt: skip


@pytest.mark.parametrize("said", BAD, ids=lambda said: ",".join(f"{k}={str(v)[:8]!r}" for k, v in said.items()) or "no")
def test_an_answer_that_makes_no_sense_is_said_and_settles_nothing(ground: Ground, said: dict[str, Any]) -> None:
    ground.send(ground.rep())
    ground.send(ground.look(400), device=SECOND)
    client = signed_in(ground.cast.head_coach)
    need = NeedsLook.objects.get()
    answer = client.post(f"/c/{ground.cast.club.slug}/looks/{need.pk}/settle/", said, follow=True)
    assert answer.status_code == 200 and "That did not work." in text_of(answer)
    assert NeedsLook.objects.get().settled_as == "" and not Look.objects.filter(deciding=False).exists()


def test_what_waits_in_another_club_is_not_found_and_a_helper_answers_nothing(ground: Ground) -> None:
    ground.send(ground.look(400))
    need = NeedsLook.objects.get()
    assert settle(ground, need, by=ground.cast.helper, act="drop") == 403
    address = f"/c/{ground.cast.other_club.slug}/looks/{need.pk}/settle/"
    assert signed_in(ground.cast.outsider).post(address, {"act": "drop"}).status_code == 404


def test_the_queries_of_the_wrap_up_do_not_grow(ground: Ground, django_assert_num_queries: Any) -> None:
    client = signed_in(ground.cast.head_coach)
    ground.send(ground.rep(), ground.look(400))
    client.get(url(ground, "wrap-up"))
    with django_assert_num_queries(QUERIES):
        client.get(url(ground, "wrap-up"))
    for number in range(5):
        person = make_person(ground.cast.club, "athlete", given_name=f"V{number}")
        athlete = make_athlete(ground.cast.club, person)
        note = ground.event(60, kind="note", athlete=athlete.pk, text="x", reader="athlete")
        ground.send(ground.rep(60 * number, athlete=athlete.pk), ground.look(2000, athlete=athlete.pk), note)
    with django_assert_num_queries(QUERIES):
        client.get(url(ground, "wrap-up"))


def test_the_queries_of_what_waits_do_not_grow(ground: Ground, django_assert_num_queries: Any) -> None:
    client = signed_in(ground.cast.head_coach)
    ground.send(ground.rep(), ground.look(400))
    for more in (False, True):
        if more:
            ground.send(*(ground.look(500 + n) for n in range(8)))
        with django_assert_num_queries(11):
            client.get(url(ground, "looks"))
