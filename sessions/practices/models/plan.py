"""A practice: when, where, who, and what each does in each block."""

from uuid import uuid4

from django.db import models
from django.db.models import F, Q
from django.utils.translation import gettext_lazy as _

from athletes.models import Athlete, Squad
from club.members import Member
from club.models import Area, Person, Venue
from club.roles import Relation
from club.scope import NOTHING, ClubOwned
from drills.models import Activity, Checkpoint, Drill


class Practice(ClubOwned):
    """One practice. Its day is a local date; ``zone`` says where that date holds. sequence: rises with each change of
    day, time, place or cancellation, so that a calendar knows which it heard last (RFC 5545, 3.8.7.4)."""

    id = models.UUIDField(primary_key=True, default=uuid4, editable=False)
    series = models.UUIDField(null=True, blank=True, db_index=True)
    venue = models.ForeignKey(Venue, on_delete=models.PROTECT, related_name="practices")
    squads = models.ManyToManyField(Squad, related_name="practices", blank=True)
    guests = models.ManyToManyField(Athlete, related_name="guest_at", blank=True)
    day = models.DateField(_("day"))
    starts = models.TimeField(_("from"))
    ends = models.TimeField(_("until"))
    zone = models.CharField(_("time zone"), max_length=60)
    focus = models.ForeignKey(
        Checkpoint, on_delete=models.SET_NULL, null=True, blank=True, related_name="+", verbose_name=_("focus")
    )
    bring = models.CharField(_("what to bring"), max_length=160, blank=True)
    published_at = models.DateTimeField(null=True, blank=True)
    cancelled_at = models.DateTimeField(null=True, blank=True)
    released_at = models.DateTimeField(null=True, blank=True)
    wrapped_at = models.DateTimeField(null=True, blank=True)
    sequence = models.PositiveIntegerField(default=1)

    class Meta:
        ordering = ["day", "starts"]
        indexes = [models.Index(fields=["club", "day"], name="practices_by_day")]
        constraints = [models.CheckConstraint(condition=Q(ends__gt=F("starts")), name="practice_ends_after_start")]

    def __str__(self) -> str:
        return f"{self.day} {self.starts:%H:%M}, {self.venue}"

    @classmethod
    def visible_to(cls, member: Member) -> Q:
        """Athletes and guardians: published practices they are expected at, or came to. A helper: where they stand.
        Whoever may be in charge of one: those at which they are checked in."""
        if Relation.CHARGE in member.relations:
            return Q(adults__person=member.person, adults__came_at__isnull=False, adults__left_at__isnull=True)
        theirs = member.tied_subjects
        expected = Q(squads__athletes__person__in=theirs) | Q(attendances__athlete__person__in=theirs)
        seen = Q(published_at__isnull=False) & (expected | Q(guests__person__in=theirs))
        return seen | Q(stations__run_by=member.person) if Relation.STATION in member.relations else seen


class Attendance(ClubOwned):
    """Whether an athlete is there, from attendance events."""

    class State(models.TextChoices):
        HERE = "here", _("here")
        LATE = "late", _("came late")
        ABSENT = "absent", _("not here")
        OUT = "out", _("out of practice")

    practice = models.ForeignKey(Practice, on_delete=models.CASCADE, related_name="attendances")
    athlete = models.ForeignKey(Athlete, on_delete=models.CASCADE, related_name="attendances")
    state = models.CharField(max_length=8, choices=State.choices)
    at = models.DateTimeField()

    subject = "athlete__person"

    class Meta:
        constraints = [models.UniqueConstraint(fields=["practice", "athlete"], name="one_attendance_an_athlete")]

    def __str__(self) -> str:
        return f"{self.athlete}: {self.get_state_display()}"


class AdultPresence(ClubOwned):
    """An adult checked in at a practice. Two open it; when the second leaves, floor drills only."""

    practice = models.ForeignKey(Practice, on_delete=models.CASCADE, related_name="adults")
    person = models.ForeignKey(Person, on_delete=models.CASCADE, related_name="+")
    came_at = models.DateTimeField(null=True, blank=True)
    left_at = models.DateTimeField(null=True, blank=True)

    subject = "person"

    class Meta:
        constraints = [models.UniqueConstraint(fields=["practice", "person"], name="one_presence_an_adult")]

    def __str__(self) -> str:
        return f"{self.person} at {self.practice}"


class Block(ClubOwned):
    """A stretch of a practice in which everybody has one place."""

    practice = models.ForeignKey(Practice, on_delete=models.CASCADE, related_name="blocks")
    number = models.PositiveSmallIntegerField()
    starts = models.TimeField()
    minutes = models.PositiveSmallIntegerField()

    class Meta:
        ordering = ["number"]
        constraints = [
            models.UniqueConstraint(fields=["practice", "number"], name="one_block_a_number"),
            models.CheckConstraint(condition=Q(minutes__gte=1), name="block_of_a_minute_or_more"),
        ]

    def __str__(self) -> str:
        return f"block {self.number}"


class Station(ClubOwned):
    """A place at a practice where one drill is done at a time, with the adult who runs it."""

    id = models.UUIDField(primary_key=True, default=uuid4, editable=False)
    practice = models.ForeignKey(Practice, on_delete=models.CASCADE, related_name="stations")
    area = models.ForeignKey(Area, on_delete=models.PROTECT, related_name="+")
    run_by = models.ForeignKey(Person, on_delete=models.SET_NULL, null=True, blank=True, related_name="+")

    class Meta:
        ordering = ["area__name"]
        constraints = [models.UniqueConstraint(fields=["practice", "area"], name="one_station_an_area")]

    def __str__(self) -> str:
        return self.area.name

    @classmethod
    def visible_to(cls, member: Member) -> Q:
        """A helper: the stations they stand at."""
        return Q(run_by=member.person) if Relation.STATION in member.relations else NOTHING


class Assignment(ClubOwned):
    """What one athlete does in one block: a drill or an activity, at a station or (a job) at none."""

    id = models.UUIDField(primary_key=True, default=uuid4, editable=False)
    block = models.ForeignKey(Block, on_delete=models.CASCADE, related_name="assignments")
    station = models.ForeignKey(Station, on_delete=models.CASCADE, null=True, blank=True, related_name="assignments")
    athlete = models.ForeignKey(Athlete, on_delete=models.CASCADE, related_name="assignments")
    drill = models.ForeignKey(Drill, on_delete=models.PROTECT, null=True, blank=True, related_name="assignments")
    activity = models.ForeignKey(Activity, on_delete=models.PROTECT, null=True, blank=True, related_name="assignments")
    steps = models.PositiveSmallIntegerField(null=True, blank=True)
    order = models.PositiveSmallIntegerField(default=0)
    pinned = models.BooleanField(default=False)

    subject = "athlete__person"

    class Meta:
        ordering = ["order"]
        constraints = [
            models.UniqueConstraint(fields=["block", "athlete"], name="one_place_an_athlete_a_block"),
            models.CheckConstraint(
                condition=Q(drill__isnull=False) ^ Q(activity__isnull=False), name="drill_or_activity"
            ),
            models.CheckConstraint(
                condition=Q(drill__isnull=True) | Q(station__isnull=False), name="a_drill_has_a_station"
            ),
        ]

    def __str__(self) -> str:
        return f"{self.athlete}: {self.drill or self.activity}"

    @classmethod
    def visible_to(cls, member: Member) -> Q:
        """Athletes and guardians: their own places, once the plan is published."""
        return Q(athlete__person__in=member.subjects, block__practice__published_at__isnull=False)
