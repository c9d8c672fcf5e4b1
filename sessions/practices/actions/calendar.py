"""Making, changing, publishing, cancelling and releasing practices, and taking that back."""

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date, datetime, time
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
from sessions.practices.core.clock import instant, weekly
from sessions.practices.models import AdultPresence, Practice
from sessions.practices.queries import calendar
from sessions.practices.queries.board import unsafe

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


def add_practices(*, by: Member, details: Details, until: date | None = None) -> list[Practice]:
    """One practice, or one a week until that date, as rows of one series. Raises SkippedTime, ValueError: too many."""
    days = weekly(details.day, until) if until else (details.day,)
    if not 1 <= len(days) <= MOST_AT_ONCE:
        raise ValueError(f"{len(days)} practices")
    for day in days:
        _check_times(day, details, by.club.zone)
    series = uuid4() if len(days) > 1 else None
    with transaction.atomic():
        made = [_add(by, details, day, series) for day in days]
        audit.note(
            by,
            gettext_noop("added practices"),
            made[0],
            {"count": len(made), "first": str(days[0]), "last": str(days[-1])},
        )
    return made


def _check_times(day: date, details: Details, zone: str) -> None:
    instant(day, details.starts, zone)
    instant(day, details.ends, zone)


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


def edit_practice(*, by: Member, practice: Practice, details: Details) -> None:
    """Changes this one practice. Raises SkippedTime, NotNow, PlanRefused."""
    _check_times(details.day, details, practice.zone)
    with transaction.atomic():
        row = Practice.objects.for_member(by).select_for_update().get(pk=practice.pk)
        before = {"day": str(row.day), "starts": str(row.starts), "ends": str(row.ends), "venue": str(row.venue_id)}
        _may_move(row, details)
        with no_less_safe(by, row):
            row.venue, row.day, row.starts, row.ends = details.venue, details.day, details.starts, details.ends
            row.focus, row.bring = details.focus, details.bring
            row.save(update_fields=["venue", "day", "starts", "ends", "focus", "bring"])
            row.squads.set(details.squads)
            _name_adults(row, details.adults)
        audit.note(by, gettext_noop("changed a practice"), row, before)


def _may_move(row: Practice, details: Details) -> None:
    if row.venue_id != details.venue.pk and row.stations.exists():
        raise NotNow(_("Stations stand at %(venue)s. Take them out of the plan first.") % {"venue": row.venue})
    if row.released_at and row.day != details.day:
        raise NotNow(_("This practice is over and released. Its day stays."))
    if row.day != details.day and row.events.exists():
        raise NotNow(_("Reps or attendance were recorded at this practice. Its day stays."))
    moved = (row.day, row.starts, row.ends) != (details.day, details.starts, details.ends)
    if moved and row.blocks.exists() and not _holds_blocks(row, details):
        raise NotNow(_("The plan's blocks would lie outside of these times. Take blocks out of the plan first."))


def _holds_blocks(row: Practice, details: Details) -> bool:
    """Whether every block still begins and ends inside the new times."""
    begins, ends = instant(details.day, details.starts, row.zone), instant(details.day, details.ends, row.zone)
    for block in row.blocks.all():
        at = instant(details.day, block.starts, row.zone)
        if at < begins or (ends - at).total_seconds() < block.minutes * 60:
            return False
    return True


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
        broken = unsafe(by, row)
        if broken:
            raise PlanRefused(broken)
        rows = _standing(by, row).filter(published_at__isnull=True, cancelled_at__isnull=True)
        if not rows.update(published_at=now or timezone.now()):
            raise NotNow(_("It is published already, or cancelled."))
        audit.note(by, gettext_noop("published a practice"), row)


def cancel(*, by: Member, practice: Practice) -> None:
    """Takes it off, for everyone at once. Raises NotNow."""
    with transaction.atomic():
        rows = _standing(by, practice).filter(cancelled_at__isnull=True, released_at__isnull=True)
        if not rows.update(cancelled_at=timezone.now()):
            raise NotNow(_("It is cancelled already, or over and released."))
        audit.note(by, gettext_noop("cancelled a practice"), practice)


def uncancel(*, by: Member, practice: Practice) -> None:
    """It takes place after all. Raises NotNow."""
    with transaction.atomic():
        if not _standing(by, practice).filter(cancelled_at__isnull=False).update(cancelled_at=None):
            raise NotNow(_("It is not cancelled."))
        audit.note(by, gettext_noop("put a practice back on"), practice)


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
