"""The one door to rows.

Every club-owned model derives from ``ClubOwned``. Doors get rows through ``for_member``, tasks
through ``for_club``. A model says whose its rows are by ``subject``, the field path to the Person
a row is about, or by overriding ``visible_to``; ``open_to_tied`` opens its rows to guardians who may not see
progress. A model that says neither shows its rows only to
those who see the whole club.
"""

from typing import TYPE_CHECKING, Any, ClassVar, Self

from django.db import models
from django.db.models import Q

if TYPE_CHECKING:
    from club.members import Member
    from club.models import Club

NOTHING = Q(pk__in=[])


class ClubQuerySet(models.QuerySet[Any]):
    def for_club(self, club: "Club") -> Self:
        return self.filter(club=club)

    def for_member(self, member: "Member") -> Self:
        """The rows that the member may see with the permission at hand."""
        rows = self.for_club(member.club)
        return rows if member.sees_club else rows.filter(self.model.visible_to(member)).distinct()


class ClubOwned(models.Model):
    """A row that belongs to one club."""

    club = models.ForeignKey("club.Club", on_delete=models.CASCADE, related_name="+")
    subject: ClassVar[str] = ""
    open_to_tied: ClassVar[bool] = False

    objects = ClubQuerySet.as_manager()

    class Meta:
        abstract = True

    @classmethod
    def visible_to(cls, member: "Member") -> Q:
        """What a member without a view of the whole club sees of this model."""
        if not cls.subject:
            return NOTHING
        return Q(**{f"{cls.subject}__in": member.tied_subjects if cls.open_to_tied else member.subjects})
