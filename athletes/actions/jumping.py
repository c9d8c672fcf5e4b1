"""The head coach clears an athlete for jumping, with one pole, grip and run, and ends it."""

from datetime import datetime
from decimal import Decimal

from django.core.exceptions import PermissionDenied
from django.db import transaction
from django.utils.translation import gettext as _
from django.utils.translation import gettext_noop

from athletes.actions.decisions import CannotDecide
from athletes.core import poles as core
from athletes.models import Athlete, Clearance, Pole
from athletes.queries.profile import evidence
from athletes.words import why_words
from club import audit
from club.members import Member
from club.roles import Permission
from drills.models import Activity


def clear(
    *, by: Member, athlete: Athlete, activity: Activity, pole: Pole, grip_m: Decimal, steps: int, now: datetime
) -> Clearance:
    """now: in the club's zone. Another clearance with the same pole takes the place of the one before.

    Raises PermissionDenied, CannotDecide: the pole does not fit, the mass is due for a check, they have left.
    """
    by = _deciding(by)
    with transaction.atomic():
        if athlete.left_on is not None and athlete.left_on <= now.date():
            raise CannotDecide(_("They have left the club."))
        if not activity.needs_clearance or activity.retired:
            raise CannotDecide(_("This needs no clearance."))
        _must_fit(by, athlete, pole, grip_m, now)
        live = Clearance.objects.for_member(by).filter(athlete=athlete, ended_at__isnull=True)
        live.filter(activity=activity, pole=pole).update(ended_at=now, ended_by=by.person)
        row = Clearance.objects.create(
            club=by.club, athlete=athlete, activity=activity, pole=pole, grip_m=grip_m, steps=steps,
            day=now.date(), at=now, by=by.person,
        )  # fmt: skip
        values = {"activity": activity.key, "pole": str(pole.pk), "grip_m": str(grip_m), "steps": steps}
        audit.note(by, gettext_noop("cleared an athlete for jumping"), athlete, values)
    return row


def end(*, by: Member, clearance: Clearance, now: datetime) -> None:
    """Raises PermissionDenied. To end it twice is to end it once."""
    by = _deciding(by)
    with transaction.atomic():
        rows = Clearance.objects.for_member(by).filter(pk=clearance.pk, ended_at__isnull=True)
        if rows.update(ended_at=now, ended_by=by.person):
            values = {"activity": clearance.activity.key, "clearance": str(clearance.pk)}
            audit.note(by, gettext_noop("ended a clearance for jumping"), clearance.athlete, values)


def _deciding(by: Member) -> Member:
    if not by.may(Permission.DECIDE):
        raise PermissionDenied
    return by.acting(Permission.DECIDE)


def _must_fit(by: Member, athlete: Athlete, pole: Pole, grip_m: Decimal, now: datetime) -> None:
    """The pole as it is in the database: it may have been withdrawn since the form was shown."""
    pole = Pole.objects.for_member(by).get(pk=pole.pk)
    if grip_m >= pole.length_m:
        raise CannotDecide(_("The pole is not as long as that."))
    today = now.date()
    answer = core.check(pole.value(), evidence(by, [athlete.pk], today).get(athlete.pk), today, grip_m)
    if answer.fit is core.Fit.DOES_NOT_FIT:
        if core.Why.ABOVE_BAND in answer.why:
            raise CannotDecide(_("Never above the pole’s band: the hands stay below it."))
        raise CannotDecide(_("%(pole)s does not fit: %(why)s.") % {"pole": pole.tag, "why": why_words(answer.why)})
    if answer.fit is core.Fit.CHECK_DUE:
        raise CannotDecide(_("Check due: weigh %(name)s first.") % {"name": athlete.person.given_name})
