"""A member: one person in one club, with what the page at hand lets them see.

Built by the door from the address; handed to every query and action as their first argument.
"""

from collections.abc import Mapping
from dataclasses import dataclass, field, replace
from uuid import UUID

from club.clock import club_today
from club.models import Club, Guardianship, Membership, Person
from club.roles import Permission, Relation, Role, relations


@dataclass(frozen=True, slots=True)
class Member:
    """ties: by child with a tie in force, whether this guardian may see the child's progress."""

    club: Club
    person: Person
    roles: frozenset[Role]
    ties: Mapping[UUID, bool] = field(default_factory=dict, hash=False)
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
    def children(self) -> frozenset[UUID]:
        """Children whose progress this guardian may see."""
        return frozenset(child for child, sees_progress in self.ties.items() if sees_progress)

    @property
    def subjects(self) -> frozenset[UUID]:
        """Ids of the persons whose rows this member may see beyond the club-wide ones."""
        sees = {Relation.CHILD, Relation.TIED} & self.relations
        return self._own | (self.children if sees else frozenset())

    @property
    def tied_subjects(self) -> frozenset[UUID]:
        """``subjects``, and children this guardian must know safe without seeing how they progress: only for rows that
        say when and where, what must not be done, and whom to call."""
        return self.subjects | (frozenset(self.ties) if Relation.TIED in self.relations else frozenset())

    @property
    def _own(self) -> frozenset[UUID]:
        return frozenset({self.person.pk} if Relation.SELF in self.relations else ())


def find_member(person: Person, slug: str) -> Member | None:
    """The member this person is in the club of that address, or None."""
    rows = list(Membership.objects.filter(person=person, club__slug=slug, left_on__isnull=True).select_related("club"))
    if not rows:
        return None
    roles = frozenset(Role(row.role) for row in rows)
    ties = ties_of(person, rows[0].club) if Role.GUARDIAN in roles else {}
    return Member(club=rows[0].club, person=person, roles=roles, ties=ties)


def ties_of(person: Person, club: Club) -> dict[UUID, bool]:
    """By child, whether this guardian sees progress. A barred or ended tie is none."""
    ties = Guardianship.objects.filter(club=club, guardian=person, barred=False)
    return dict(ties.exclude(until__lt=club_today(club)).values_list("child_id", "sees_progress"))
