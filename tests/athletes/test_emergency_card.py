"""What a guardian wrote on an emergency card is never gone without a word: who changed what stands beside it."""

import pytest
from django.test import Client

from athletes.models import CardChange, EmergencyCard
from club.members import Member, find_member
from club.models import Guardianship
from tests.builders import Cast, make_person

pytestmark = pytest.mark.django_db
KEPT = {"allergies": "wasp stings", "medicines": "inhaler", "conditions": "", "also_call": ""}


def keep(member: Member, cast: Cast, status: int = 302, **words: str) -> str:
    client = Client()
    client.force_login(member.person)
    answer = client.post(f"/c/{cast.club.slug}/athletes/{cast.vaulter.pk}/card/keep/", {**KEPT, **words}, follow=False)
    assert answer.status_code == status
    return answer.content.decode()


def kept_page(member: Member, cast: Cast) -> str:
    client = Client()
    client.force_login(member.person)
    return client.get(f"/c/{cast.club.slug}/athletes/{cast.vaulter.pk}/card/keep/").content.decode()


def in_charge(cast: Cast) -> str:
    client = Client()
    client.force_login(cast.head_coach.person)
    return client.post(f"/c/{cast.club.slug}/athletes/{cast.vaulter.pk}/card/").content.decode()


def test_an_athlete_does_not_take_off_what_a_guardian_wrote_without_being_asked(cast: Cast) -> None:
    keep(cast.parent, cast)
    said = keep(cast.athlete, cast, 422, allergies="")
    assert "wasp stings” stood here" in said and "on purpose" in said
    assert EmergencyCard.objects.get().allergies == "wasp stings"
    keep(cast.athlete, cast, allergies="", sure="on")
    assert EmergencyCard.objects.get().allergies == ""


@pytest.mark.parametrize(("new", "sure"), [("", "on"), ("none", "")])
def test_what_stood_there_is_shown_to_the_adult_in_charge_until_a_guardian_keeps_the_card(
    cast: Cast, new: str, sure: str
) -> None:
    keep(cast.parent, cast)
    assert "Changed by the athlete" not in in_charge(cast)
    keep(cast.athlete, cast, allergies=new, sure=sure)
    for shown in (in_charge(cast), kept_page(cast.parent, cast)):
        assert "Changed by the athlete since a guardian last kept it" in shown and "“wasp stings” stood there" in shown
    keep(cast.parent, cast, allergies=new)
    for shown in (in_charge(cast), kept_page(cast.parent, cast)):
        assert "Changed by the athlete since" not in shown
        assert "Nandi changed “allergies”" in shown and "Before: wasp stings" in shown


def test_two_changes_of_the_athlete_still_show_the_guardians_words(cast: Cast) -> None:
    keep(cast.parent, cast)
    keep(cast.athlete, cast, allergies="pollen")
    keep(cast.athlete, cast, allergies="none")
    assert "“wasp stings” stood there" in in_charge(cast)
    keep(cast.athlete, cast)
    assert "Changed by the athlete since" not in in_charge(cast), "the guardian's words stand there again"


def test_a_guardian_takes_words_off_without_being_asked_and_the_other_sees_it(cast: Cast) -> None:
    other = make_person(cast.club, "guardian", given_name="Thabo")
    Guardianship.objects.create(club=cast.club, guardian=other, child=cast.vaulter.person)
    second = find_member(other, cast.club.slug)
    assert second is not None
    keep(cast.parent, cast)
    keep(second, cast, medicines="")
    assert "Thabo changed “medicines that matter”" in kept_page(cast.parent, cast)
    assert "It was taken off." in kept_page(cast.parent, cast)


def test_a_card_that_only_the_athlete_keeps_needs_nobody_to_confirm_it(cast: Cast) -> None:
    keep(cast.athlete, cast)
    keep(cast.athlete, cast, medicines="none")
    assert "Changed by the athlete since" not in in_charge(cast)


def test_saving_what_stands_there_already_is_no_change(cast: Cast) -> None:
    keep(cast.parent, cast)
    before = CardChange.objects.count()
    keep(cast.parent, cast)
    assert (before, CardChange.objects.count()) == (2, 2)


def test_the_parents_page_says_that_the_athlete_changed_the_card(cast: Cast) -> None:
    client = Client()
    client.force_login(cast.parent.person)
    address = f"/c/{cast.club.slug}/children/{cast.vaulter.pk}/"
    keep(cast.parent, cast)
    assert "changed the emergency card" not in client.get(address).content.decode()
    keep(cast.athlete, cast, allergies="none")
    assert "Nandi changed the emergency card" in client.get(address).content.decode()
