"""Who leaves with whom: guardians who may, others by name, nobody barred without a second act that is told."""

from collections.abc import Callable
from typing import Any
from uuid import uuid4

import pytest
from django.test import Client
from django.utils import timezone

from club.members import Member
from club.models import AuditEntry, BarredContact, Consent, Guardianship
from sessions.practices.models import AdultPresence, Attendance, Departure
from sessions.practices.queries.pick_up import pick_up
from tests.builders import make_athlete, make_person
from tests.sessions.practices.conftest import Scene

pytestmark = pytest.mark.django_db
SignIn = Callable[[Member], Client]


@pytest.fixture
def there(scene: Scene) -> Scene:
    for athlete in (scene.cast.vaulter, scene.cast.team_mate):
        Attendance.objects.create(
            club=scene.cast.club, practice=scene.practice, athlete=athlete, state="here", at=timezone.now()
        )
    return scene


@pytest.fixture
def coach(there: Scene, as_member: SignIn) -> Client:
    return as_member(there.cast.assistant)


def bar(scene: Scene, name: str = "Marek Novák", note: str = "grey van") -> None:
    BarredContact.objects.create(club=scene.cast.club, child=scene.cast.vaulter.person, name=name, note=note)


def leave(coach: Client, scene: Scene, **said: Any) -> int:
    return coach.post(scene.url("hand_over", athlete=scene.cast.vaulter.pk), said).status_code


def test_a_guardian_who_may_collect_is_one_tap(there: Scene, coach: Client) -> None:
    guardian = there.cast.parent.person
    assert guardian.full_name in coach.get(there.url("pick_up")).content.decode()
    assert leave(coach, there, how="family", guardian=guardian.pk) == 302
    left = Departure.objects.get()
    assert (left.guardian, left.by, left.athlete) == (guardian, there.cast.assistant.person, there.cast.vaulter)
    shown = pick_up(there.cast.head_coach.acting("practice.run"), there.practice, timezone.now())
    assert [line.label for line in shown.left] == ["Nandi Kestrel"] and len(shown.here) == 1


@pytest.mark.parametrize("tie", [{"may_collect": False}, {"until": "2026-03-01"}])
def test_a_tie_without_the_right_is_not_offered_and_its_name_is_warned_of(
    there: Scene, coach: Client, tie: dict[str, Any]
) -> None:
    Guardianship.objects.update(**tie)
    guardian = there.cast.parent.person
    assert f"With {guardian.full_name}" not in coach.get(there.url("pick_up")).content.decode()
    assert leave(coach, there, how="family", guardian=guardian.pk) == 422
    assert leave(coach, there, how="other", name=guardian.full_name) == 422
    assert not Departure.objects.exists()


@pytest.mark.parametrize("said", ["novak MAREK", "Novák", "  marek   novak "])
def test_a_barred_name_stops_and_keeps_nothing(there: Scene, coach: Client, said: str) -> None:
    bar(there)
    answer = coach.post(there.url("hand_over", athlete=there.cast.vaulter.pk), {"how": "other", "name": said})
    page = answer.content.decode()
    assert answer.status_code == 422 and not Departure.objects.exists()
    assert "Stop. This person must not collect." in page and "grey van" in page and 'role="alert"' in page
    assert "Keep the athlete here" in page and "Let them go all the same" in page


def test_before_anybody_is_handed_over_the_list_names_who_is_barred(there: Scene, coach: Client) -> None:
    bar(there)
    none = {"may_collect": False, "sees_progress": False, "may_consent": False, "gets_mail": False}
    Guardianship.objects.create(
        club=there.cast.club, guardian=make_person(there.cast.club, given_name="Ivo", family_name="Strand"),
        child=there.cast.vaulter.person, barred=True, **none,
    )  # fmt: skip
    page = coach.get(there.url("pick_up")).content.decode()
    assert "Must not be collected by:" in page and "Marek Novák (grey van)" in page and "Ivo Strand" in page


def test_the_second_act_needs_a_reason_is_audited_and_told_to_the_head_coach(
    there: Scene, coach: Client, as_member: SignIn
) -> None:
    bar(there)
    assert leave(coach, there, how="other", name="Marek Novak", despite=" ") == 422
    assert leave(coach, there, how="other", name="Marek Novak", despite="Police brought him.") == 302
    assert Departure.objects.get().despite == "Police brought him."
    assert AuditEntry.objects.filter(kind="let an athlete go with a barred name").count() == 1
    told = as_member(there.cast.head_coach).get(there.url("practice_told")).content.decode()
    assert "Left with a barred name: Nandi K., with Marek Novak" in told and "Police brought him." in told


