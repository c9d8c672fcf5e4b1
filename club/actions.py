"""Writes of the club's own rows."""

from collections.abc import Iterable
from datetime import date

from django.db import transaction
from django.utils.translation import gettext_noop

from club import audit
from club.members import Member
from club.models import Area, Guardianship, Membership, Person, Venue


def add_person(
    *,
    by: Member,
    given_name: str,
    family_name: str,
    roles: Iterable[str],
    joined_on: date,
    adult_level: str = "",
    birth_date: date | None = None,
    language: str = "en",
) -> Person:
    """A new person with these roles in the member's club."""
    with transaction.atomic():
        person = Person.objects.create(
            given_name=given_name, family_name=family_name, birth_date=birth_date, language=language
        )
        for role in roles:
            level = adult_level if role in Membership.LEVELLED else ""
            Membership.objects.create(club=by.club, person=person, role=role, adult_level=level, joined_on=joined_on)
        audit.note(by, gettext_noop("added a person"), person, {"name": person.full_name, "roles": list(roles)})
    return person


def add_guardian(*, by: Member, guardian: Person, child: Person) -> Guardianship:
    """Ties a guardian to a child, with every right; take rights away on the tie itself."""
    with transaction.atomic():
        tie = Guardianship.objects.create(club=by.club, guardian=guardian, child=child)
        audit.note(by, gettext_noop("tied a guardian"), child, {"guardian": str(guardian.pk)})
    return tie


def add_venue(*, by: Member, name: str, address: str = "") -> Venue:
    with transaction.atomic():
        venue = Venue.objects.create(club=by.club, name=name, address=address)
        audit.note(by, gettext_noop("added a venue"), venue, {"name": name})
    return venue


def add_area(*, by: Member, venue: Venue, name: str, kind: str, surface: str, places: int) -> Area:
    with transaction.atomic():
        area = Area.objects.create(club=by.club, venue=venue, name=name, kind=kind, surface=surface, places=places)
        audit.note(by, gettext_noop("added an area"), area, {"name": name, "kind": kind})
    return area
