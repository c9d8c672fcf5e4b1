"""Measurements, emergency cards and the looks at them. Values stay out of the audit: it says that, never what."""

from collections.abc import Iterable
from datetime import date, datetime
from decimal import Decimal

from django.db import transaction
from django.utils.translation import gettext_noop

from athletes.models import Athlete, CardChange, CardLook, EmergencyCard, Measurement
from club import audit
from club.members import Member


def measure(*, by: Member, athlete: Athlete, kind: str, value: Decimal, on: date) -> Measurement:
    """Stores a measurement, in metres or kilograms; a second one of a day replaces the first."""
    with transaction.atomic():
        row, _ = Measurement.objects.update_or_create(
            athlete=athlete, kind=kind, on=on, defaults={"club": by.club, "value": value, "by": by.person}
        )
        audit.note(by, gettext_noop("measured an athlete"), athlete, {"kind": kind, "on": str(on)})
    return row


def remove_measurement(*, by: Member, measurement: Measurement) -> None:
    with transaction.atomic():
        Measurement.objects.for_member(by).filter(pk=measurement.pk).delete()
        values = {"kind": measurement.kind, "on": str(measurement.on)}
        audit.note(by, gettext_noop("removed a measurement"), measurement.athlete, values)


def keep_card(*, by: Member, athlete: Athlete, now: datetime, **words: str) -> EmergencyCard:
    """Writes an emergency card: allergies, medicines, conditions, also_call.

    What stood there is kept with who changed it. A guardian confirms with it all that the athlete wrote.
    """
    own = athlete.person_id == by.person.pk
    values = {"club": by.club, "kept_at": now, "kept_by": by.person, **words}
    with transaction.atomic():
        rows = EmergencyCard.objects.for_club(by.club).filter(athlete=athlete)
        before = rows.select_for_update().first()
        card, _ = EmergencyCard.objects.update_or_create(
            athlete=athlete, defaults=values if own else {**values, "confirmed_at": now}
        )
        CardChange.objects.bulk_create(
            CardChange(
                club=by.club, athlete=athlete, field=name, old=old, new=new, at=now, by=by.person, by_athlete=own
            )
            for name, new in words.items()
            if (old := getattr(before, name, "")) != new
        )
        audit.note(by, gettext_noop("wrote an emergency card"), athlete)
    return card


def look_at_cards(*, by: Member, athletes: Iterable[Athlete], now: datetime, practice_day: date) -> None:
    """Logs a look at each of these cards: whoever takes them along may read them without the server."""
    with transaction.atomic():
        for athlete in athletes:
            look_at_card(by=by, athlete=athlete, now=now, practice_day=practice_day)


def look_at_card(*, by: Member, athlete: Athlete, now: datetime, practice_day: date | None = None) -> None:
    """Logs that the member looks at this card now. The page shows the card in the same answer, never without."""
    with transaction.atomic():
        CardLook.objects.create(club=by.club, athlete=athlete, by=by.person, at=now, practice_day=practice_day)
        audit.note(by, gettext_noop("looked at an emergency card"), athlete)
