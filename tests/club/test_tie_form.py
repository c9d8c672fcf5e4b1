"""What the form of a tie promises about somebody who is barred."""

import pytest
from django.test import Client
from django.utils import timezone

from athletes.models import EmergencyCard
from club.models import Guardianship
from tests.builders import Cast

pytestmark = pytest.mark.django_db


def test_the_form_promises_what_barring_does_and_the_card_shows_the_name(cast: Cast) -> None:
    tie = Guardianship.objects.get(child=cast.vaulter.person, guardian=cast.parent.person)
    EmergencyCard.objects.create(club=cast.club, athlete=cast.vaulter, allergies="none", kept_at=timezone.now())
    coach = Client()
    coach.force_login(cast.head_coach.person)
    base = f"/c/{cast.club.slug}"
    form = coach.get(f"{base}/people/ties/{tie.pk}/").content.decode()
    assert "the name stands on the child’s emergency card" in form and "hands the child over" not in form
    assert coach.post(f"{base}/people/ties/{tie.pk}/", {"barred": "on"}).status_code == 302
    card = coach.post(f"{base}/athletes/{cast.vaulter.pk}/card/").content.decode()
    assert cast.parent.person.full_name in card.split("Must not collect")[1]
