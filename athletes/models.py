"""The sporting side of a person in one club, and what is known of each drill they practise."""

from uuid import uuid4

from django.db import models
from django.db.models import F, Q
from django.utils.translation import gettext_lazy as _

from club.members import Member
from club.models import Person
from club.scope import ClubOwned
from drills.models import Drill


class Squad(ClubOwned):
    id = models.UUIDField(primary_key=True, default=uuid4, editable=False)
    name = models.CharField(_("name"), max_length=60)

    class Meta:
        ordering = ["name"]
        constraints = [models.UniqueConstraint(fields=["club", "name"], name="one_squad_a_name")]

    def __str__(self) -> str:
        return self.name

    @classmethod
    def visible_to(cls, member: Member) -> Q:
        return Q(athletes__person__in=member.subjects)


class Athlete(ClubOwned):
    """A vaulter. The take-off foot follows from the hand."""

    class Hand(models.TextChoices):
        RIGHT = "right", _("right-handed")
        LEFT = "left", _("left-handed")

    id = models.UUIDField(primary_key=True, default=uuid4, editable=False)
    person = models.ForeignKey(Person, on_delete=models.CASCADE, related_name="athlete_profiles")
    hand = models.CharField(_("hand"), max_length=5, choices=Hand.choices, default=Hand.RIGHT)
    squads = models.ManyToManyField(Squad, related_name="athletes", blank=True)
    drop_steps = models.PositiveSmallIntegerField(_("steps of the drop"), default=3)
    joined_on = models.DateField(_("joined"))
    left_on = models.DateField(_("left"), null=True, blank=True)

    subject = "person"

    class Meta:
        constraints = [
            models.UniqueConstraint(fields=["club", "person"], name="one_athlete_a_person"),
            models.CheckConstraint(condition=Q(drop_steps__gte=3, drop_steps__lte=8), name="drop_of_3_to_8_steps"),
        ]

    def __str__(self) -> str:
        return self.person.short_name

    @property
    def takeoff_foot(self) -> str:
        """``left`` for a right-handed vaulter, ``right`` for a left-handed one."""
        return "left" if self.hand == self.Hand.RIGHT else "right"


class Restriction(ClubOwned):
    """What an athlete must not do, and until when. ``reason`` is for the head coach, the athlete and guardians."""

    id = models.UUIDField(primary_key=True, default=uuid4, editable=False)
    athlete = models.ForeignKey(Athlete, on_delete=models.CASCADE, related_name="restrictions")
    excludes = models.JSONField(_("excludes"), default=list)  # risk classes: floor, moving, contact
    what = models.CharField(_("what is excluded"), max_length=160)
    reason = models.TextField(_("reason"), blank=True)
    starts_on = models.DateField(_("from"))
    ends_on = models.DateField(_("until"), null=True, blank=True)
    needs_clearance = models.BooleanField(_("only a written clearance lifts it"), default=False)
    lifted_at = models.DateTimeField(null=True, blank=True)

    subject = "athlete__person"

    class Meta:
        constraints = [
            models.CheckConstraint(
                condition=Q(ends_on__isnull=True) | Q(ends_on__gte=F("starts_on")), name="restriction_ends_after_start"
            )
        ]

    def __str__(self) -> str:
        return self.what


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


class Readiness(ClubOwned, ReadinessColumns):
    """The state of one athlete in one drill after its last practised day. Its row is the lock of the pair."""

    athlete = models.ForeignKey(Athlete, on_delete=models.CASCADE, related_name="readiness")
    drill = models.ForeignKey(Drill, on_delete=models.CASCADE, related_name="readiness")

    subject = "athlete__person"

    class Meta:
        verbose_name_plural = "readiness"
        constraints = [models.UniqueConstraint(fields=["athlete", "drill"], name="one_readiness_a_pair")]

    def __str__(self) -> str:
        return f"{self.athlete} at {self.drill}"


class ReadinessDay(ClubOwned, ReadinessColumns):
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
