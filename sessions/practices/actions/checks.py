"""Stations are checked by name before they open, and anew when the set-up changes; broken kit is written down."""

from collections.abc import Collection
from datetime import datetime

from django.db import IntegrityError, transaction
from django.utils.translation import gettext as _
from django.utils.translation import gettext_noop

from club import audit
from club.members import Member
from club.models import Area
from sessions.practices.actions.errors import NotNow
from sessions.practices.core.checks import items_of
from sessions.practices.models import KitFault, Practice, Station, StationCheck
from sessions.practices.queries.plan import adult_levels


def check_station(*, by: Member, station: Station, items: Collection[str], now: datetime) -> StationCheck:
    """Every item was looked at and is right. Raises NotNow for a missing item, for whoever holds no adult level, and
    when somebody was faster."""
    wanted = items_of(station.area.kind)
    if by.person.pk not in adult_levels(by, [by.person.pk]):
        raise NotNow(_("Only an adult with a level checks a station."))
    if set(items) != set(wanted):
        raise NotNow(
            _("Every line has to be checked. What is not right keeps the station shut: write down what is broken.")
        )
    try:
        with transaction.atomic():
            row = StationCheck.objects.create(club=by.club, station=station, items=list(wanted), at=now, by=by.person)
            audit.note(by, gettext_noop("checked a station"), station, {"items": list(wanted)})
    except IntegrityError:
        raise NotNow(_("Somebody has checked this station already.")) from None
    return row


def end_check(*, by: Member, station: Station, now: datetime) -> None:
    """The set-up has changed: the station is checked anew before it goes on. Raises NotNow if no check stands."""
    with transaction.atomic():
        rows = StationCheck.objects.for_member(by).filter(station=station, ended_at__isnull=True)
        if not rows.update(ended_at=now, ended_by=by.person):
            raise NotNow(_("This station is not checked."))
        audit.note(by, gettext_noop("changed the set-up of a station"), station)


def report_kit(*, by: Member, practice: Practice, what: str, area: Area | None, now: datetime) -> KitFault:
    """Something is broken. A check of the station at that place no longer stands."""
    with transaction.atomic():
        row = KitFault.objects.create(
            club=by.club, venue=practice.venue, area=area, practice=practice, what=what, at=now, by=by.person
        )
        if area:
            checks = StationCheck.objects.for_member(by).filter(station__practice=practice, station__area=area)
            checks.filter(ended_at__isnull=True).update(ended_at=now, ended_by=by.person)
        audit.note(by, gettext_noop("reported broken kit"), row, {"what": what})
    return row


def mend_kit(*, by: Member, kit: KitFault, now: datetime) -> None:
    """It is whole again. Raises NotNow if it was before."""
    with transaction.atomic():
        rows = KitFault.objects.for_member(by).filter(pk=kit.pk, mended_at__isnull=True)
        if not rows.update(mended_at=now, mended_by=by.person):
            raise NotNow(_("This was mended already."))
        audit.note(by, gettext_noop("mended kit"), kit, {"what": kit.what})
