"""Where a club practises."""

from uuid import uuid4

from django.db import models
from django.utils.translation import gettext_lazy as _

from club.scope import ClubOwned


class Venue(ClubOwned):
    """A place, with the emergency card that hangs there."""

    id = models.UUIDField(primary_key=True, default=uuid4, editable=False)
    name = models.CharField(_("name"), max_length=80)
    address = models.CharField(_("exact address and gate"), max_length=240, blank=True)
    defibrillator = models.CharField(_("where the defibrillator is"), max_length=160, blank=True)
    first_aid = models.CharField(_("where first aid is"), max_length=160, blank=True)
    who_calls = models.CharField(_("who calls"), max_length=120, blank=True)
    who_meets = models.CharField(_("who meets the ambulance"), max_length=120, blank=True)

    class Meta:
        constraints = [models.UniqueConstraint(fields=["club", "name"], name="one_venue_a_name")]

    def __str__(self) -> str:
        return self.name


class Area(ClubOwned):
    """A part of a venue in which one station fits."""

    class Kind(models.TextChoices):
        FLOOR = "floor", _("open level ground")
        RUNWAY = "runway", _("runway")
        WALL = "wall", _("solid wall")
        SLIDING_BOX = "sliding-box", _("sliding box")
        BOX = "box", _("runway with box and pit")
        ROOM = "room", _("room")

    class Surface(models.TextChoices):
        SMOOTH_FLOOR = "smooth-floor", _("smooth indoor floor")
        SYNTHETIC_TRACK = "synthetic-track", _("synthetic track")
        GRASS = "grass", _("natural grass")
        OTHER = "other", _("other")

    id = models.UUIDField(primary_key=True, default=uuid4, editable=False)
    venue = models.ForeignKey(Venue, on_delete=models.CASCADE, related_name="areas")
    name = models.CharField(_("name"), max_length=60)
    kind = models.CharField(_("kind"), max_length=12, choices=Kind.choices)
    surface = models.CharField(_("surface"), max_length=16, choices=Surface.choices)
    places = models.PositiveSmallIntegerField(_("room for"), default=4)

    class Meta:
        ordering = ["name"]
        constraints = [models.UniqueConstraint(fields=["venue", "name"], name="one_area_a_name")]

    def __str__(self) -> str:
        return self.name
