"""A club's own catalogue, as rows. The values in ``drills.core.catalogue`` say what each field means."""

from typing import Any
from uuid import uuid4

from django.db import models
from django.db.models import Q
from django.utils.translation import gettext_lazy as _

from club.members import Member
from club.scope import ClubOwned
from drills.core import catalogue as values


def choices(kind: Any) -> list[tuple[str, str]]:
    return [(item.value, item.name) for item in kind]


class CatalogueItem(ClubOwned):
    """Something in the catalogue with a stable key. Retired, never deleted, once it was used."""

    public_key = "key"
    key = models.SlugField(max_length=60)
    order = models.PositiveSmallIntegerField(default=0)
    retired = models.BooleanField(_("retired"), default=False)

    class Meta:
        abstract = True
        ordering = ["order"]
        constraints = [models.UniqueConstraint(fields=["club", "key"], name="one_%(class)s_a_key")]


class Stage(CatalogueItem):
    number = models.PositiveSmallIntegerField()
    name = models.CharField(max_length=80)
    about = models.TextField(blank=True)

    def __str__(self) -> str:
        return self.name


class LoadClass(CatalogueItem):
    name = models.CharField(max_length=80)
    reps_a_practice = models.PositiveSmallIntegerField()
    reps_a_practice_under_14 = models.PositiveSmallIntegerField()
    days_a_week = models.PositiveSmallIntegerField(null=True)
    rest_days = models.PositiveSmallIntegerField(default=0)
    common_practice = models.BooleanField(default=False)

    class Meta(CatalogueItem.Meta):
        verbose_name_plural = "load classes"

    def __str__(self) -> str:
        return self.name


class SafetyText(CatalogueItem):
    title = models.CharField(max_length=120)
    text = models.TextField()
    common_practice = models.BooleanField(default=False)

    def __str__(self) -> str:
        return self.title

    @classmethod
    def visible_to(cls, member: Member) -> Q:
        """Safety words are for everybody: athletes read them beside their drills."""
        return Q()


class Adjustment(CatalogueItem):
    name = models.CharField(max_length=80)
    how = models.TextField()

    def __str__(self) -> str:
        return self.name


class Checkpoint(CatalogueItem):
    """One thing to watch. cells: of the run strip; seen_from: any of these places."""

    name = models.CharField(max_length=80)
    phase = models.CharField(max_length=10, choices=choices(values.Phase))
    cells = models.JSONField(default=list)
    landing = models.PositiveSmallIntegerField(null=True)
    good = models.TextField()
    seen_from = models.JSONField(default=list)
    common_practice = models.BooleanField(default=False)

    def __str__(self) -> str:
        return self.name


class Fault(CatalogueItem):
    checkpoint = models.ForeignKey(Checkpoint, on_delete=models.PROTECT, related_name="faults")
    name = models.CharField(max_length=80)
    label = models.CharField(max_length=values.LABEL_LENGTH)
    kind = models.CharField(max_length=6, choices=choices(values.FaultKind))
    unsafe = models.BooleanField(default=False)
    cues = models.JSONField(default=list)

    def __str__(self) -> str:
        return self.name


class Cause(CatalogueItem):
    name = models.CharField(max_length=80)
    about = models.TextField(blank=True)

    def __str__(self) -> str:
        return self.name


