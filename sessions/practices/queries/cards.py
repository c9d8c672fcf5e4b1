"""Who is in charge of a practice, and whose emergency cards they may open there.

In charge, while the practice's day lasts: every head coach; and, while no head coach is checked in, the adult who
checked in first of those who are still there and may run stations. Nobody else, and nobody from home.
"""

from datetime import datetime
from uuid import UUID
from zoneinfo import ZoneInfo

from django.db.models import Q

from athletes.models import Athlete
from club.members import Member
from club.models import Membership
from club.roles import Role
from sessions.practices.models import AdultPresence, Practice

RUNS_STATIONS = (Membership.AdultLevel.CONTACT, Membership.AdultLevel.FLOOR)


def in_charge(member: Member, practice: Practice, now: datetime) -> bool:
    """Whether the member may open emergency cards at this practice now."""
    if member.sees_club:
        return True
    if practice.cancelled_at or practice.day != now.astimezone(ZoneInfo(practice.zone)).date():
        return False
    return _first_there(practice) == member.person.pk


def _first_there(practice: Practice) -> UUID | None:
    """Of the adults checked in: nobody's while a head coach is among them, else who came first and may run stations."""
    there = AdultPresence.objects.for_club(practice.club).filter(
        practice=practice, came_at__isnull=False, left_at__isnull=True
    )
    held = Membership.objects.for_club(practice.club).filter(left_on__isnull=True)
    if there.filter(person__in=held.filter(role=Role.HEAD_COACH).values("person")).exists():
        return None
    running = there.filter(person__in=held.filter(adult_level__in=RUNS_STATIONS).values("person"))
    return running.order_by("came_at", "pk").values_list("person_id", flat=True).first()


def card_athletes(member: Member, practice: Practice) -> list[Athlete]:
    """The athletes expected at the practice or there already, by name. The caller has asked ``in_charge``."""
    in_club = Q(left_on__isnull=True) | Q(left_on__gt=practice.day)
    who = (Q(squads__practices=practice) & in_club) | Q(attendances__practice=practice)
    rows = Athlete.objects.for_club(member.club).filter(who | Q(assignments__block__practice=practice))
    found = Athlete.objects.for_club(member.club).filter(pk__in=rows.values("pk")).select_related("person")
    return list(found.order_by("person__given_name", "person__family_name", "pk"))
