"""Reads of the club's own rows."""

from dataclasses import dataclass

from django.db.models import F, QuerySet

from club.members import Member
from club.models import AuditEntry, Duty, Membership, Person
from club.roles import Role, may_make_link


@dataclass(frozen=True, slots=True)
class PersonRow:
    person: Person
    roles: list[str]
    may_have_link: bool


def people(member: Member) -> list[PersonRow]:
    """Everybody in the club with their roles, by name."""
    rows = Membership.objects.for_member(member).filter(left_on__isnull=True).select_related("person")
    found: dict[Person, list[Membership]] = {}
    for row in rows.order_by("person__given_name", "person__family_name", "role"):
        found.setdefault(row.person, []).append(row)
    return [
        PersonRow(
            person,
            [str(row.get_role_display()) for row in held],
            may_make_link(member.roles, frozenset(Role(row.role) for row in held)),
        )
        for person, held in found.items()
    ]


def find_person(member: Member, person_id: object) -> Person | None:
    """A person who is a member of this club now."""
    row = Membership.objects.for_member(member).filter(person_id=person_id, left_on__isnull=True).first()
    return row.person if row else None


def changes(member: Member) -> QuerySet[AuditEntry]:
    return AuditEntry.objects.for_member(member).select_related("by").order_by("-at", "-pk")


def open_duties(member: Member) -> QuerySet[Duty]:
    """Duties not yet done, the failed ones first."""
    return Duty.objects.filter(club=member.club, done__lt=F("asked")).order_by("-failures", "due_at")
