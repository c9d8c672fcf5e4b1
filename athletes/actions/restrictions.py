"""Restrictions: laid, reported, answered, lifted. Each binds from the moment it is written."""

from collections.abc import Iterable
from datetime import date, datetime

from django.db import transaction
from django.utils.translation import gettext_noop

from athletes.core.restrictions import ALL, may_lift, upward
from athletes.models import Athlete, Restriction
from club import audit
from club.members import Member
from club.queries import is_under
from drills.core.catalogue import RiskClass

OF_AGE = 18


class ClearanceMissing(Exception):
    """A restriction after a head injury is lifted only by a recorded written clearance."""


def restrict(
    *,
    by: Member,
    athlete: Athlete,
    what: str,
    excludes: Iterable[str],
    starts_on: date,
    ends_on: date | None = None,
    reason: str = "",
    needs_clearance: bool = False,
) -> Restriction:
    """Lays a restriction on an athlete; it binds at once. excludes: risk classes; what is riskier goes with them."""
    named = sorted(upward(map(RiskClass, excludes)))
    values = {"what": what, "excludes": named, "starts_on": starts_on, "ends_on": ends_on}
    with transaction.atomic():
        restriction = Restriction.objects.create(
            club=by.club, athlete=athlete, reason=reason, needs_clearance=needs_clearance, **values
        )
        audit.note(by, gettext_noop("restricted"), athlete, {"what": what, "excludes": named})
    return restriction


class NotOfAge(Exception):
    """Under 18 a parent or guardian reports it."""


def may_report(by: Member, athlete: Athlete, today: date) -> bool:
    born = athlete.person.birth_date
    return by.person.pk != athlete.person_id or (born is not None and not is_under(OF_AGE, born, today))


def report(
    *,
    by: Member,
    athlete: Athlete,
    what: str,
    excludes: Iterable[str],
    starts_on: date,
    ends_on: date | None = None,
    reason: str = "",
    head: bool = False,
) -> Restriction:
    """A guardian says what their child must not do, or an athlete of age what they must not. It binds until a coach
    answers; head: a knock to the head. Raises NotOfAge."""
    if not may_report(by, athlete, starts_on):
        raise NotOfAge
    with transaction.atomic():
        restriction = Restriction.objects.create(
            club=by.club,
            athlete=athlete,
            what=what,
            excludes=sorted(ALL if head else upward(map(RiskClass, excludes))),
            reason=reason,
            starts_on=starts_on,
            ends_on=None if head else ends_on,
            needs_clearance=head,
            reported_by=by.person,
            unanswered=True,
        )
        audit.note(by, gettext_noop("reported a restriction"), athlete, {"what": what})
    return restriction


def answer(*, by: Member, restriction: Restriction, ends_on: date | None) -> None:
    """A coach has seen what a guardian reported: now it binds by its dates; a head injury until it is lifted."""
    ends_on = None if restriction.needs_clearance else ends_on
    with transaction.atomic():
        rows = Restriction.objects.for_member(by).filter(pk=restriction.pk)
        if rows.filter(unanswered=True).update(unanswered=False, ends_on=ends_on):
            values = {"what": restriction.what, "ends_on": str(ends_on or "")}
            audit.note(by, gettext_noop("answered a restriction"), restriction.athlete, values)


def lift(
    *, by: Member, restriction: Restriction, now: datetime, clearance_by: str = "", clearance_on: date | None = None
) -> None:
    """Takes a restriction away. Raises ClearanceMissing where only a written clearance may."""
    if not may_lift(restriction.needs_clearance, clearance_by, clearance_on, now.date()):
        raise ClearanceMissing
    with transaction.atomic():
        rows = Restriction.objects.for_member(by).filter(pk=restriction.pk, lifted_at__isnull=True)
        lifted = rows.update(
            lifted_at=now,
            lifted_by=by.person,
            unanswered=False,
            clearance_by=clearance_by.strip(),
            clearance_on=clearance_on,
        )
        if lifted:
            values = {"what": restriction.what, "clearance_by": clearance_by, "clearance_on": str(clearance_on or "")}
            audit.note(by, gettext_noop("lifted a restriction"), restriction.athlete, values)
