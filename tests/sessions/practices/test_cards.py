"""Emergency cards at a practice: for the adult in charge alone, while it lasts, each look logged."""

from datetime import timedelta

import pytest
from django.test import Client
from django.utils import timezone

from athletes.models import CardLook, EmergencyCard
from club.clock import club_today
from club.members import Member
from club.models import Membership
from sessions.practices.models import AdultPresence, Practice
from tests.builders import Cast, make_member, make_practice, make_squad

pytestmark = pytest.mark.django_db


@pytest.fixture
def practice(cast: Cast) -> Practice:
    squad = make_squad(cast.club, cast.vaulter)
    EmergencyCard.objects.create(club=cast.club, athlete=cast.vaulter, allergies="wasp stings", kept_at=timezone.now())
    return make_practice(cast.club, day=club_today(cast.club), squads=[squad], published_at=timezone.now())


def check_in(practice: Practice, member: Member, minutes_ago: int = 5) -> AdultPresence:
    came = timezone.now() - timedelta(minutes=minutes_ago)
    return AdultPresence.objects.create(club=practice.club, practice=practice, person=member.person, came_at=came)


def opens(member: Member, practice: Practice, athlete: object) -> int:
    client = Client()
    client.force_login(member.person)
    address = f"/c/{practice.club.slug}/practices/{practice.pk}/cards/"
    answer = client.post(address, {"athlete": str(athlete.pk)})  # type: ignore[attr-defined]
    assert (client.get(address).status_code == 200) is (answer.status_code in {200, 422})
    assert (b"wasp stings" in answer.content) is (answer.status_code == 200)
    return answer.status_code


def test_the_assistant_who_checked_in_first_is_in_charge_while_no_head_coach_is_there(
    cast: Cast, practice: Practice
) -> None:
    second = make_member(cast.club, "assistant", given_name="Second")
    assert opens(cast.assistant, practice, cast.vaulter) == 404, "not checked in"
    mine = check_in(practice, cast.assistant, 9)
    check_in(practice, second, 5)
    assert opens(cast.assistant, practice, cast.vaulter) == 200
    assert opens(second, practice, cast.vaulter) == 404
    AdultPresence.objects.filter(pk=mine.pk).update(left_at=timezone.now())
    assert opens(cast.assistant, practice, cast.vaulter) == 404
    assert opens(second, practice, cast.vaulter) == 200
    check_in(practice, cast.head_coach, 1)
    assert opens(second, practice, cast.vaulter) == 404
    assert opens(cast.head_coach, practice, cast.vaulter) == 200
    looks = CardLook.objects.order_by("at").values_list("by__given_name", "practice_day")
    assert list(looks) == [(name, practice.day) for name in ("Aiko", "Second", "Marta")]


def test_whoever_is_present_only_is_never_in_charge(cast: Cast, practice: Practice) -> None:
    Membership.objects.filter(person=cast.assistant.person).update(adult_level="present")
    check_in(practice, cast.assistant)
    assert opens(cast.assistant, practice, cast.vaulter) == 404


@pytest.mark.parametrize("change", [{"day": 1}, {"day": -1}, {"cancelled": True}])
def test_nobody_is_in_charge_of_another_day_or_of_a_cancelled_practice(
    cast: Cast, practice: Practice, change: dict[str, int]
) -> None:
    check_in(practice, cast.assistant)
    moved = {"day": practice.day + timedelta(days=change.get("day", 0))}
    if change.get("cancelled"):
        moved["cancelled_at"] = timezone.now()
    Practice.objects.filter(pk=practice.pk).update(**moved)
    assert opens(cast.assistant, practice, cast.vaulter) == 404 and not CardLook.objects.exists()


def test_a_card_of_somebody_who_is_not_expected_is_not_opened(cast: Cast, practice: Practice) -> None:
    check_in(practice, cast.assistant)
    assert opens(cast.assistant, practice, cast.team_mate) == 422
    assert not CardLook.objects.exists()


def test_helpers_athletes_and_guardians_are_refused(cast: Cast, practice: Practice) -> None:
    for member in (cast.helper, cast.athlete, cast.parent, cast.officer):
        assert opens(member, practice, cast.vaulter) == 403
    assert opens(cast.outsider, practice, cast.vaulter) == 404


def test_the_practice_page_shows_the_way_to_whoever_is_in_charge_only(cast: Cast, practice: Practice) -> None:
    client = Client()
    client.force_login(cast.assistant.person)
    address = f"/c/{cast.club.slug}/practices/{practice.pk}/"
    assert b"/cards/" not in client.get(address).content
    check_in(practice, cast.assistant)
    assert b"/cards/" in client.get(address).content
