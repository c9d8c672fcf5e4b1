"""Events as they came in, append-only, and what of them waits for a coach."""

from typing import Any, NoReturn
from uuid import uuid4

from django.db import models
from django.db.models import Q
from django.utils.translation import gettext_lazy as _

from athletes.models import Athlete
from club.members import Member
from club.models import Person
from club.scope import NOTHING, ClubOwned, ClubQuerySet
from sessions.practices.models import Practice


class Device(ClubOwned):
    """A tablet, phone or desk from which events come. ``uuid`` is chosen by the device.

    clock_offset: what was last added to its clock.
    """

    public_key = "uuid"
    uuid = models.UUIDField()
    name = models.CharField(_("name"), max_length=60, blank=True)
    last_seen_at = models.DateTimeField()
    clock_offset = models.DurationField(null=True)

    class Meta:
        constraints = [models.UniqueConstraint(fields=["club", "uuid"], name="one_device_a_uuid")]

    def __str__(self) -> str:
        return self.name or str(self.uuid)[:8]


class DeviceAtPractice(ClubOwned):
    """A device at a practice, as it last told of itself. unsent: events it still held then, None if it did not say."""

    device = models.ForeignKey(Device, on_delete=models.CASCADE, related_name="practices")
    practice = models.ForeignKey(Practice, on_delete=models.CASCADE, related_name="devices")
    person = models.ForeignKey(Person, on_delete=models.CASCADE, related_name="+")
    heard_at = models.DateTimeField()
    unsent = models.PositiveIntegerField(null=True)

    class Meta:
        constraints = [models.UniqueConstraint(fields=["device", "practice"], name="one_report_a_device_and_practice")]

    def __str__(self) -> str:
        return f"{self.device}: {self.practice}"

    @classmethod
    def visible_to(cls, member: Member) -> Q:
        return NOTHING


class EventQuerySet(ClubQuerySet):
    """Append-only: corrections add events. Only ``club.subjects`` erases people and makes two of them one."""

    def update(self, **kwargs: Any) -> NoReturn:
        raise TypeError("events are append-only")

    def delete(self) -> NoReturn:
        raise TypeError("events are append-only")

    def bulk_update(self, *args: Any, **kwargs: Any) -> NoReturn:
        raise TypeError("events are append-only")

    def erase(self) -> int:
        """Erasure of a person, which wins over everything: deletes the rows."""
        return super().delete()[0]

    def recorded_by(self, person: Person) -> int:
        """Two rows of one human being become one: the same hand recorded these events."""
        return super().update(by=person)


class Event(ClubOwned):
    """One thing that somebody recorded, with the uuid its device gave it.

    target: what it speaks of (its own uuid for a rep or set; the uuid of the rep for a look, void or
    correction), without a foreign key, because it may arrive first. at: the device's clock, corrected once.
    corrects_others, brings_back: whether its author was allowed, when it was accepted, to correct what others
    logged, and to bring back who was taken out.
    """

    class Kind(models.TextChoices):
        REP = "rep"
        SET = "set"
        LOOK = "look"
        VOID = "void"
        CORRECTION = "correction"
        HOLD = "hold"
        RELEASE = "release"
        ATTENDANCE = "attendance"
        OUT_OF_PRACTICE = "out_of_practice"
        NOTE = "note"
        ADJUSTMENT = "adjustment"

    public_key = "uuid"
    uuid = models.UUIDField()
    version = models.PositiveSmallIntegerField()
    kind = models.CharField(max_length=16, choices=Kind.choices)
    practice = models.ForeignKey(Practice, on_delete=models.PROTECT, related_name="events")
    device = models.ForeignKey(Device, on_delete=models.PROTECT, related_name="events")
    by = models.ForeignKey(Person, on_delete=models.CASCADE, related_name="events")
    athlete = models.ForeignKey(Athlete, on_delete=models.CASCADE, null=True, related_name="events")
    target = models.UUIDField(db_index=True)
    device_at = models.DateTimeField()
    at = models.DateTimeField()
    sequence = models.PositiveIntegerField()
    received_at = models.DateTimeField()
    content = models.JSONField()
    content_hash = models.CharField(max_length=64)
    corrects_others = models.BooleanField(default=False)
    brings_back = models.BooleanField(default=False)

    objects = EventQuerySet.as_manager()
    subject = "athlete__person"

    class Meta:
        constraints = [models.UniqueConstraint(fields=["club", "uuid"], name="one_event_a_uuid")]
        indexes = [
            models.Index(fields=["club", "target"], name="events_by_target"),
            models.Index(fields=["practice", "kind", "at"], name="events_of_a_practice"),
        ]

    def __str__(self) -> str:
        return f"{self.kind} {self.uuid}"

    @classmethod
    def visible_to(cls, member: Member) -> Q:
        """Events carry coaches' words: whoever does not see the whole club reads derived rows only."""
        return NOTHING

    def save(self, *args: Any, **kwargs: Any) -> None:
        if self.pk:
            raise TypeError("events are append-only")
        super().save(*args, **kwargs)

    def delete(self, *args: Any, **kwargs: Any) -> NoReturn:
        raise TypeError("events are append-only")


