"""What is known of each drill an athlete practises. Coaches' figures: athletes and guardians are shown none of them."""

from django.db import models
from django.db.models import Q

from athletes.models.profile import Athlete
from club.members import Member
from club.scope import NOTHING, ClubOwned
from drills.models import Drill


class ReadinessColumns(models.Model):
    """The fields of ``athletes.core.readiness.State``; ``last_day`` is the day of the last counted rep."""

    good = models.FloatField(default=0.0)
    bad = models.FloatField(default=0.0)
    reps = models.PositiveIntegerField(default=0)
    days = models.PositiveIntegerField(default=0)
    last_day = models.DateField(null=True)
    slip = models.FloatField(default=0.0)
    recent = models.CharField(max_length=5, blank=True)
    since_unsafe = models.PositiveIntegerField(null=True)

    class Meta:
        abstract = True


class CoachesOwn(ClubOwned):
    """Rates, and advice that a coach has not decided yet, are never said to athletes and guardians."""

    class Meta:
        abstract = True

    @classmethod
    def visible_to(cls, member: Member) -> Q:
        return NOTHING


class Readiness(CoachesOwn, ReadinessColumns):
    """The state of one athlete in one drill after its last practised day. Its row is the lock of the pair."""

    athlete = models.ForeignKey(Athlete, on_delete=models.CASCADE, related_name="readiness")
    drill = models.ForeignKey(Drill, on_delete=models.CASCADE, related_name="readiness")

    subject = "athlete__person"

    class Meta:
        verbose_name_plural = "readiness"
        constraints = [models.UniqueConstraint(fields=["athlete", "drill"], name="one_readiness_a_pair")]

    def __str__(self) -> str:
        return f"{self.athlete} at {self.drill}"


class ReadinessDay(CoachesOwn, ReadinessColumns):
    """The state at the end of one practised day, from which a late or corrected rep is replayed."""

    athlete = models.ForeignKey(Athlete, on_delete=models.CASCADE, related_name="readiness_days")
    drill = models.ForeignKey(Drill, on_delete=models.CASCADE, related_name="readiness_days")
    day = models.DateField()

    subject = "athlete__person"

    class Meta:
        constraints = [
            models.UniqueConstraint(fields=["athlete", "drill", "day"], name="one_readiness_a_day"),
        ]

    def __str__(self) -> str:
        return f"{self.athlete} at {self.drill} on {self.day}"