def test_a_reason_without_a_warning_is_not_kept(there: Scene, coach: Client) -> None:
    assert leave(coach, there, how="other", name="Ada Reed", despite="because") == 302
    assert Departure.objects.get().despite == ""


def test_on_their_own_only_where_a_guardian_has_agreed(there: Scene, coach: Client) -> None:
    assert leave(coach, there, how="alone") == 422
    Consent.objects.create(
        club=there.cast.club, person=there.cast.vaulter.person, kind="alone", given_by=there.cast.parent.person,
        given_on="2026-01-01",
    )  # fmt: skip
    assert leave(coach, there, how="alone") == 302
    Departure.objects.all().delete()
    Consent.objects.update(withdrawn_on="2026-02-01")
    assert leave(coach, there, how="alone") == 422


def test_nobody_leaves_twice_and_a_slip_is_taken_back_once(there: Scene, coach: Client) -> None:
    assert leave(coach, there, how="other", name="Ada Reed") == 302
    assert leave(coach, there, how="other", name="Ada Reed") == 422
    back = there.url("still_here", departure=Departure.objects.get().pk)
    coach.post(back)
    coach.post(back)
    assert AuditEntry.objects.filter(kind="took a departure back").count() == 1
    assert leave(coach, there, how="other", name="Ada Reed") == 302
    assert Departure.objects.count() == 2


BAD: list[dict[str, Any]] = [
    {},
    {"how": "other"},
    {"how": "other", "name": "   "},
    {"how": "other", "name": "x" * 5000},
    {"how": "other", "name": "a\x00b"},
    {"how": "family"},
    {"how": "family", "guardian": "x"},
    {"how": "family", "guardian": str(uuid4())},
    {"how": ["family", "x"], "guardian": "1" * 400},
    {"how": "rocket"},
    {"how": "alone", "despite": "y" * 400},
]


@pytest.mark.parametrize("said", BAD, ids=lambda said: ",".join(f"{k}={str(v)[:12]}" for k, v in said.items()) or "no")
def test_bad_input_is_said_and_keeps_nothing(there: Scene, coach: Client, said: dict[str, Any]) -> None:
    answer = coach.post(there.url("hand_over", athlete=there.cast.vaulter.pk), said)
    assert answer.status_code == 422 and "Nothing is saved yet" in answer.content.decode()
    assert not Departure.objects.exists()


def test_a_guardian_of_another_child_or_club_collects_nobody_here(there: Scene, coach: Client) -> None:
    for person in (there.cast.outsider.person, make_person(there.cast.club, "guardian")):
        assert leave(coach, there, how="family", guardian=person.pk) == 422


def test_an_athlete_of_another_club_is_not_found(there: Scene, coach: Client) -> None:
    other = make_athlete(there.cast.other_club, make_person(there.cast.other_club, "athlete"))
    assert coach.post(there.url("hand_over", athlete=other.pk), {"how": "other", "name": "A"}).status_code == 404


def test_when_the_second_adult_leaves_it_says_floor_drills_only(there: Scene, as_member: SignIn) -> None:
    AdultPresence.objects.update(came_at=timezone.now())
    head = as_member(there.cast.head_coach)
    page = head.post(there.url("attendance"), {"person": there.cast.assistant.person.pk, "act": "out"}, follow=True)
    assert "Floor drills only from now on, at every station: 2 athletes are still here." in page.content.decode()


def test_the_queries_do_not_grow(there: Scene, coach: Client, django_assert_num_queries: Any) -> None:
    coach.get(there.url("pick_up"))
    with django_assert_num_queries(10):
        coach.get(there.url("pick_up"))
    for number in range(8):
        person = make_person(there.cast.club, "athlete", given_name=f"V{number}")
        athlete = make_athlete(there.cast.club, person)
        Guardianship.objects.create(club=there.cast.club, guardian=there.cast.parent.person, child=person)
        BarredContact.objects.create(club=there.cast.club, child=person, name=f"N{number}")
        Attendance.objects.create(
            club=there.cast.club, practice=there.practice, athlete=athlete, state="late", at=timezone.now()
        )
    with django_assert_num_queries(10):
        coach.get(there.url("pick_up"))
