"""What an athlete must not do, and until when."""

from datetime import date
from uuid import uuid4

from django.db import models
from django.db.models import F, Q
from django.utils.translation import gettext_lazy as _

from athletes.core import restrictions as core
from athletes.models.profile import Athlete
from club.models import Person
from club.scope import ClubOwned
from drills.core.catalogue import RiskClass


class Restriction(ClubOwned):
    """What an athlete must not do, and until when. ``reason`` is for the head coach, the athlete and guardians."""

    id = models.UUIDField(primary_key=True, default=uuid4, editable=False)
    athlete = models.ForeignKey(Athlete, on_delete=models.CASCADE, related_name="restrictions")
    excludes = models.JSONField(_("excludes"), default=list)  # risk classes as they were named; ask ``excluded``
    what = models.CharField(_("what is excluded"), max_length=160)
    reason = models.TextField(_("reason"), blank=True)
    starts_on = models.DateField(_("from"))
    ends_on = models.DateField(_("until"), null=True, blank=True)
    needs_clearance = models.BooleanField(_("only a written clearance lifts it"), default=False)
    reported_by = models.ForeignKey(Person, on_delete=models.SET_NULL, null=True, blank=True, related_name="+")
    unanswered = models.BooleanField(_("reported by a guardian, not yet answered"), default=False)
    lifted_at = models.DateTimeField(null=True, blank=True)
    lifted_by = models.ForeignKey(Person, on_delete=models.SET_NULL, null=True, blank=True, related_name="+")
    clearance_by = models.CharField(_("who wrote the clearance"), max_length=120, blank=True)
    clearance_on = models.DateField(_("date of the clearance"), null=True, blank=True)

    subject = "athlete__person"
    open_to_tied = True

    class Meta:
        constraints = [
            models.CheckConstraint(
                condition=Q(ends_on__isnull=True) | Q(ends_on__gte=F("starts_on")), name="restriction_ends_after_start"
            ),
            models.CheckConstraint(
                condition=Q(lifted_at__isnull=True)
                | Q(needs_clearance=False)
                | (Q(clearance_on__isnull=False) & ~Q(clearance_by="")),
                name="a_clearance_lifts_a_head_injury",
            ),
        ]

    def __str__(self) -> str:
        return self.what

    @classmethod
    def binding_on(cls, day: date) -> Q:
        """The rows that bind on that day: ``athletes.core.restrictions.in_force`` as a condition."""
        stays = Q(ends_on__isnull=True) | Q(ends_on__gte=day) | Q(needs_clearance=True) | Q(unanswered=True)
        return stays & Q(lifted_at__isnull=True, starts_on__lte=day)

    @property
    def excluded(self) -> frozenset[RiskClass]:
        """What it keeps the athlete from while it binds: the classes named and every riskier one."""
        return core.upward(map(RiskClass, self.excludes))

    def value(self) -> core.Restriction:
        return core.Restriction(
            excludes=self.excluded,
            starts_on=self.starts_on,
            ends_on=self.ends_on,
            needs_clearance=self.needs_clearance,
            lifted=self.lifted_at is not None,
            unanswered=self.unanswered,
        )
