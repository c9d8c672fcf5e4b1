"""Making, changing, publishing, cancelling and releasing practices, and taking that back."""

from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass, replace
from datetime import date, datetime, time, timedelta
from uuid import UUID, uuid4

from django.db import transaction
from django.utils import timezone
from django.utils.translation import gettext as _
from django.utils.translation import gettext_noop

from athletes.models import Squad
from club import audit
from club.members import Member
from club.models import Person, Venue
from club.scope import ClubQuerySet
from drills.models import Checkpoint
from sessions.practices.actions.errors import NotNow, PlanRefused, no_less_safe
from sessions.practices.actions.moving import check_squads_are_free, naming, put_at
from sessions.practices.changes import Change, ChangeKind, Slot, tell
from sessions.practices.core.clock import instant, weekly
from sessions.practices.models import AdultPresence, Practice
from sessions.practices.queries import calendar
from sessions.practices.queries.board import broken

MOST_AT_ONCE = 60
"""Practices that one series makes at most: more than a year of weeks."""


@dataclass(frozen=True, slots=True)
class Details:
    """What a practice is made of. starts, ends: wall times of the club's zone. adults: expected to be there."""

    venue: Venue
    day: date
    starts: time
    ends: time
    squads: tuple[Squad, ...] = ()
    adults: tuple[Person, ...] = ()
    focus: Checkpoint | None = None
    bring: str = ""

    @classmethod
    def of(cls, row: Practice) -> "Details":
        squads, adults = row.squads.order_by("pk"), row.adults.select_related("person").order_by("person")
        people = tuple(presence.person for presence in adults)
        return cls(row.venue, row.day, row.starts, row.ends, tuple(squads), people, row.focus, row.bring)

    @property
    def slot(self) -> Slot:
        return Slot(self.venue, self.day, self.starts, self.ends)

    def at(self, to: Slot) -> "Details":
        return replace(self, venue=to.venue, day=to.day, starts=to.starts, ends=to.ends)

    def is_usual_beside(self, other: "Details") -> bool:
        """Whether both stand as one series put them: the same weekday, time and venue."""
        usual = self.venue, self.day.weekday(), self.starts, self.ends
        return usual == (other.venue, other.day.weekday(), other.starts, other.ends)

    def changed_like(self, was: "Details", to: "Details", *, slot: bool) -> "Details":
        """With what differs between ``was`` and ``to``; the day by as many days. slot: day, time and venue too."""
        names = ("focus", "bring", *(("venue", "starts", "ends") if slot else ()))
        new = {name: getattr(to, name) for name in names if getattr(to, name) != getattr(was, name)}
        new |= {
            name: getattr(to, name)
            for name in ("squads", "adults")
            if set(getattr(to, name)) != set(getattr(was, name))
        }
        return replace(self, day=self.day + (to.day - was.day if slot else timedelta(0)), **new)

    def values(self) -> dict[str, str]:
        """For the audit."""
        return {"day": str(self.day), "starts": str(self.starts), "ends": str(self.ends), "venue": str(self.venue.pk)}


def add_practices(*, by: Member, details: Details, until: date | None = None) -> list[Practice]:
    """One practice, or one a week until that date, as rows of one series. Raises SkippedTime, NotNow,
    ValueError: too many."""
    days = weekly(details.day, until) if until else (details.day,)
    if not 1 <= len(days) <= MOST_AT_ONCE:
        raise ValueError(f"{len(days)} practices")
    for day in days:
        instant(day, details.starts, by.club.zone), instant(day, details.ends, by.club.zone)
    series = uuid4() if len(days) > 1 else None
    with transaction.atomic():
        made = [_add(by, details, day, series) for day in days]
        _check_squads(by, made)
        audit.note(
            by,
            gettext_noop("added practices"),
            made[0],
            {"count": len(made), "first": str(days[0]), "last": str(days[-1])},
        )
    return made


def _add(by: Member, details: Details, day: date, series: UUID | None) -> Practice:
    practice = Practice.objects.create(
        club=by.club,
        series=series,
        venue=details.venue,
        day=day,
        starts=details.starts,
        ends=details.ends,
        zone=by.club.zone,
        focus=details.focus,
        bring=details.bring,
    )
    practice.squads.set(details.squads)
    _name_adults(practice, details.adults)
    return practice


@dataclass(frozen=True, slots=True)
class Changed:
    """practices: those that were changed, this one first. stayed: later ones of the series that had been moved by
    themselves before, and keep their own day, time and place."""

    practices: tuple[Practice, ...]
    stayed: tuple[Practice, ...] = ()


def edit_practice(*, by: Member, practice: Practice, details: Details, later: bool = False) -> Changed:
    """Changes this one, or with ``later`` this and the later ones of its series: of those only what is changed here,
    so that each keeps what is its own. All or nothing. Raises NotNow, PlanRefused."""
    return _change(by, practice, lambda was: details, later, gettext_noop("changed a practice"))


def move(*, by: Member, practice: Practice, to: Slot, later: bool = False) -> Changed:
    """To another day, time or venue, with its plan; see ``edit_practice``. Raises NotNow, PlanRefused."""
    return _change(by, practice, lambda was: was.at(to), later, gettext_noop("moved a practice"))


