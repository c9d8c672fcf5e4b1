"""Out, into an empty installation, out again: the same bytes, the same figures, and nothing that is secret."""

import io
import json
from pathlib import Path

import jsonschema
import pytest
from django.apps import apps
from django.core.management import CommandError, call_command
from django.test import Client

from athletes.models import Athlete, Readiness, Standing
from club import archive, duties, erasure
from club.archive import contents, values
from club.archive.loading import learn_sizes
from club.archive.schema import schema
from club.models import AuditEntry, Club, Guardianship, Membership, Person, SignInLink
from club.scope import ClubOwned
from sessions.demo.actions import SMALL, make_demo_club
from sessions.trends.models import DayDrill
from tests.builders import make_cast, make_person
from tests.club.archive.taking import installation_without_a_club, lines_of, saved, taken
from tests.sessions.boards.helpers import signed_in

pytestmark = pytest.mark.django_db


def figures() -> list[list[tuple]]:
    own = {"pk", "id"}
    found = []
    for model in (Readiness, Standing, DayDrill):
        names = [field.attname for field in model._meta.concrete_fields if field.attname not in own]
        found.append(sorted(model.objects.values_list(*names), key=str))
    return found


def drain() -> None:
    while duties.drain(duties.QUICK):
        pass


@pytest.fixture
def demo(db: None) -> Club:
    club = make_demo_club(size=SMALL)
    drain()
    learn_sizes()  # as a server has after its first minute
    return club


def test_the_demo_club_comes_out_of_an_empty_installation_as_it_went_in(demo: Club, tmp_path: Path) -> None:
    first, before = taken(demo), figures()
    assert all(before) and first.count(b"\n") > 2000
    with installation_without_a_club():
        club = archive.load(saved(tmp_path, first))
        assert taken(club) == first
        drain()
        assert figures() == before
        call_command("check_counts", stdout=(out := io.StringIO()))
        assert out.getvalue().strip() == "0"
        assert taken(club) == first
        make_person(club, "athlete")  # what is made next takes a number that is free
    for line in lines_of(first):
        jsonschema.Draft202012Validator(schema()).validate(line)


def test_two_clubs_in_one_installation_are_two_archives(tmp_path: Path) -> None:
    cast = make_cast()
    own = [line["fields"] for line in lines_of(taken(cast.club)) if line.get("model") == "club.person"]
    names = {f"{one['given_name']} {one['family_name']}" for one in own}
    assert "Nandi Kestrel" in names and "Olu Strand" not in names


def test_nothing_that_signs_anybody_in_is_in_it(demo: Club) -> None:
    person = Person.objects.filter(memberships__club=demo).first()
    person.set_password("cathedral-ladder-42")
    person.save()
    SignInLink.objects.create(club=demo, person=person, token_hash="deadbeef" * 8, made_at="2026-03-02T10:00:00Z",
                              expires_at="2026-03-02T11:00:00Z")  # fmt: skip
    text = taken(demo).decode()
    assert person.password not in text and "deadbeef" not in text and "pbkdf2" not in text
    assert {"club.signinlink", "club.duty", "club.mail"}.isdisjoint(
        line.get("model") for line in lines_of(text.encode())
    )


def test_no_field_that_is_written_is_called_like_a_secret() -> None:
    harmless = {"reps.event.content_hash"}  # of what a device sent, to know it again
    words = ("password", "token", "secret", "hash", "session")
    named = {
        f"{contents.name_of(model)}.{field.name}"
        for model in contents.kept_models()
        for field in contents.kept_fields(model)
    }
    assert {name for name in named if any(word in name.split(".")[-1] for word in words)} == harmless


def test_every_model_of_a_club_is_in_it_or_left_out_for_a_reason() -> None:
    owned = {model for model in apps.get_models() if issubclass(model, ClubOwned)}
    assert owned <= set(contents.kept_models()) | set(contents.left_out())
    assert all(contents.left_out().values())
    for model in contents.kept_models():
        assert all(values.kind_of(field) for field in contents.kept_fields(model))


def test_who_was_erased_since_does_not_come_back(demo: Club, tmp_path: Path, settings) -> None:
    settings.ERASURE_LEDGER = tmp_path / "erasures.jsonl"
    first = taken(demo)
    athlete = Athlete.objects.filter(club=demo).first().person
    line = json.dumps({"club": str(demo.pk), "person": str(athlete.pk), "at": "2026-03-01T12:00:00+00:00"})
    with installation_without_a_club():
        archive.load(saved(tmp_path, first), [line])
        assert not Athlete.objects.filter(person=athlete.pk).exists()
        assert Person.objects.get(pk=athlete.pk).given_name == ""
    assert line in settings.ERASURE_LEDGER.read_text()


def test_an_erased_persons_name_is_in_no_archive(demo: Club, tmp_path: Path, settings) -> None:
    settings.ERASURE_LEDGER = tmp_path / "erasures.jsonl"
    coach = Membership.objects.get(club=demo, role="head_coach")
    person = make_person(demo, "athlete", given_name="Quillfeather")
    from club.members import find_member

    erasure.erase_person(by=find_member(coach.person, demo.slug), person=person)
    assert "Quillfeather" not in taken(demo).decode()


def test_only_the_head_coach_takes_it_and_it_is_recorded(cast) -> None:
    url = f"/c/{cast.club.slug}/club/archive/"
    assert b"emergency cards" in signed_in(cast.head_coach).get(url).content
    assert not AuditEntry.objects.exists()
    answer = signed_in(cast.head_coach).post(url)
    assert b"".join(answer.streaming_content) == taken(cast.club)
    assert AuditEntry.objects.get().kind == "took the whole club out as a file"
    for member in (cast.assistant, cast.athlete, cast.parent, cast.officer, cast.helper):
        assert signed_in(member).post(url).status_code == 403
    assert signed_in(cast.outsider).post(url).status_code == 404 and Client().post(url).status_code != 200


def test_the_commands_write_and_load_and_overwrite_nothing(demo: Club, tmp_path: Path) -> None:
    path = tmp_path / "out.jsonl"
    call_command("save_archive", path, stdout=io.StringIO())
    assert path.read_bytes() == taken(demo) and path.stat().st_mode & 0o077 == 0
    with pytest.raises(CommandError, match="already"):
        call_command("save_archive", path)
    with pytest.raises(CommandError, match="a club in this installation already"):
        call_command("load_archive", path)
    with installation_without_a_club():
        call_command("first_start", archive=str(path), stdout=(out := io.StringIO()))
        assert "head coach\t" in out.getvalue() and "Nobody can sign in" not in out.getvalue()
        assert Guardianship.objects.exists()
