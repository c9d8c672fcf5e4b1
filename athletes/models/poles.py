"""The club's poles, and each athlete's notebook of grips and marks."""

from uuid import uuid4

from django.db import models
from django.db.models import Q
from django.utils.translation import gettext_lazy as _

from athletes.core import poles as core
from athletes.models.profile import Athlete
from club.members import Member
from club.models import Person
from club.roles import Relation
from club.scope import NOTHING, ClubOwned
from drills.models import Drill


def _metres(label: str, **more: object) -> models.DecimalField:  # type: ignore[type-arg]
    return models.DecimalField(label, max_digits=8, decimal_places=6, **more)  # type: ignore[arg-type]


def _kilograms(label: str, **more: object) -> models.DecimalField:  # type: ignore[type-arg]
    return models.DecimalField(label, max_digits=12, decimal_places=9, **more)  # type: ignore[arg-type]


class Pole(ClubOwned):
    """A pole, called by the club's own tag in front of athletes. Metres from the tip, kilograms."""

    class State(models.TextChoices):
        IN_USE = "in_use", _("in use")
        WITHDRAWN = "withdrawn", _("withdrawn")

    id = models.UUIDField(primary_key=True, default=uuid4, editable=False)
    tag = models.CharField(_("tag"), max_length=20)
    length_m = _metres(_("length"))
    rating_kg = _kilograms(_("maker's rating"), null=True, blank=True)
    flex = models.DecimalField(_("flex number"), max_digits=5, decimal_places=2, null=True, blank=True)
    mass_kg = _kilograms(_("mass"), null=True, blank=True)
    balance_m = _metres(_("balance point, from the tip"), null=True, blank=True)
    band_m = _metres(_("band, from the tip"), null=True, blank=True)
    state = models.CharField(_("state"), max_length=10, choices=State.choices, default=State.IN_USE)
    why = models.CharField(_("why it is withdrawn"), max_length=160, blank=True)
    withdrawn_on = models.DateField(null=True, blank=True)

    class Meta:
        ordering = ["tag"]
        constraints = [
            models.UniqueConstraint(fields=["club", "tag"], name="one_pole_a_tag"),
            models.CheckConstraint(condition=Q(state="in_use") | ~Q(why=""), name="withdrawn_says_why"),
        ]

    def __str__(self) -> str:
        return self.tag

    def value(self) -> core.Pole:
        return core.Pole(self.rating_kg, self.band_m, self.state == self.State.IN_USE)


class NotebookEntry(ClubOwned):
    """Grip, pole and marks of one day. The athlete reads their own; poles by tag, never a rating."""

    id = models.UUIDField(primary_key=True, default=uuid4, editable=False)
    athlete = models.ForeignKey(Athlete, on_delete=models.CASCADE, related_name="notebook")
    on = models.DateField(_("day"))
    drill = models.ForeignKey(
        Drill, on_delete=models.SET_NULL, null=True, blank=True, related_name="+", verbose_name=_("drill")
    )
    pole = models.ForeignKey(
        Pole, on_delete=models.SET_NULL, null=True, blank=True, related_name="+", verbose_name=_("pole")
    )
    steps = models.PositiveSmallIntegerField(_("steps"), null=True, blank=True)
    grip_m = _metres(_("grip"), null=True, blank=True)
    start_mark_m = _metres(_("start mark"), null=True, blank=True)
    mid_mark_m = _metres(_("mid mark of the day"), null=True, blank=True)
    note = models.CharField(_("note"), max_length=200, blank=True)
    by = models.ForeignKey(Person, on_delete=models.SET_NULL, null=True, related_name="+")

    class Meta:
        ordering = ["-on"]
        verbose_name_plural = "notebook entries"

    def __str__(self) -> str:
        return f"{self.athlete} on {self.on}"

    @classmethod
    def visible_to(cls, member: Member) -> Q:
        return Q(athlete__person=member.person) if Relation.SELF in member.relations else NOTHING
