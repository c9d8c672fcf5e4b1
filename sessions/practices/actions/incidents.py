"""Incidents: opened by hand or by the tap that takes an athlete out injured; what is known is added, never changed."""

from datetime import datetime
from uuid import UUID

from django.db import transaction
from django.utils.translation import gettext as _
from django.utils.translation import gettext_noop

from athletes.actions.restrictions import restrict
from athletes.core.restrictions import ALL
from athletes.models import Athlete
from club import audit
from club.members import Member
from sessions.practices.models import Incident, IncidentEntry, Practice

ENTRY = ("place", "happened", "done", "told", "witness", "private")


def open_from_event(*, by: Member, practice: Practice, athlete: UUID, at: datetime, source: UUID) -> None:
    """An athlete was taken out injured on a device. Runs in the transaction of the event; once an event."""
    Incident.objects.get_or_create(
        club=by.club,
        source=source,
        defaults={"practice": practice, "athlete_id": athlete, "at": at, "opened_by": by.person},
    )


def open_incident(
    *, by: Member, practice: Practice, athlete: Athlete, at: datetime, now: datetime, head: bool = False, **words: str
) -> Incident:
    """Opens a record with its first account, or adds that to one which a tap has opened and nobody has filled yet."""
    with transaction.atomic():
        rows = Incident.objects.for_club(by.club).select_for_update(of=("self",))
        row = rows.filter(practice=practice, athlete=athlete, entries__isnull=True).order_by("-at").first()
        row = row or Incident.objects.create(
            club=by.club, practice=practice, athlete=athlete, at=at, opened_by=by.person
        )
        audit.note(by, gettext_noop("opened an incident"), row, {"athlete": str(athlete.pk)})
        _add(by, row, now, head, words)
    return row


def add_entry(*, by: Member, incident: Incident, now: datetime, head: bool = False, **words: str) -> None:
    """Adds to a record; nothing that stands there changes."""
    with transaction.atomic():
        row = Incident.objects.for_club(by.club).select_for_update(of=("self",)).get(pk=incident.pk)
        audit.note(by, gettext_noop("added to an incident"), row)
        _add(by, row, now, head, words)


def _add(by: Member, row: Incident, now: datetime, head: bool, words: dict[str, str]) -> None:
    IncidentEntry.objects.create(club=by.club, incident=row, at=now, by=by.person, **words)
    if head and not row.head:
        _rest(by, row)


def _rest(by: Member, row: Incident) -> None:
    """After a blow to the head nothing is done until a written clearance lifts it."""
    row.head = True
    row.restriction = restrict(
        by=by,
        athlete=row.athlete,
        what=_("nothing, after a blow to the head"),
        excludes=ALL,
        starts_on=row.practice.day,
        needs_clearance=True,
    )
    row.save(update_fields=["head", "restriction"])
