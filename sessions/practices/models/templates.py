"""What a plan is made of without anybody's name: kept by the club, and what a template puts into a plan."""

from uuid import uuid4

from django.db import models
from django.db.models import Q
from django.db.models.functions import Lower
from django.utils.translation import gettext_lazy as _

from club.scope import ClubOwned
from drills.models import Activity, Drill
from sessions.practices.models.plan import Block, Station


class PlanTemplate(ClubOwned):
    """A named plan. layout: ``sessions.practices.core.template.Layout`` as a row. deleted_at: until that is undone."""

    id = models.UUIDField(primary_key=True, default=uuid4, editable=False)
    name = models.CharField(_("name"), max_length=60)
    layout = models.JSONField()
    deleted_at = models.DateTimeField(null=True, blank=True)

    class Meta:
        ordering = ["name"]
        constraints = [
            models.UniqueConstraint(
                Lower("name"), "club", condition=Q(deleted_at__isnull=True), name="one_plan_template_a_name"
            )
        ]

    def __str__(self) -> str:
        return self.name


class PlannedWork(ClubOwned):
    """What is meant to be done at a station in a block before anybody is named for it. It gives nobody a place."""

    block = models.ForeignKey(Block, on_delete=models.CASCADE, related_name="planned")
    station = models.ForeignKey(Station, on_delete=models.CASCADE, null=True, blank=True, related_name="planned")
    drill = models.ForeignKey(Drill, on_delete=models.PROTECT, null=True, blank=True, related_name="+")
    activity = models.ForeignKey(Activity, on_delete=models.PROTECT, null=True, blank=True, related_name="+")
    steps = models.PositiveSmallIntegerField(null=True, blank=True)

    class Meta:
        ordering = ["pk"]
        constraints = [
            models.CheckConstraint(
                condition=Q(drill__isnull=False) ^ Q(activity__isnull=False), name="planned_drill_or_activity"
            )
        ]

    def __str__(self) -> str:
        return str(self.drill or self.activity)
