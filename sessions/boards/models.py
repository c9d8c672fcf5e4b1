"""What an athlete answers after a practice, and where a practice was before it was moved."""

from django.db import models
from django.db.models import Q
from django.utils.translation import pgettext_lazy

from athletes.models import Athlete
from club.members import Member
from club.models import Venue
from club.scope import ClubOwned
from sessions.practices.models import Practice


class SelfCheck(ClubOwned):
    """One question after a practice, answered by the athlete. Coaches and the athlete's guardians read it."""

    class Feel(models.TextChoices):
        TOGETHER = "together", pgettext_lazy("how practice felt", "It came together")
        GETTING_THERE = "getting there", pgettext_lazy("how practice felt", "Getting there")
        NOT_YET = "not yet", pgettext_lazy("how practice felt", "Not yet")

    practice = models.ForeignKey(Practice, on_delete=models.CASCADE, related_name="self_checks")
    athlete = models.ForeignKey(Athlete, on_delete=models.CASCADE, related_name="self_checks")
    feel = models.CharField(max_length=16, choices=Feel.choices)
    words = models.CharField(max_length=200, blank=True)
    at = models.DateTimeField()

    subject = "athlete__person"

    class Meta:
        ordering = ["-practice__day", "-pk"]
        constraints = [models.UniqueConstraint(fields=["practice", "athlete"], name="one_self_check_a_practice")]

    def __str__(self) -> str:
        return f"{self.athlete}: {self.feel}"


class MovedFrom(ClubOwned):
    """When and where a published practice was, as its readers last knew it: they are told until it is over."""

    practice = models.OneToOneField(Practice, on_delete=models.CASCADE, related_name="moved_from")
    venue = models.ForeignKey(Venue, on_delete=models.CASCADE, related_name="+")
    day = models.DateField()
    starts = models.TimeField()

    def __str__(self) -> str:
        return f"{self.day} {self.starts:%H:%M}, {self.venue}"

    @classmethod
    def visible_to(cls, member: Member) -> Q:
        """Whoever sees the practice."""
        return Q(practice__in=Practice.objects.for_member(member).order_by().values("pk"))
