"""What is written down on the day of a practice: who left with whom, what was checked, what broke, what happened."""

from uuid import uuid4

from django.db import models
from django.db.models import Q
from django.utils.translation import gettext_lazy as _

from athletes.models import Athlete, Restriction
from club.members import Member
from club.models import Area, Person, Venue
from club.roles import Relation
from club.scope import NOTHING, ClubOwned
from sessions.practices.models.plan import Practice, Station


class Departure(ClubOwned):
    """That an athlete left a practice, and with whom. A wrong one is taken back, never changed.

    name: of somebody who is no guardian. despite: why somebody was let go with a person the club warned of.
    """

    class How(models.TextChoices):
        FAMILY = "family", _("with a guardian")
        OTHER = "other", _("with somebody else")
        ALONE = "alone", _("on their own")

    id = models.UUIDField(primary_key=True, default=uuid4, editable=False)
    practice = models.ForeignKey(Practice, on_delete=models.CASCADE, related_name="departures")
    athlete = models.ForeignKey(Athlete, on_delete=models.CASCADE, related_name="departures")
    how = models.CharField(max_length=8, choices=How.choices)
    guardian = models.ForeignKey(Person, on_delete=models.SET_NULL, null=True, related_name="+")
    name = models.CharField(max_length=120, blank=True)
    despite = models.CharField(max_length=300, blank=True)
    at = models.DateTimeField()
    by = models.ForeignKey(Person, on_delete=models.SET_NULL, null=True, related_name="+")
    taken_back_at = models.DateTimeField(null=True)
    taken_back_by = models.ForeignKey(Person, on_delete=models.SET_NULL, null=True, related_name="+")

    subject = "athlete__person"

    class Meta:
        constraints = [
            models.UniqueConstraint(
                fields=["practice", "athlete"],
                condition=Q(taken_back_at__isnull=True),
                name="one_departure_that_stands",
            )
        ]

    def __str__(self) -> str:
        return f"{self.athlete} left {self.practice}"

    @classmethod
    def visible_to(cls, member: Member) -> Q:
        """With whom a child left is the coaches' to know: separated households learn nothing of each other."""
        return NOTHING


class StationCheck(ClubOwned):
    """That an adult has checked a station, item by item, once per station and set-up. It stands until it is ended.

    items: keys of ``core.checks``.
    """

    id = models.UUIDField(primary_key=True, default=uuid4, editable=False)
    station = models.ForeignKey(Station, on_delete=models.CASCADE, related_name="checks")
    items = models.JSONField(default=list)
    at = models.DateTimeField()
    by = models.ForeignKey(Person, on_delete=models.CASCADE, related_name="+")
    ended_at = models.DateTimeField(null=True)
    ended_by = models.ForeignKey(Person, on_delete=models.SET_NULL, null=True, related_name="+")

    class Meta:
        ordering = ["at"]
        constraints = [
            models.UniqueConstraint(
                fields=["station"], condition=Q(ended_at__isnull=True), name="one_check_that_stands"
            )
        ]

    def __str__(self) -> str:
        return f"check of {self.station}"

    @classmethod
    def visible_to(cls, member: Member) -> Q:
        """A helper: of the station they stand at."""
        return Q(station__run_by=member.person) if Relation.STATION in member.relations else NOTHING


class KitFault(ClubOwned):
    """Something of a venue that is broken, until somebody has mended it."""

    id = models.UUIDField(primary_key=True, default=uuid4, editable=False)
    venue = models.ForeignKey(Venue, on_delete=models.CASCADE, related_name="kit_faults")
    area = models.ForeignKey(Area, on_delete=models.SET_NULL, null=True, related_name="+")
    practice = models.ForeignKey(Practice, on_delete=models.SET_NULL, null=True, related_name="kit_faults")
    what = models.CharField(_("what is broken"), max_length=200)
    at = models.DateTimeField()
    by = models.ForeignKey(Person, on_delete=models.SET_NULL, null=True, related_name="+")
    mended_at = models.DateTimeField(null=True)
    mended_by = models.ForeignKey(Person, on_delete=models.SET_NULL, null=True, related_name="+")

    class Meta:
        ordering = ["at"]
        indexes = [models.Index(fields=["venue"], condition=Q(mended_at__isnull=True), name="broken_kit_of_a_venue")]

    def __str__(self) -> str:
        return self.what


class Incident(ClubOwned):
    """That something happened to an athlete at a practice. What is known of it stands in its entries, which only add.

    source: uuid of the event that took the athlete out injured. head: a blow to the head, which laid ``restriction``.
    """

    id = models.UUIDField(primary_key=True, default=uuid4, editable=False)
    practice = models.ForeignKey(Practice, on_delete=models.PROTECT, related_name="incidents")
    athlete = models.ForeignKey(Athlete, on_delete=models.CASCADE, related_name="incidents")
    at = models.DateTimeField()
    opened_by = models.ForeignKey(Person, on_delete=models.SET_NULL, null=True, related_name="+")
    source = models.UUIDField(null=True)
    head = models.BooleanField(default=False)
    restriction = models.ForeignKey(Restriction, on_delete=models.SET_NULL, null=True, related_name="+")

    class Meta:
        ordering = ["-at"]
        constraints = [models.UniqueConstraint(fields=["club", "source"], name="one_incident_an_event")]

    def __str__(self) -> str:
        return str(self.athlete)

    @classmethod
    def visible_to(cls, member: Member) -> Q:
        """Whoever may be in charge: at practices at which they are checked in. Guardians: of their own children."""
        found = NOTHING
        if Relation.CHARGE in member.relations:
            adult = {"came_at__isnull": False, "left_at__isnull": True, "person": member.person}
            found |= Q(**{f"practice__adults__{name}": value for name, value in adult.items()})
        return found | Q(athlete__person__in=member.tied_subjects - {member.person.pk})


class IncidentEntry(ClubOwned):
    """One account of an incident, or an addition to it: never changed, never deleted.

    Guardians read ``happened`` and ``done`` once an entry says that one of them was told, because a coach phones first.
    ``witness`` and ``private`` are for coaches in charge and the safeguarding officer.
    """

    incident = models.ForeignKey(Incident, on_delete=models.CASCADE, related_name="entries")
    at = models.DateTimeField()
    by = models.ForeignKey(Person, on_delete=models.SET_NULL, null=True, related_name="+")
    place = models.CharField(_("where"), max_length=120, blank=True)
    happened = models.TextField(_("what happened"), blank=True)
    done = models.TextField(_("what was done"), blank=True)
    told = models.CharField(_("who told the guardian, whom and when"), max_length=200, blank=True)
    witness = models.CharField(_("who saw it"), max_length=200, blank=True)
    private = models.TextField(_("for coaches in charge and the safeguarding officer only"), blank=True)

    class Meta:
        ordering = ["at", "pk"]

    def __str__(self) -> str:
        return f"entry of {self.incident}"