def _change(by: Member, practice: Practice, wanted: Callable[[Details], Details], later: bool, kind: str) -> Changed:
    with transaction.atomic():
        rows = _of_series(by, practice, later)
        was = Details.of(rows[0])
        to, stayed = wanted(was), []
        for row in rows:
            theirs = Details.of(row)
            stays = not theirs.is_usual_beside(was) and to.slot != was.slot
            stayed += [row] if stays else []
            with naming(row, len(rows) > 1):
                _set(by, row, theirs.changed_like(was, to, slot=not stays))
            audit.note(by, kind, row, theirs.values())
        if to.slot != was.slot or set(to.squads) != set(was.squads):
            _check_squads(by, rows)
    return Changed(tuple(rows), tuple(stayed))


def _of_series(by: Member, practice: Practice, later: bool) -> list[Practice]:
    """This one, held, and with ``later`` those of its series that come after it and are not over."""
    rows = Practice.objects.for_member(by).select_for_update()
    this = rows.get(pk=practice.pk)
    if not later:
        return [this]
    return [this, *calendar.later_of_series(by, this).select_for_update().order_by("day", "starts", "pk")]


def _check_squads(by: Member, rows: Sequence[Practice]) -> None:
    for row in rows:
        with naming(row, len(rows) > 1):
            check_squads_are_free(by, row)


def _set(by: Member, row: Practice, details: Details) -> None:
    with no_less_safe(by, row):
        put_at(by, row, details.slot)
        row.focus, row.bring = details.focus, details.bring
        row.save(update_fields=["focus", "bring"])
        row.squads.set(details.squads)
        _name_adults(row, details.adults)


def _name_adults(practice: Practice, adults: Iterable[Person]) -> None:
    """Names who is expected. Whoever has checked in stays, named or not."""
    wanted = {person.pk for person in adults}
    practice.adults.filter(came_at__isnull=True).exclude(person__in=wanted).delete()
    AdultPresence.objects.bulk_create(
        [AdultPresence(club=practice.club, practice=practice, person_id=pk) for pk in wanted], ignore_conflicts=True
    )


def publish(*, by: Member, practice: Practice, now: datetime | None = None) -> None:
    """Athletes and guardians see it from now on. Raises NotNow, PlanRefused: what is unsafe in the plan."""
    with transaction.atomic():
        row = Practice.objects.for_member(by).select_for_update().get(pk=practice.pk)
        unsafe = broken(by, row).unsafe
        if unsafe:
            raise PlanRefused(unsafe)
        rows = _standing(by, row).filter(published_at__isnull=True, cancelled_at__isnull=True)
        at = now or timezone.now()
        if not rows.update(published_at=at):
            raise NotNow(_("It is published already, or cancelled."))
        row.published_at = at
        tell(by, Change(ChangeKind.PUBLISHED, row))
        audit.note(by, gettext_noop("published a practice"), row)


def cancel(*, by: Member, practice: Practice, later: bool = False) -> tuple[Practice, ...]:
    """Takes it off for everyone at once; with ``later`` also those of its series that come after it. Raises NotNow."""
    with transaction.atomic():
        rows = [row for row in _of_series(by, practice, later) if not row.cancelled_at and not row.released_at]
        if not rows:
            raise NotNow(_("It is cancelled already, or over and released."))
        now = timezone.now()
        for row in rows:
            _set_cancelled(by, row, now, ChangeKind.CANCELLED)
            audit.note(by, gettext_noop("cancelled a practice"), row)
    return tuple(rows)


def uncancel(*, by: Member, practice: Practice, together: bool = False) -> tuple[Practice, ...]:
    """It takes place after all; with ``together`` also those of its series that were cancelled in the same act.
    Raises NotNow."""
    with transaction.atomic():
        this = Practice.objects.for_member(by).select_for_update().get(pk=practice.pk)
        if this.cancelled_at is None:
            raise NotNow(_("It is not cancelled."))
        rows = [this, *(calendar.cancelled_with(by, this).select_for_update() if together else ())]
        for row in rows:
            _set_cancelled(by, row, None, ChangeKind.BACK_ON)
            audit.note(by, gettext_noop("put a practice back on"), row)
        _check_squads(by, rows)
    return tuple(rows)


def _set_cancelled(by: Member, row: Practice, at: datetime | None, kind: ChangeKind) -> None:
    row.cancelled_at = at
    row.sequence += 1
    row.save(update_fields=["cancelled_at", "sequence"])
    tell(by, Change(kind, row))


def release(*, by: Member, practice: Practice, now: datetime) -> None:
    """Athletes see turns done, guardians that they came and what they worked on. Raises NotNow."""
    if calendar.starts_at(practice) > now:
        raise NotNow(_("It has not begun yet."))
    with transaction.atomic():
        rows = _standing(by, practice).filter(
            published_at__isnull=False, cancelled_at__isnull=True, released_at__isnull=True
        )
        if not rows.update(released_at=now):
            raise NotNow(_("Only a published practice that took place is released, and only once."))
        audit.note(by, gettext_noop("released a practice"), practice)


def unrelease(*, by: Member, practice: Practice) -> None:
    """Takes a release back: athletes and guardians no longer see what it showed. Raises NotNow."""
    with transaction.atomic():
        if not _standing(by, practice).filter(released_at__isnull=False).update(released_at=None):
            raise NotNow(_("It is not released."))
        audit.note(by, gettext_noop("took a release back"), practice)


def _standing(by: Member, practice: Practice) -> ClubQuerySet:
    """The practice as a query set, to be updated on a condition."""
    return Practice.objects.for_member(by).filter(pk=practice.pk)