class Drill(CatalogueItem):
    stage = models.ForeignKey(Stage, on_delete=models.PROTECT, related_name="drills")
    family = models.SlugField(max_length=60)
    name = models.CharField(max_length=80)
    short = models.CharField(max_length=values.SHORT_LENGTH)
    purpose = models.TextField()
    setup = models.TextField(blank=True)
    how = models.JSONField(default=list)
    dose = models.TextField(blank=True)
    make_easier = models.TextField(blank=True)
    make_harder = models.TextField(blank=True)
    areas = models.JSONField(default=list)
    surfaces = models.JSONField(default=list)
    adult = models.CharField(max_length=10, choices=choices(values.AdultLevel))
    places = models.PositiveSmallIntegerField()
    unit = models.CharField(max_length=4, choices=choices(values.Unit))
    risk = models.CharField(max_length=8, choices=choices(values.RiskClass))
    phases = models.JSONField(default=list)
    steps = models.JSONField(default=list)
    last_landing = models.PositiveSmallIntegerField(default=0)
    starts_lowered = models.BooleanField(default=False)
    checkpoints = models.ManyToManyField(Checkpoint, through="DrillCheckpoint", related_name="drills")
    needs = models.ManyToManyField("self", through="Need", symmetrical=False, related_name="leads_to")
    entry_drill = models.ForeignKey("self", on_delete=models.PROTECT, null=True, related_name="+")
    seconds_a_turn = models.PositiveSmallIntegerField()
    least_turns = models.PositiveSmallIntegerField()
    load = models.ForeignKey(LoadClass, on_delete=models.PROTECT, null=True, related_name="drills")
    poles = models.CharField(max_length=12, choices=choices(values.PoleNeed))
    slides = models.BooleanField(default=False)
    safety = models.JSONField(default=list)

    def __str__(self) -> str:
        return self.name

    @classmethod
    def visible_to(cls, member: Member) -> Q:
        """What drills are is no secret: athletes and guardians read the names and cues of theirs."""
        return Q()


class DrillCheckpoint(ClubOwned):
    """A checkpoint that a drill offers. gate: a good rep needs it watched and not faulty.

    gate_place: where it stands in the gate, from 0; it means nothing outside of the gate.
    """

    drill = models.ForeignKey(Drill, on_delete=models.CASCADE, related_name="offers")
    checkpoint = models.ForeignKey(Checkpoint, on_delete=models.PROTECT, related_name="offered_by")
    order = models.PositiveSmallIntegerField()
    gate = models.BooleanField(default=False)
    gate_place = models.PositiveSmallIntegerField(default=0)
    good = models.TextField(blank=True)
    from_steps = models.PositiveSmallIntegerField(default=0)

    class Meta:
        ordering = ["order"]
        constraints = [models.UniqueConstraint(fields=["drill", "checkpoint"], name="one_offer_a_checkpoint")]

    def __str__(self) -> str:
        return f"{self.drill}: {self.checkpoint}"


class Need(ClubOwned):
    """``drill`` opens only when ``needed`` allows it. The first need is the easier drill."""

    drill = models.ForeignKey(Drill, on_delete=models.CASCADE, related_name="need_rows")
    needed = models.ForeignKey(Drill, on_delete=models.PROTECT, related_name="needed_by")
    order = models.PositiveSmallIntegerField()

    class Meta:
        ordering = ["order"]
        constraints = [
            models.UniqueConstraint(fields=["drill", "needed"], name="one_need_a_pair"),
            models.CheckConstraint(condition=~Q(drill=models.F("needed")), name="no_drill_needs_itself"),
        ]

    def __str__(self) -> str:
        return f"{self.drill} needs {self.needed}"


class Remedy(ClubOwned):
    """For a fault, or as the first link of a chain: another drill or an adjustment."""

    fault = models.ForeignKey(Fault, on_delete=models.CASCADE, related_name="remedies", null=True)
    link = models.OneToOneField("Link", on_delete=models.CASCADE, related_name="mend", null=True)
    drill = models.ForeignKey(Drill, on_delete=models.PROTECT, null=True, related_name="remedy_for")
    adjustment = models.ForeignKey(Adjustment, on_delete=models.PROTECT, null=True, related_name="+")
    note = models.TextField(blank=True)
    order = models.PositiveSmallIntegerField(default=0)

    class Meta:
        ordering = ["order"]
        verbose_name_plural = "remedies"
        constraints = [
            models.CheckConstraint(
                condition=Q(drill__isnull=False) ^ Q(adjustment__isnull=False), name="drill_or_adjustment"
            ),
            models.CheckConstraint(condition=Q(fault__isnull=False) ^ Q(link__isnull=False), name="fault_or_link"),
        ]

    def __str__(self) -> str:
        return str(self.drill or self.adjustment)

    @property
    def says_nothing_more(self) -> bool:
        """Whether the note only says again what it is called."""
        return self.note.strip(" .").casefold() == str(self).strip(" .").casefold()


