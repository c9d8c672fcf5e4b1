"""Progress in plain words, for one athlete and four weeks."""

from uuid import uuid4

from django.db import models
from django.db.models import Q
from django.utils.translation import gettext_lazy as _

from athletes.models import Athlete
from club.members import Member
from club.models import Person
from club.scope import ClubOwned
from sessions.summaries.core.facts import Facts


class Summary(ClubOwned):
    """A draft until a head coach approves it; then the athlete and the guardians who see progress read it.

    facts: ``core.facts.Facts`` as plain values; names: what drills and checkpoints were called when it was made. Both
    are stored, so that what was read once never changes. left_out: checkpoints that the coach took out of it.
    asked: made because a coach asked, not by the calendar.
    """

    id = models.UUIDField(primary_key=True, default=uuid4, editable=False)
    athlete = models.ForeignKey(Athlete, on_delete=models.CASCADE, related_name="summaries")
    since = models.DateField()
    until = models.DateField()
    facts = models.JSONField()
    names = models.JSONField()
    left_out = models.JSONField(default=list)
    own_words = models.TextField(_("in your own words"), blank=True)
    asked = models.BooleanField(default=False)
    made_at = models.DateTimeField()
    approved_at = models.DateTimeField(null=True)
    approved_by = models.ForeignKey(Person, on_delete=models.SET_NULL, null=True, related_name="+")
    mailed_at = models.DateTimeField(null=True)

    subject = "athlete__person"

    class Meta:
        ordering = ["-until", "-made_at"]
        verbose_name_plural = "summaries"
        indexes = [models.Index(fields=["club", "approved_at"], name="summaries_by_approval")]
        constraints = [
            models.UniqueConstraint(fields=["athlete", "until"], name="one_summary_a_period"),
        ]

    def __str__(self) -> str:
        return f"{self.athlete}, {self.since} to {self.until}"

    @classmethod
    def visible_to(cls, member: Member) -> Q:
        """Athletes and guardians: their own, once approved."""
        return Q(athlete__person__in=member.subjects, approved_at__isnull=False)

    def value(self) -> Facts:
        return Facts.from_row(self.facts)
