"""Incidents for the head coach, whoever is in charge and the safeguarding officer; their plain part for guardians."""

from dataclasses import dataclass
from datetime import date, datetime

from django.db.models import Prefetch, QuerySet

from athletes.models import Athlete
from club.members import Member
from sessions.practices.models import Incident, IncidentEntry, Practice
from sessions.practices.queries.cards import card_athletes, in_charge


def incidents(member: Member) -> QuerySet[Incident]:
    """Those that the member may see, newest first, each with its entries."""
    rows = Incident.objects.for_member(member).select_related("athlete__person", "practice__venue", "opened_by")
    entries = IncidentEntry.objects.for_club(member.club).select_related("by")
    return rows.prefetch_related(Prefetch("entries", entries)).order_by("-at", "pk")


def athletes_of(member: Member, practice: Practice) -> QuerySet[Athlete]:
    """Whom an incident of this practice may be about: whoever is expected or there."""
    found = [athlete.pk for athlete in card_athletes(member, practice)]
    return Athlete.objects.for_member(member).filter(pk__in=found).select_related("person")


def may_read(member: Member, practice: Practice, now: datetime) -> bool:
    """Whether the member, acting with INCIDENT_READ, reads this practice's incidents in full now."""
    return bool(member.relations) and in_charge(member, practice, now)


def of_practice(member: Member, practice: Practice, now: datetime) -> list[Incident]:
    """In full, for whoever may read them now; else none."""
    return list(incidents(member).filter(practice=practice)) if may_read(member, practice, now) else []


@dataclass(frozen=True, slots=True)
class PlainPart:
    """What a guardian reads of an incident: that it was, where, and what was done; no word of other people."""

    day: date
    place: str
    happened: tuple[str, ...]
    done: tuple[str, ...]


def plain_parts(member: Member, athlete: Athlete, since: date) -> list[PlainPart]:
    """For a guardian of the athlete, once an entry says that a guardian was told."""
    rows = Incident.objects.for_member(member).filter(athlete=athlete, practice__day__gte=since)
    told = rows.filter(pk__in=IncidentEntry.objects.for_club(member.club).exclude(told="").values("incident"))
    entries = Prefetch("entries", IncidentEntry.objects.for_club(member.club))
    return [_plain(row) for row in told.select_related("practice").prefetch_related(entries).order_by("-at")]


def _plain(row: Incident) -> PlainPart:
    entries = list(row.entries.all())
    return PlainPart(
        day=row.practice.day,
        place=next((entry.place for entry in entries if entry.place), ""),
        happened=tuple(entry.happened for entry in entries if entry.happened),
        done=tuple(entry.done for entry in entries if entry.done),
    )
