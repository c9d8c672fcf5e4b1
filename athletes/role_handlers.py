"""Whoever becomes an athlete of the club gets a sporting profile; whoever is none any more leaves the squads' pages,
and comes back to them as one again."""

from datetime import date

from athletes.actions.profile import add_athlete
from athletes.models import Athlete
from club import roles_changed
from club.members import Member
from club.models import Person
from club.roles import Role


@roles_changed.tells
def follow(by: Member, person: Person, roles: frozenset[str], today: date) -> None:
    rows = Athlete.objects.for_club(by.club).filter(person=person)
    if Role.ATHLETE not in roles:
        rows.filter(left_on__isnull=True).update(left_on=today)
    elif not rows.filter(left_on__isnull=False).update(left_on=None) and not rows.exists():
        add_athlete(by=by, person=person, hand=Athlete.Hand.RIGHT, joined_on=today)