class NeedsLook(ClubOwned):
    """Something recorded that a coach has to judge: it was kept, and changes no figure until then.

    event: uuid of the event. target: what it speaks of (itself, if nothing else); for two recordings of what may be
    one attempt the earlier one. content: of an event that came with the uuid of another one, as it was sent;
    ``digest`` tells it from others. attached_to: uuid of the rep that a look without one was given to.
    """

    class Reason(models.TextChoices):
        CONFLICT = "conflict", _("came with the number of another entry")
        FAR_FROM_PRACTICE = "far_from_practice", _("its time is more than 12 hours from the practice")
        BEFORE_JOINED = "before_joined", _("before the athlete joined")
        AFTER_LEFT = "after_left", _("after the athlete left")
        NO_TARGET = "no_target", _("what it speaks of has not arrived")
        NO_REP = "no_rep", _("no rep within 60 seconds")
        SECOND_CORRECTION = "second_correction", _("another correction came before it")
        DOES_NOT_FIT = "does_not_fit", _("does not fit what it speaks of")
        NOT_YOURS = "not_yours", _("changes what somebody else logged")
        TWO_DEVICES = "two_devices", _("two devices logged it: one attempt or two?")

    class Settled(models.TextChoices):
        ACCEPTED = "accepted", _("accepted")
        DROPPED = "dropped", _("dropped")
        ONE = "one", _("one attempt")
        TWO = "two", _("two attempts")
        ATTACHED = "attached", _("attached to a rep")
        OWN = "own", _("made a rep of its own")

    id = models.UUIDField(primary_key=True, default=uuid4, editable=False)
    practice = models.ForeignKey(Practice, on_delete=models.CASCADE, related_name="needs_looks")
    event = models.UUIDField()
    reason = models.CharField(max_length=20, choices=Reason.choices)
    target = models.UUIDField()
    athlete = models.ForeignKey(Athlete, on_delete=models.CASCADE, null=True, related_name="+")
    by = models.ForeignKey(Person, on_delete=models.CASCADE, related_name="+")
    device = models.ForeignKey(Device, on_delete=models.PROTECT, related_name="+")
    at = models.DateTimeField()
    unsafe = models.BooleanField(default=False)
    content = models.JSONField(null=True)
    digest = models.CharField(max_length=64, blank=True)
    settled_as = models.CharField(max_length=8, choices=Settled.choices, blank=True)
    settled_by = models.ForeignKey(Person, on_delete=models.SET_NULL, null=True, related_name="+")
    settled_at = models.DateTimeField(null=True)
    attached_to = models.UUIDField(null=True)

    subject = "athlete__person"

    class Meta:
        ordering = ["at"]
        constraints = [
            models.UniqueConstraint(
                fields=["club", "event", "reason", "target", "digest"],
                name="one_look_needed_a_reason",
            ),
            models.CheckConstraint(condition=Q(settled_as="") ^ Q(settled_at__isnull=False), name="settled_at_a_time"),
        ]
        indexes = [models.Index(fields=["club", "practice"], name="needs_a_look", condition=Q(settled_as=""))]

    def __str__(self) -> str:
        return f"{self.get_reason_display()}: {self.event}"

    @classmethod
    def visible_to(cls, member: Member) -> Q:
        return NOTHING
