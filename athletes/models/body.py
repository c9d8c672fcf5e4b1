"""Measurements and the emergency card: what nobody may read but those the policy names."""

from uuid import uuid4

from django.db import models
from django.db.models import Q
from django.utils.translation import gettext_lazy as _

from athletes.models.profile import Athlete
from club.models import Person
from club.scope import ClubOwned


class Measurement(ClubOwned):
    """One dated value, in metres or kilograms. Shown to no athlete and no guardian: it has no subject path.

    Nine decimals hold a tenth of a pound exactly.
    """

    class Kind(models.TextChoices):
        HEIGHT = "height", _("height")
        STANDING_REACH = "standing_reach", _("standing reach")
        TOP_HAND_REACH = "top_hand_reach", _("reach with the top hand")
        EYE_HEIGHT = "eye_height", _("eye height")
        MASS = "mass", _("body mass")
        CLEARED = "cleared", _("cleared up to rating")

    MASSES = frozenset({Kind.MASS, Kind.CLEARED})

    id = models.UUIDField(primary_key=True, default=uuid4, editable=False)
    athlete = models.ForeignKey(Athlete, on_delete=models.CASCADE, related_name="measurements")
    kind = models.CharField(_("what"), max_length=16, choices=Kind.choices)
    value = models.DecimalField(_("value"), max_digits=12, decimal_places=9)
    on = models.DateField(_("day"))
    by = models.ForeignKey(Person, on_delete=models.SET_NULL, null=True, related_name="+")

    class Meta:
        ordering = ["-on"]
        constraints = [
            models.UniqueConstraint(fields=["athlete", "kind", "on"], name="one_measurement_a_day"),
            models.CheckConstraint(condition=Q(value__gt=0), name="measurement_above_nothing"),
        ]

    def __str__(self) -> str:
        return f"{self.get_kind_display()} of {self.athlete}"

    @property
    def is_mass(self) -> bool:
        return self.kind in self.MASSES


class EmergencyCard(ClubOwned):
    """What whoever helps must know. Guardians and the athlete keep it; each look of a coach is logged.

    confirmed_at: when a guardian last kept it. What the athlete changed since then is shown beside what stood there.
    """

    FIELDS = ("allergies", "medicines", "conditions", "also_call")

    athlete = models.OneToOneField(Athlete, on_delete=models.CASCADE, related_name="emergency_card")
    allergies = models.CharField(_("allergies"), max_length=300, blank=True)
    medicines = models.CharField(_("medicines that matter"), max_length=300, blank=True)
    conditions = models.CharField(_("what else whoever helps must know"), max_length=300, blank=True)
    also_call = models.CharField(_("who else to call, with phone"), max_length=200, blank=True)
    kept_at = models.DateTimeField()
    kept_by = models.ForeignKey(Person, on_delete=models.SET_NULL, null=True, related_name="+")
    confirmed_at = models.DateTimeField(null=True, blank=True)

    subject = "athlete__person"
    open_to_tied = True

    def __str__(self) -> str:
        return f"emergency card of {self.athlete}"


class CardChange(ClubOwned):
    """Who changed which words of an emergency card, from what to what. Never changed itself."""

    athlete = models.ForeignKey(Athlete, on_delete=models.CASCADE, related_name="card_changes")
    field = models.CharField(max_length=12)
    old = models.CharField(max_length=300, blank=True)
    new = models.CharField(max_length=300, blank=True)
    at = models.DateTimeField()
    by = models.ForeignKey(Person, on_delete=models.SET_NULL, null=True, related_name="+")
    by_athlete = models.BooleanField()

    subject = "athlete__person"
    open_to_tied = True

    class Meta:
        ordering = ["-at", "-pk"]
        constraints = [
            models.CheckConstraint(condition=~Q(old=models.F("new")), name="a_card_change_changes_something")
        ]

    def __str__(self) -> str:
        return f"change of the card of {self.athlete}"

    @property
    def label(self) -> str:
        return str(EmergencyCard._meta.get_field(self.field).verbose_name)  # type: ignore[union-attr]


class CardLook(ClubOwned):
    """That somebody looked at an emergency card, when and where. Shown to the guardian and the athlete."""

    athlete = models.ForeignKey(Athlete, on_delete=models.CASCADE, related_name="card_looks")
    by = models.ForeignKey(Person, on_delete=models.SET_NULL, null=True, related_name="+")
    at = models.DateTimeField()
    practice_day = models.DateField(null=True, blank=True)

    subject = "athlete__person"
    open_to_tied = True

    class Meta:
        ordering = ["-at"]

    def __str__(self) -> str:
        return f"look at the card of {self.athlete}"
