"""The sporting side of a person in one club."""

from uuid import uuid4

from django.db import models
from django.db.models import Q
from django.utils.translation import gettext_lazy as _

from club.members import Member
from club.models import Person
from club.scope import ClubOwned


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
    open_to_tied = True

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


class AthleteNote(ClubOwned):
    """A lasting note on an athlete, with who may read it. The coach's pages filter those for the head coach alone."""

    class Reader(models.TextChoices):
        HEAD = "head", _("head coach only")
        COACHES = "coaches", _("coaches")
        ATHLETE = "athlete", _("coaches, the athlete and guardians")

    id = models.UUIDField(primary_key=True, default=uuid4, editable=False)
    athlete = models.ForeignKey(Athlete, on_delete=models.CASCADE, related_name="lasting_notes")
    text = models.TextField(_("note"), max_length=1000)
    reader = models.CharField(_("who may read it"), max_length=8, choices=Reader.choices, default=Reader.COACHES)
    by = models.ForeignKey(Person, on_delete=models.SET_NULL, null=True, related_name="+")
    at = models.DateTimeField()

    class Meta:
        ordering = ["-at"]

    def __str__(self) -> str:
        return f"note on {self.athlete}"

    @classmethod
    def visible_to(cls, member: Member) -> Q:
        return Q(reader=cls.Reader.ATHLETE, athlete__person__in=member.subjects)
