"""Who the head coach has cleared for jumping: that athlete, with that pole, grip and run."""

from uuid import uuid4

from django.db import models
from django.db.models import Q
from django.utils.translation import gettext_lazy as _

from athletes.models.poles import Pole
from athletes.models.profile import Athlete
from athletes.models.readiness import CoachesOwn
from club.models import Person
from drills.models import Activity

LONGEST_RUN = 24
"""Steps."""


class Clearance(CoachesOwn):
    """A decision of the head coach. Ended, never changed: another pole, grip or run is another clearance.

    Whether it holds today is asked of ``athletes.queries.jumping``: the pole must still fit.
    """

    id = models.UUIDField(primary_key=True, default=uuid4, editable=False)
    athlete = models.ForeignKey(Athlete, on_delete=models.CASCADE, related_name="clearances")
    activity = models.ForeignKey(Activity, on_delete=models.PROTECT, related_name="+", verbose_name=_("for what"))
    pole = models.ForeignKey(Pole, on_delete=models.PROTECT, related_name="+", verbose_name=_("pole"))
    grip_m = models.DecimalField(_("grip, from the tip"), max_digits=8, decimal_places=6)
    steps = models.PositiveSmallIntegerField(_("steps of the run"))
    day = models.DateField()
    at = models.DateTimeField()
    by = models.ForeignKey(Person, on_delete=models.SET_NULL, null=True, related_name="+")
    ended_at = models.DateTimeField(null=True, blank=True)
    ended_by = models.ForeignKey(Person, on_delete=models.SET_NULL, null=True, blank=True, related_name="+")

    subject = "athlete__person"

    class Meta:
        ordering = ["-at", "-pk"]
        constraints = [
            models.UniqueConstraint(
                fields=["athlete", "activity", "pole"],
                condition=Q(ended_at__isnull=True),
                name="one_clearance_a_pole",
            ),
            models.CheckConstraint(condition=Q(steps__gte=1, steps__lte=LONGEST_RUN), name="a_cleared_run_has_steps"),
        ]

    def __str__(self) -> str:
        return f"{self.athlete} cleared for {self.activity}"
