"""Decisions, which are events, and where each athlete stands with each drill, folded from them and the reps."""

from collections.abc import Iterable
from typing import Any, ClassVar, NoReturn
from uuid import uuid4

from django.db import models
from django.db.models import F, Q
from django.utils.translation import gettext_lazy as _

from athletes.core.progression import Drill as DrillValue
from athletes.core.progression import Edition
from athletes.core.standing import DecisionKind, OpenedBy
from athletes.core.standing import Standing as State
from athletes.models.profile import Athlete
from athletes.models.readiness import CoachesOwn
from club.models import Person
from club.scope import ClubOwned, ClubQuerySet
from drills.models import Drill


class DecisionQuerySet(ClubQuerySet):
    """Append-only: another decision answers one. Only ``club.subjects`` erases people and makes two of them one."""

    def update(self, **kwargs: Any) -> NoReturn:
        raise TypeError("decisions are append-only")

    def delete(self) -> NoReturn:
        raise TypeError("decisions are append-only")

    def bulk_update(self, *args: Any, **kwargs: Any) -> NoReturn:
        raise TypeError("decisions are append-only")

    def erase(self) -> int:
        """Erasure of a person, which wins over everything: deletes the rows."""
        return super().delete()[0]

    def decided_by(self, person: Person) -> int:
        """Two rows of one human being become one: the same person decided."""
        return super().update(by=person)


class Decision(CoachesOwn):
    """What a head coach decided about one athlete at one drill, on which figures. Never changed; see ``takes_back``.

    day: the club's local date. figures: what was read at that moment (``athletes.queries.decisions.figures_of``).
    advice: what the figures advised, a value of ``readiness.Advice`` or ``open``. seen: what a placement rests on.
    """

    class Kind(models.TextChoices):
        TOUCH = DecisionKind.TOUCH.value, _("opened")
        PLACE = DecisionKind.PLACE.value, _("placed")
        SETTLED = DecisionKind.SETTLED.value, _("settled")
        KEEP_ON = DecisionKind.KEEP_ON.value, _("kept on")
        EASIER_DRILL = DecisionKind.EASIER_DRILL.value, _("easier drill")
        START_OVER = DecisionKind.START_OVER.value, _("started over")
        TAKEN_BACK = "taken back", _("taken back")

    class Side(models.TextChoices):
        WITH = "with", _("with the advice")
        AGAINST = "against", _("against the advice")
        NONE = "none", _("without advice")

    OPENS: ClassVar = frozenset({Kind.TOUCH, Kind.PLACE})

    id = models.UUIDField(primary_key=True, default=uuid4, editable=False)
    athlete = models.ForeignKey(Athlete, on_delete=models.CASCADE, related_name="decisions")
    drill = models.ForeignKey(Drill, on_delete=models.PROTECT, related_name="+")
    kind = models.CharField(max_length=12, choices=Kind.choices)
    day = models.DateField()
    at = models.DateTimeField()
    by = models.ForeignKey(Person, on_delete=models.SET_NULL, null=True, related_name="+")
    advice = models.CharField(max_length=12, blank=True)
    side = models.CharField(max_length=8, choices=Side.choices, default=Side.NONE)
    figures = models.JSONField(default=dict)
    seen = models.CharField(_("what was seen"), max_length=200, blank=True)
    takes_back = models.OneToOneField("self", on_delete=models.CASCADE, null=True, related_name="taken_back_by")

    objects = DecisionQuerySet.as_manager()
    subject = "athlete__person"

    class Meta:
        ordering = ["-at", "-pk"]
        indexes = [models.Index(fields=["athlete", "day"], name="decisions_of_an_athlete")]
        constraints = [
            models.CheckConstraint(
                condition=Q(kind="taken back", takes_back__isnull=False)
                | (~Q(kind="taken back") & Q(takes_back__isnull=True)),
                name="taken_back_names_what",
            ),
            models.CheckConstraint(condition=~Q(takes_back=F("id")), name="no_decision_takes_itself_back"),
        ]

    def __str__(self) -> str:
        return f"{self.athlete} at {self.drill}: {self.kind}"

    def save(self, *args: Any, **kwargs: Any) -> None:
        if not self._state.adding:
            raise TypeError("decisions are append-only")
        super().save(*args, **kwargs)

    def delete(self, *args: Any, **kwargs: Any) -> NoReturn:
        raise TypeError("decisions are append-only")


def values_of(enum: Iterable[Any]) -> list[tuple[str, str]]:
    return [(item.value, item.value) for item in enum]


