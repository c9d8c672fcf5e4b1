"""A member: one person in one club, with what the page at hand lets them see.

Built by the door from the address; handed to every query and action as their first argument.
"""

from dataclasses import dataclass, field, replace
from uuid import UUID

from club.clock import club_today
from club.models import Club, Guardianship, Membership, Person
from club.roles import Permission, Relation, Role, relations


@dataclass(frozen=True, slots=True)
class Member:
    club: Club
    person: Person
    roles: frozenset[Role]
    children: frozenset[UUID] = frozenset()
    permission: Permission | None = None
    relations: frozenset[Relation] = field(default=frozenset())

    def may(self, permission: Permission) -> bool:
        return bool(relations(self.roles, permission))

    def acting(self, permission: Permission) -> "Member":
        """The same person, seeing what this permission lets them see."""
        return replace(self, permission=permission, relations=relations(self.roles, permission))

    @property
    def sees_club(self) -> bool:
        return Relation.CLUB in self.relations

    @property
    def subjects(self) -> frozenset[UUID]:
        """Ids of the persons whose rows this member may see beyond the club-wide ones."""
        own = {self.person.pk} if Relation.SELF in self.relations else set()
        return frozenset(own | (self.children if Relation.CHILD in self.relations else set()))


def find_member(person: Person, slug: str) -> Member | None:
    """The member this person is in the club of that address, or None."""
    rows = list(Membership.objects.filter(person=person, club__slug=slug, left_on__isnull=True).select_related("club"))
    if not rows:
        return None
    roles = frozenset(Role(row.role) for row in rows)
    children = children_of(person, rows[0].club) if Role.GUARDIAN in roles else frozenset()
    return Member(club=rows[0].club, person=person, roles=roles, children=children)


def children_of(person: Person, club: Club) -> frozenset[UUID]:
    ties = Guardianship.objects.filter(club=club, guardian=person, sees_progress=True, barred=False)
    return frozenset(ties.exclude(until__lt=club_today(club)).values_list("child_id", flat=True))
