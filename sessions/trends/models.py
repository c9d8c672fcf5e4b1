"""Day counts: every figure about the past comes from these. They are rebuilt at will and never edited."""

from django.db import models
from django.db.models import Exists, F, OuterRef, Q

from athletes.models import Athlete
from club.members import Member
from club.models import Person
from club.scope import NOTHING, ClubOwned
from drills.models import Checkpoint, Drill, Fault
from sessions.reps.models import Rep


class DayCount(ClubOwned):
    """Each has an index of an athlete's days, so that a page reads the weeks it shows and not the years before."""

    # Found by the index of days and by the constraint of each.
    athlete = models.ForeignKey(Athlete, on_delete=models.CASCADE, related_name="+", db_index=False)
    drill = models.ForeignKey(Drill, on_delete=models.PROTECT, related_name="+")
    day = models.DateField()

    subject = "athlete__person"

    class Meta:
        abstract = True

    @classmethod
    def visible_to(cls, member: Member) -> Q:
        """Rates and chains of faults are the coaches' own: they are never said to athletes and guardians."""
        return NOTHING


def _released(member: Member) -> Q:
    """Athletes and guardians: their own days, once every practice that the figure comes from is released."""
    unreleased = Rep.objects.filter(
        athlete=OuterRef("athlete"), drill=OuterRef("drill"), day=OuterRef("day"), practice__released_at=None
    )
    return Q(~Exists(unreleased), athlete__person__in=member.subjects)


class DayDrill(DayCount):
    """done: every rep that counts. counted: those whose gate was watched and that were not unsafe. good: of those."""

    done = models.PositiveIntegerField()
    counted = models.PositiveIntegerField()
    good = models.PositiveIntegerField()

    class Meta:
        constraints = [
            models.UniqueConstraint(fields=["athlete", "drill", "day"], name="one_day_drill"),
            models.CheckConstraint(
                condition=Q(good__lte=F("counted"), counted__lte=F("done")), name="good_counted_done"
            ),
        ]
        indexes = [
            models.Index(fields=["club", "day"], name="day_drill_by_day"),
            models.Index(fields=["athlete", "day"], name="day_drill_of_athlete"),
        ]

    def __str__(self) -> str:
        return f"{self.good} of {self.counted}"

    @classmethod
    def visible_to(cls, member: Member) -> Q:
        return _released(member)


class DayCheckpoint(DayCount):
    """Of the reps that may be averaged (not unsafe, no unnamed fault among several): watched, and faulty of those."""

    checkpoint = models.ForeignKey(Checkpoint, on_delete=models.PROTECT, related_name="+")
    watched = models.PositiveIntegerField()
    faulty = models.PositiveIntegerField()

    class Meta:
        constraints = [
            models.UniqueConstraint(fields=["athlete", "drill", "day", "checkpoint"], name="one_day_checkpoint"),
            models.CheckConstraint(condition=Q(faulty__lte=F("watched")), name="faulty_of_watched"),
        ]
        indexes = [models.Index(fields=["athlete", "day"], name="day_checkpoint_of_athlete")]

    def __str__(self) -> str:
        return f"{self.faulty} of {self.watched}"


class DayFault(DayCount):
    """How often a fault was seen, also when merely noticed, also on an unsafe rep: never the numerator of a rate."""

    fault = models.ForeignKey(Fault, on_delete=models.PROTECT, related_name="+")
    n = models.PositiveIntegerField()

    class Meta:
        constraints = [
            models.UniqueConstraint(fields=["athlete", "drill", "day", "fault"], name="one_day_fault"),
            models.CheckConstraint(condition=Q(n__gt=0), name="a_day_fault_was_seen"),
        ]
        indexes = [models.Index(fields=["athlete", "day"], name="day_fault_of_athlete")]

    def __str__(self) -> str:
        return f"{self.fault}: {self.n}"

    @classmethod
    def visible_to(cls, member: Member) -> Q:
        """For choosing the cue that an athlete reads. The number itself is never said to them or their guardians."""
        return _released(member)


class DayPair(DayCount):
    """Of the reps on which both checkpoints were watched: where both, one or neither were faulty."""

    earlier = models.ForeignKey(Checkpoint, on_delete=models.PROTECT, related_name="+")
    later = models.ForeignKey(Checkpoint, on_delete=models.PROTECT, related_name="+")
    both = models.PositiveIntegerField()
    earlier_only = models.PositiveIntegerField()
    later_only = models.PositiveIntegerField()
    neither = models.PositiveIntegerField()

    class Meta:
        constraints = [
            models.UniqueConstraint(fields=["athlete", "drill", "day", "earlier", "later"], name="one_day_pair")
        ]
        indexes = [models.Index(fields=["athlete", "day"], name="day_pair_of_athlete")]

    def __str__(self) -> str:
        return f"{self.earlier} and {self.later}"


class ErasedMonth(ClubOwned):
    """What erased people did at a drill in a month, added up: all that stays of them, and it names nobody."""

    drill = models.ForeignKey(Drill, on_delete=models.PROTECT, related_name="+")
    month = models.DateField()
    done = models.PositiveIntegerField(default=0)
    counted = models.PositiveIntegerField(default=0)
    good = models.PositiveIntegerField(default=0)

    class Meta:
        constraints = [models.UniqueConstraint(fields=["drill", "month"], name="one_erased_month")]

    def __str__(self) -> str:
        return f"{self.drill}, {self.month:%B %Y}"


class Signal(ClubOwned):
    """A fault of an athlete that has been rising or falling: worth a look, never a verdict.

    Made again at each roll-up from the day counts, and never edited (``core/signals.py``). usual: share of faulty reps
    before; since, last: the training days from and up to which it is worth a look; watched, faulty: reps of those.
    """

    class Direction(models.TextChoices):
        ROSE = "rose"
        FELL = "fell"

    athlete = models.ForeignKey(Athlete, on_delete=models.CASCADE, related_name="+")
    checkpoint = models.ForeignKey(Checkpoint, on_delete=models.PROTECT, related_name="+")
    direction = models.CharField(max_length=4, choices=Direction.choices)
    since = models.DateField()
    last = models.DateField()
    usual = models.FloatField()
    watched = models.PositiveIntegerField()
    faulty = models.PositiveIntegerField()

    subject = "athlete__person"

    class Meta:
        constraints = [models.UniqueConstraint(fields=["athlete", "checkpoint"], name="one_signal_a_checkpoint")]

    def __str__(self) -> str:
        return f"{self.checkpoint} {self.direction}"

    @classmethod
    def visible_to(cls, member: Member) -> Q:
        return NOTHING


class SignalSeen(ClubOwned):
    """A coach has seen a signal and set it aside: from the next day on, what is usual is learned anew. Added only."""

    athlete = models.ForeignKey(Athlete, on_delete=models.CASCADE, related_name="+")
    checkpoint = models.ForeignKey(Checkpoint, on_delete=models.PROTECT, related_name="+")
    day = models.DateField()
    by = models.ForeignKey(Person, on_delete=models.SET_NULL, null=True, related_name="+")
    at = models.DateTimeField()

    subject = "athlete__person"

    class Meta:
        verbose_name_plural = "signals seen"
        indexes = [models.Index(fields=["athlete", "checkpoint", "-day"], name="signals_seen")]

    def __str__(self) -> str:
        return f"{self.checkpoint} seen on {self.day}"

    @classmethod
    def visible_to(cls, member: Member) -> Q:
        return NOTHING
