"""Making and revoking addresses of calendars."""

import secrets
from dataclasses import dataclass
from datetime import datetime

from django.conf import settings
from django.db import transaction
from django.urls import reverse
from django.utils.translation import gettext_noop

from club import audit
from club.members import Member
from sessions.feeds import queries
from sessions.feeds.models import CalendarAddress
from sessions.feeds.queries import Choice, hash_of


@dataclass(frozen=True, slots=True)
class NewAddress:
    """The row and its token, which is shown once and kept nowhere."""

    address: CalendarAddress
    token: str

    @property
    def url(self) -> str:
        return str(settings.SITE_URL + reverse("feed", args=[self.token]))


class NoSuchCalendar(Exception):
    """The member may not have that calendar."""


def make(*, by: Member, value: str, now: datetime) -> NewAddress:
    """A new address; the one that was in use for the same calendar works no more. Raises NoSuchCalendar."""
    choice = next((one for one in queries.choices(by) if one.value == value), None)
    if choice is None:
        raise NoSuchCalendar(value)
    token = secrets.token_urlsafe(32)
    with transaction.atomic():
        if choice.address:
            revoke(by=by, address=choice.address, now=now)
        row = CalendarAddress.objects.create(
            club=by.club,
            person=by.person,
            about=choice.athlete.person if choice.athlete else None,
            squad=choice.squad,
            token_hash=hash_of(token),
            made_at=now,
        )
        audit.note(by, gettext_noop("made a calendar address"), by.person, {"of": _of(choice)})
    return NewAddress(row, token)


def _of(choice: Choice) -> str:
    return str(choice.athlete.person_id) if choice.athlete else choice.value


def revoke(*, by: Member, address: CalendarAddress, now: datetime) -> None:
    """From now on it shows nothing to anybody."""
    with transaction.atomic():
        rows = CalendarAddress.objects.for_member(by).filter(pk=address.pk, revoked_at__isnull=True)
        if rows.update(revoked_at=now):
            audit.note(by, gettext_noop("revoked a calendar address"), by.person)
