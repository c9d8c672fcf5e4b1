"""A fill that was stored, so that it can be taken back."""

from uuid import uuid4

from django.db import models

from athletes.models import Athlete
from club.models import Person
from club.scope import ClubOwned
from drills.models import Activity, Drill
from sessions.practices.models import Block, Practice, Station


class Fill(ClubOwned):
    """One "fill for me" of a plan. Coaches' own: nobody else reads it."""

    id = models.UUIDField(primary_key=True, default=uuid4, editable=False)
    practice = models.ForeignKey(Practice, on_delete=models.CASCADE, related_name="fills")
    by = models.ForeignKey(Person, on_delete=models.SET_NULL, null=True, related_name="+")
    at = models.DateTimeField()
    taken_back_at = models.DateTimeField(null=True)

    class Meta:
        ordering = ["-at"]

    def __str__(self) -> str:
        return f"fill of {self.practice}"


class FillPlace(ClubOwned):
    """A place that the fill gave (``given``) or took away for it."""

    fill = models.ForeignKey(Fill, on_delete=models.CASCADE, related_name="places")
    given = models.BooleanField()
    block = models.ForeignKey(Block, on_delete=models.CASCADE, related_name="+")
    station = models.ForeignKey(Station, on_delete=models.CASCADE, null=True, related_name="+")
    athlete = models.ForeignKey(Athlete, on_delete=models.CASCADE, related_name="+")
    drill = models.ForeignKey(Drill, on_delete=models.PROTECT, null=True, related_name="+")
    activity = models.ForeignKey(Activity, on_delete=models.PROTECT, null=True, related_name="+")
    steps = models.PositiveSmallIntegerField(null=True)

    class Meta:
        constraints = [
            models.UniqueConstraint(fields=["fill", "given", "block", "athlete"], name="one_place_of_a_fill")
        ]

    def __str__(self) -> str:
        return f"{self.athlete}: {self.drill or self.activity}"
