"""Whoever is no athlete of the club any more leaves the squads' pages; whoever is one again comes back to them."""

from datetime import date

from athletes.models import Athlete
from club import roles_changed
from club.members import Member
from club.models import Person
from club.roles import Role


@roles_changed.tells
def follow(by: Member, person: Person, roles: frozenset[str], today: date) -> None:
    rows = Athlete.objects.for_club(by.club).filter(person=person)
    if Role.ATHLETE in roles:
        rows.filter(left_on__isnull=False).update(left_on=None)
    else:
        rows.filter(left_on__isnull=True).update(left_on=today)
