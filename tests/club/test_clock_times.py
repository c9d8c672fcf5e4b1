"""Moments on pages are told by the clock on the club's wall."""

from datetime import UTC, datetime

import pytest
from django.test import Client
from django.utils import timezone

from club.models import AuditEntry
from tests.builders import make_club, make_member

pytestmark = pytest.mark.django_db
MOMENT = datetime(2026, 7, 31, 22, 30, tzinfo=UTC)


@pytest.mark.parametrize(
    ("zone", "told"),
    [("Europe/London", "31 July 2026, 23:30"), ("Asia/Tokyo", "1 August 2026, 07:30"), ("UTC", "31 July 2026, 22:30")],
)
def test_the_record_of_changes_tells_the_clubs_time(client: Client, zone: str, told: str) -> None:
    member = make_member(make_club(zone=zone), "head_coach")
    AuditEntry.objects.create(
        club=member.club,
        at=MOMENT,
        by=member.person,
        kind="added a person",
        subject_kind="club.person",
        subject_id=member.person.pk,
    )
    client.force_login(member.person, backend="allauth.account.auth_backends.AuthenticationBackend")
    assert told in client.get(f"/c/{member.club.slug}/changes/").content.decode()
    assert timezone.get_current_timezone_name() == "UTC", "a club's clock does not outlast its page"
