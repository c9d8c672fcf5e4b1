"""The rows derived from events: reps, looks, faults seen, holds, notes. They can be derived again at any time."""

from django.db import models
from django.db.models import Q
from django.utils.translation import gettext_lazy as _

from athletes.models import Athlete
from club.members import Member
from club.models import Person
from club.scope import NOTHING, ClubOwned
from drills.models import Adjustment, Checkpoint, Drill, Fault
from sessions.practices.models import Practice, Station
from sessions.reps.models.events import Device


class WatchSet(ClubOwned):
    """The checkpoints that one look watched. Immutable and shared; ``digest`` names the set."""

    digest = models.CharField(max_length=64)
    checkpoints = models.ManyToManyField(Checkpoint, through="Watched", related_name="+")

    class Meta:
        constraints = [models.UniqueConstraint(fields=["club", "digest"], name="one_watch_set_a_digest")]

    def __str__(self) -> str:
        return self.digest[:8]


class Watched(ClubOwned):
    watch_set = models.ForeignKey(WatchSet, on_delete=models.CASCADE, related_name="watched")
    checkpoint = models.ForeignKey(Checkpoint, on_delete=models.PROTECT, related_name="+")

    class Meta:
        verbose_name_plural = "watched"
        constraints = [models.UniqueConstraint(fields=["watch_set", "checkpoint"], name="watched_once")]

    def __str__(self) -> str:
        return f"{self.watch_set}: {self.checkpoint}"


class Rep(ClubOwned):
    """One attempt. It counts unless it is void or waits for a coach to say whose it is."""

    class State(models.TextChoices):
        COUNTS = "counts", _("counts")
        VOID = "void", _("taken back")
        WAITS = "waits", _("waits for a look")

    public_key = "uuid"
    uuid = models.UUIDField()
    practice = models.ForeignKey(Practice, on_delete=models.PROTECT, related_name="reps")
    athlete = models.ForeignKey(Athlete, on_delete=models.CASCADE, related_name="reps")
    drill = models.ForeignKey(Drill, on_delete=models.PROTECT, related_name="reps")
    station = models.ForeignKey(Station, on_delete=models.SET_NULL, null=True, related_name="reps")
    day = models.DateField()
    at = models.DateTimeField()
    device = models.ForeignKey(Device, on_delete=models.PROTECT, related_name="reps")
    sequence = models.PositiveIntegerField()
    source = models.UUIDField()  # the event it came from; a set makes several
    place_in_set = models.PositiveSmallIntegerField(default=0)
    unsafe = models.BooleanField(default=False)
    state = models.CharField(max_length=8, choices=State.choices, default=State.COUNTS)

    subject = "athlete__person"

    class Meta:
        constraints = [models.UniqueConstraint(fields=["club", "uuid"], name="one_rep_a_uuid")]
        indexes = [
            models.Index(fields=["athlete", "drill", "day"], name="reps_by_athlete_drill_day"),
            models.Index(fields=["athlete", "-at"], name="reps_of_an_athlete"),
            models.Index(fields=["athlete", "day"], name="reps_by_athlete_day"),
            models.Index(fields=["practice", "at"], name="reps_of_a_practice"),
            models.Index(fields=["club", "source"], name="reps_by_source"),
        ]

    def __str__(self) -> str:
        return f"{self.athlete} at {self.drill}"


class Look(ClubOwned):
    """One observer's record of one rep. The deciding one feeds counts and readiness.

    unsafe: this observer called the rep unsafe, or saw an unsafe fault; one such look makes the rep unsafe.
    """

    class Through(models.TextChoices):
        LIVE = "live", _("at the station")
        CLIP = "clip", _("from a clip")

    public_key = "uuid"
    uuid = models.UUIDField()
    rep = models.ForeignKey(Rep, on_delete=models.CASCADE, related_name="looks")
    observer = models.ForeignKey(Person, on_delete=models.CASCADE, related_name="looks")
    device = models.ForeignKey(Device, on_delete=models.PROTECT, related_name="+")
    through = models.CharField(max_length=4, choices=Through.choices, default=Through.LIVE)
    watch_set = models.ForeignKey(WatchSet, on_delete=models.PROTECT, related_name="looks")
    deciding = models.BooleanField()
    unnamed_fault = models.BooleanField(default=False)  # a set said "faulty" without naming the fault
    unsafe = models.BooleanField(default=False)
    at = models.DateTimeField()

    subject = "rep__athlete__person"

    class Meta:
        constraints = [
            models.UniqueConstraint(fields=["club", "uuid"], name="one_look_a_uuid"),
            models.UniqueConstraint(fields=["rep"], condition=Q(deciding=True), name="one_deciding_look_a_rep"),
        ]

    def __str__(self) -> str:
        return f"look at {self.rep}"

    @classmethod
    def visible_to(cls, member: Member) -> Q:
        """What was seen of a rep is the coaches' own: athletes and guardians read what a coach makes of it."""
        return NOTHING


