"""Erasure wins over everything: rows, audit values, restored backups. Only club totals stay."""

import json
from collections.abc import Iterator
from datetime import date
from pathlib import Path

import pytest
from django.core.management import call_command
from django.db.models import Sum

from club.erasure import apply_ledger, erase_person
from club.members import find_member
from club.models import AuditEntry, Membership, Person
from club.roles import Permission
from club.subjects import MergeRefused, export, merge_rows
from sessions.trends.models import DayDrill, ErasedMonth
from tests.builders import make_athlete, make_club, make_person
from tests.club.asking import dump
from tests.club.world import World, make_world

# Words of the world that stand in rows about the erased person alone.
OWN = {"athlete_given", "athlete_family", "email", "phone", "sign_in_name", "restriction_what", "restriction_reason"}


@pytest.fixture(autouse=True)
def ledger(settings, tmp_path: Path) -> Path:
    settings.ERASURE_LEDGER = tmp_path / "erasures.jsonl"
    return settings.ERASURE_LEDGER


@pytest.fixture
def world(db: None) -> Iterator[World]:
    yield make_world()


def head(world: World):
    found = find_member(world.people["head"], world.club.slug)
    assert found is not None
    return found.acting(Permission.PEOPLE_READ)


def words_left(world: World, name: str) -> set[str]:
    text = repr(dump())
    own = [canary for canary in world.canaries if canary.about == (name,) and canary.kind in OWN]
    assert len(own) >= 5
    return {canary.kind for canary in own if canary.word in text}


def test_nothing_of_an_erased_person_is_left_in_any_table(world: World) -> None:
    assert words_left(world, "nandi")
    erase_person(by=head(world), person=world.people["nandi"])
    assert words_left(world, "nandi") == set()
    assert set(export(world.club, world.people["nandi"])) <= {"club.AuditEntry"}


def test_the_audit_keeps_the_act_and_loses_the_values(world: World) -> None:
    about = AuditEntry.objects.filter(subject_id=str(world.athletes["nandi"].pk))
    assert about.exclude(values=None).exists()
    erase_person(by=head(world), person=world.people["nandi"])
    assert about.exists() and not about.exclude(values=None).exists()
    assert AuditEntry.objects.filter(kind="erased a person", subject_id=str(world.people["nandi"].pk)).count() == 1


def test_the_club_s_totals_of_a_drill_and_month_stay(world: World) -> None:
    nandi = world.athletes["nandi"]
    drill = world.parts.get("drill") or DayDrill.objects.filter(club=world.club).first().drill
    DayDrill.objects.filter(athlete=nandi, drill=drill).delete()
    for day, done in ((date(2026, 1, 5), 6), (date(2026, 1, 30), 4), (date(2026, 2, 1), 3)):
        DayDrill.objects.create(club=world.club, athlete=nandi, drill=drill, day=day, done=done, counted=2, good=1)
    before = DayDrill.objects.filter(athlete=nandi).aggregate(done=Sum("done"))["done"]
    erase_person(by=head(world), person=world.people["nandi"])
    months = dict(ErasedMonth.objects.filter(drill=drill).values_list("month", "done"))
    assert (months[date(2026, 1, 1)], months[date(2026, 2, 1)]) == (10, 3)
    assert ErasedMonth.objects.aggregate(done=Sum("done"))["done"] == before


def test_the_ledger_holds_random_ids_only_and_erases_again(world: World, ledger: Path) -> None:
    nandi = world.people["nandi"]
    erase_person(by=head(world), person=nandi)
    (line,) = ledger.read_text().splitlines()
    assert set(json.loads(line)) == {"club", "person", "at"} and ledger.stat().st_mode & 0o077 == 0
    # A restored backup holds the person again.
    Person.objects.filter(pk=nandi.pk).update(given_name="Back", is_active=True)
    make_athlete(world.club, Person.objects.get(pk=nandi.pk))
    call_command("apply_erasures")
    nandi.refresh_from_db()
    assert (nandi.given_name, nandi.is_active) == ("", False) and not nandi.athlete_profiles.exists()


def test_a_line_for_somebody_the_database_never_held_is_passed_over(world: World) -> None:
    club, person = world.club.pk, "00000000-0000-4000-8000-000000000000"
    assert apply_ledger(iter([json.dumps({"club": str(club), "person": person, "at": "2026-01-01"})])) == 0


def test_a_person_in_two_clubs_is_erased_from_one(world: World) -> None:
    nandi, other = world.people["nandi"], make_club()
    Membership.objects.create(club=other, person=nandi, role="athlete", joined_on=date(2026, 1, 1))
    erase_person(by=head(world), person=nandi)
    nandi.refresh_from_db()
    assert nandi.given_name and nandi.is_active
    assert not Membership.objects.filter(club=world.club, person=nandi).exists()


def test_two_rows_for_one_human_being_become_one(db: None) -> None:
    club = make_club()
    kept, gone = make_person(club, "guardian"), make_person(club, "helper")
    make_athlete(club, gone)
    merge_rows(club, gone, kept)
    roles = set(Membership.objects.filter(person=kept).values_list("role", flat=True))
    assert roles == {"guardian", "helper"} and kept.athlete_profiles.count() == 1


def test_two_sporting_profiles_are_not_merged_and_nothing_changes(db: None) -> None:
    club = make_club()
    kept, gone = make_person(club, "athlete"), make_person(club, "helper")
    make_athlete(club, kept)
    make_athlete(club, gone)
    with pytest.raises(MergeRefused):
        from django.db import transaction

        with transaction.atomic():
            merge_rows(club, gone, kept)
    assert gone.athlete_profiles.count() == 1 and Membership.objects.filter(person=gone).count() == 1
