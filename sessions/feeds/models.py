"""Secret addresses of calendars."""

from uuid import uuid4

from django.db import models
from django.db.models import Q

from athletes.models import Squad
from club.members import Member
from club.models import Person
from club.scope import ClubOwned


class CalendarAddress(ClubOwned):
    """One address, of one person, to one set of practices: their own or a child's (``about``), a squad's, or all.

    Only the hash of its token is kept; the address is shown once. What it shows is decided anew each time it is read,
    by what its person may see then.
    """

    id = models.UUIDField(primary_key=True, default=uuid4, editable=False)
    person = models.ForeignKey(Person, on_delete=models.CASCADE, related_name="+")
    about = models.ForeignKey(Person, on_delete=models.CASCADE, null=True, blank=True, related_name="+")
    squad = models.ForeignKey(Squad, on_delete=models.CASCADE, null=True, blank=True, related_name="+")
    token_hash = models.CharField(max_length=64, unique=True)
    made_at = models.DateTimeField()
    revoked_at = models.DateTimeField(null=True, blank=True)

    class Meta:
        constraints = [
            models.CheckConstraint(
                condition=Q(about__isnull=True) | Q(squad__isnull=True), name="a_calendar_of_a_person_or_a_squad"
            )
        ]

    def __str__(self) -> str:
        return f"calendar of {self.person}"

    @classmethod
    def visible_to(cls, member: Member) -> Q:
        """One's own alone, whoever one is."""
        return Q(person=member.person)