class LookFault(ClubOwned):
    """A fault seen. inside: its checkpoint was in the watch set; else it was also noticed and enters no rate."""

    look = models.ForeignKey(Look, on_delete=models.CASCADE, related_name="faults")
    fault = models.ForeignKey(Fault, on_delete=models.PROTECT, related_name="+")
    checkpoint = models.ForeignKey(Checkpoint, on_delete=models.PROTECT, related_name="+")
    inside = models.BooleanField()

    subject = "look__rep__athlete__person"

    class Meta:
        constraints = [models.UniqueConstraint(fields=["look", "fault"], name="one_fault_a_look")]

    def __str__(self) -> str:
        return str(self.fault)

    @classmethod
    def visible_to(cls, member: Member) -> Q:
        """Faults are the coaches' own, like the looks they stand in."""
        return NOTHING


class Hold(ClubOwned):
    """A device holding a station: its taps make the reps and their deciding looks."""

    station = models.ForeignKey(Station, on_delete=models.CASCADE, related_name="holds")
    device = models.ForeignKey(Device, on_delete=models.PROTECT, related_name="holds")
    person = models.ForeignKey(Person, on_delete=models.CASCADE, related_name="+")
    since = models.DateTimeField()
    until = models.DateTimeField(null=True)
    source = models.UUIDField()

    subject = "person"

    class Meta:
        constraints = [models.UniqueConstraint(fields=["club", "source"], name="one_hold_an_event")]

    def __str__(self) -> str:
        return f"{self.station} held by {self.person}"


class RepNote(ClubOwned):
    """A note written at a station, for the coaches unless said otherwise."""

    class Reader(models.TextChoices):
        COACHES = "coaches", _("coaches")
        ATHLETE = "athlete", _("the athlete, once released")

    public_key = "uuid"
    uuid = models.UUIDField()
    practice = models.ForeignKey(Practice, on_delete=models.CASCADE, related_name="notes")
    athlete = models.ForeignKey(Athlete, on_delete=models.CASCADE, related_name="notes")
    by = models.ForeignKey(Person, on_delete=models.CASCADE, related_name="+")
    reader = models.CharField(max_length=8, choices=Reader.choices, default=Reader.COACHES)
    text = models.TextField()
    at = models.DateTimeField()

    subject = "athlete__person"

    class Meta:
        constraints = [models.UniqueConstraint(fields=["club", "uuid"], name="one_note_a_uuid")]

    def __str__(self) -> str:
        return self.text[:40]

    @classmethod
    def visible_to(cls, member: Member) -> Q:
        released = Q(reader=cls.Reader.ATHLETE, practice__released_at__isnull=False)
        return released & Q(athlete__person__in=member.subjects)


class AdjustmentUsed(ClubOwned):
    """What was adjusted for an athlete at a drill that day, from then on."""

    public_key = "uuid"
    uuid = models.UUIDField()
    practice = models.ForeignKey(Practice, on_delete=models.CASCADE, related_name="adjustments")
    athlete = models.ForeignKey(Athlete, on_delete=models.CASCADE, related_name="adjustments")
    drill = models.ForeignKey(Drill, on_delete=models.PROTECT, related_name="+")
    adjustment = models.ForeignKey(Adjustment, on_delete=models.PROTECT, related_name="+")
    by = models.ForeignKey(Person, on_delete=models.CASCADE, related_name="+")
    at = models.DateTimeField()

    subject = "athlete__person"

    class Meta:
        constraints = [models.UniqueConstraint(fields=["club", "uuid"], name="one_adjustment_an_event")]

    def __str__(self) -> str:
        return f"{self.adjustment} for {self.athlete}"

    @classmethod
    def visible_to(cls, member: Member) -> Q:
        """What coaches tried is their own."""
        return NOTHING
