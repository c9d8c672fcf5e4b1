"""What is said before a practice: who cannot come."""

from django.db import models

from athletes.models import Athlete
from club.models import Person
from club.scope import ClubOwned
from sessions.practices.models.plan import Practice


class CannotCome(ClubOwned):
    """Said by a guardian, or by an athlete of age: they will not be there. Taken back by deleting the row."""

    practice = models.ForeignKey(Practice, on_delete=models.CASCADE, related_name="cannot_come")
    athlete = models.ForeignKey(Athlete, on_delete=models.CASCADE, related_name="cannot_come")
    by = models.ForeignKey(Person, on_delete=models.SET_NULL, null=True, related_name="+")
    at = models.DateTimeField()

    subject = "athlete__person"
    open_to_tied = True

    class Meta:
        verbose_name_plural = "cannot come"
        constraints = [models.UniqueConstraint(fields=["practice", "athlete"], name="said_once_a_practice")]

    def __str__(self) -> str:
        return f"{self.athlete} cannot come: {self.practice}"