class Standing(CoachesOwn):
    """Where an athlete stands with a drill. Rebuilt at will and never edited.

    since: the day that made it so. asks: a contact drill that lacks nothing but the head coach's touch.
    lacking: ``athletes.queries.standing.lacking_rows``, for each need how it stands the test of its class.
    """

    keeps_catalogue: ClassVar = False
    State = State
    AT_CONTACT: ClassVar = (OpenedBy.CONTACT_TOUCH.value, OpenedBy.PLACEMENT.value)

    athlete = models.ForeignKey(Athlete, on_delete=models.CASCADE, related_name="standings")
    drill = models.ForeignKey(Drill, on_delete=models.CASCADE, related_name="+")
    state = models.CharField(max_length=12, choices=values_of(State))
    opened_by = models.CharField(max_length=16, blank=True)
    closed_by = models.CharField(max_length=16, blank=True)
    settled_by = models.CharField(max_length=8, blank=True)
    since = models.DateField(null=True)
    asks = models.BooleanField(default=False)
    lacking = models.JSONField(default=list)

    subject = "athlete__person"

    class Meta:
        constraints = [models.UniqueConstraint(fields=["athlete", "drill"], name="one_standing_a_pair")]

    def __str__(self) -> str:
        return f"{self.athlete} at {self.drill}: {self.state}"


class AthleteBook(CoachesOwn):
    """The head row of one athlete's book; it is the lock of all that is folded for them.

    dirty_from: the earliest day of which something changed since the last fold; None if nothing did.
    book: ``athletes.core.standing.Book`` after the last item.
    """

    athlete = models.OneToOneField(Athlete, on_delete=models.CASCADE, related_name="book")
    dirty_from = models.DateField(null=True)
    book = models.JSONField(default=dict)

    subject = "athlete__person"

    def __str__(self) -> str:
        return f"book of {self.athlete}"


class BookDay(CoachesOwn):
    """The book at the end of one day with a rep or a decision, from which later days are folded again."""

    athlete = models.ForeignKey(Athlete, on_delete=models.CASCADE, related_name="book_days")
    day = models.DateField()
    book = models.JSONField()

    subject = "athlete__person"

    class Meta:
        constraints = [models.UniqueConstraint(fields=["athlete", "day"], name="one_book_a_day")]

    def __str__(self) -> str:
        return f"book of {self.athlete} on {self.day}"


class ProgressionEdition(ClubOwned):
    """The drills of the club's progression from a day on, so that an edit undoes nothing that was open before it."""

    since = models.DateField()
    drills = models.JSONField()

    class Meta:
        constraints = [models.UniqueConstraint(fields=["club", "since"], name="one_progression_a_day")]

    def __str__(self) -> str:
        return f"progression from {self.since}"

    def value(self) -> Edition:
        return Edition(self.since, tuple(DrillValue.from_row(row) for row in self.drills))


class Notice(CoachesOwn):
    """What must be told to the head coach about an athlete at a drill, until they set it aside.

    OPENING_LOST: a late, voided or corrected rep took away an opening of the day ``day``. TOUCH_REFUSED: a touch of
    that day opened nothing, because of reps that the coach had not seen. TRIED_UNOPENED: reps of that day at a contact
    drill that was not open.
    """

    class Kind(models.TextChoices):
        OPENING_LOST = "opening lost", _("opening lost")
        TOUCH_REFUSED = "touch refused", _("touch without effect")
        TRIED_UNOPENED = "tried unopened", _("reps before it was opened")

    DERIVED: ClassVar = (Kind.TOUCH_REFUSED, Kind.TRIED_UNOPENED)

    id = models.UUIDField(primary_key=True, default=uuid4, editable=False)
    athlete = models.ForeignKey(Athlete, on_delete=models.CASCADE, related_name="notices")
    drill = models.ForeignKey(Drill, on_delete=models.PROTECT, related_name="+")
    kind = models.CharField(max_length=16, choices=Kind.choices)
    day = models.DateField()
    opened_by = models.CharField(max_length=16, blank=True)
    at = models.DateTimeField()
    set_aside_at = models.DateTimeField(null=True)
    set_aside_by = models.ForeignKey(Person, on_delete=models.SET_NULL, null=True, related_name="+")

    subject = "athlete__person"

    class Meta:
        ordering = ["-day", "-at"]
        constraints = [
            models.UniqueConstraint(fields=["athlete", "drill", "kind", "day"], name="one_notice_a_day"),
        ]

    def __str__(self) -> str:
        return f"{self.kind}: {self.athlete} at {self.drill}"