class Link(ClubOwned):
    """Which fault, or which cause, leads to which fault."""

    fault = models.ForeignKey(Fault, on_delete=models.CASCADE, null=True, related_name="leads_to")
    cause = models.ForeignKey(Cause, on_delete=models.CASCADE, null=True, related_name="leads_to")
    to = models.ForeignKey(Fault, on_delete=models.CASCADE, related_name="comes_from")
    note = models.TextField(blank=True)
    common_practice = models.BooleanField(default=False)
    order = models.PositiveSmallIntegerField(default=0)

    class Meta:
        ordering = ["order"]
        constraints = [
            models.CheckConstraint(condition=Q(fault__isnull=False) ^ Q(cause__isnull=False), name="fault_or_cause")
        ]

    def __str__(self) -> str:
        return f"{self.fault or self.cause} leads to {self.to}"


class Activity(CatalogueItem):
    """Planned like a drill, without checkpoints. places None: everyone at once."""

    name = models.CharField(max_length=80)
    about = models.TextField(blank=True)
    minutes = models.PositiveSmallIntegerField()
    areas = models.JSONField(default=list)
    adult = models.CharField(max_length=10, choices=choices(values.AdultLevel))
    places = models.PositiveSmallIntegerField(null=True)
    poles = models.CharField(max_length=12, choices=choices(values.PoleNeed))
    load = models.ForeignKey(LoadClass, on_delete=models.PROTECT, null=True, related_name="activities")
    needs_clearance = models.BooleanField(default=False)
    job = models.BooleanField(default=False)
    safety = models.JSONField(default=list)

    class Meta(CatalogueItem.Meta):
        verbose_name_plural = "activities"

    def __str__(self) -> str:
        return self.name

    @classmethod
    def visible_to(cls, member: Member) -> Q:
        return Q()


class CatalogueCover(ClubOwned):
    """Name and edition of a club's catalogue. Its row is the lock under which the catalogue is changed."""

    name = models.CharField(max_length=80)
    version = models.PositiveIntegerField(default=1)

    class Meta:
        constraints = [models.UniqueConstraint(fields=["club"], name="one_cover_a_club")]

    def __str__(self) -> str:
        return self.name


class CatalogueStamp(ClubOwned):
    """Another one with every change of a club's catalogue, so that a process can tell whether what it read still holds.

    Random, not counted: one that was never committed must not come back as the stamp of something else.
    """

    stamp = models.UUIDField(default=uuid4)

    class Meta:
        constraints = [models.UniqueConstraint(fields=["club"], name="one_stamp_a_club")]

    def __str__(self) -> str:
        return str(self.stamp)


class CatalogueDraft(ClubOwned):
    """A file that was read and found good, and waits for its items to be chosen. Kept for a day at most."""

    id = models.UUIDField(primary_key=True, default=uuid4, editable=False)
    made_at = models.DateTimeField()
    source = models.TextField()

    def __str__(self) -> str:
        return f"draft of {self.made_at:%Y-%m-%d %H:%M}"


class CatalogueEdition(ClubOwned):
    """The shipped edition a club's catalogue came from, whole, so that an update can be told from an edit."""

    version = models.PositiveIntegerField()
    loaded_at = models.DateTimeField()
    source = models.TextField()

    class Meta:
        constraints = [models.UniqueConstraint(fields=["club", "version"], name="one_edition_a_version")]

    def __str__(self) -> str:
        return f"edition {self.version}"
