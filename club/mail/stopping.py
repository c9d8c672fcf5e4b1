"""The address in each mail that stops its kind: signed, so that nobody stops another's mail, and without an end."""

from dataclasses import dataclass

from django.conf import settings
from django.core import signing
from django.urls import reverse

from club.mail.kinds import KINDS, Kind
from club.models import Club, Person

SIGNER = signing.Signer(salt="club.mail.stop")


@dataclass(frozen=True, slots=True)
class Stop:
    club: Club
    person: Person
    kind: Kind


def address(club: Club, person: Person, kind: Kind) -> str:
    token = SIGNER.sign_object([club.pk.hex, person.pk.hex, kind.name])
    return settings.SITE_URL + reverse("stop_mail", args=[token])


def read(token: str) -> Stop | None:
    """What a token stops; None for one that was not signed here, or whose person was erased."""
    try:
        club_id, person_id, kind = SIGNER.unsign_object(token)
    except signing.BadSignature:
        return None
    club = Club.objects.filter(pk=club_id).first()
    person = Person.objects.filter(pk=person_id, is_active=True).first()
    return Stop(club, person, KINDS[kind]) if club and person and kind in KINDS else None
