"""Reads of the sporting profile: what a coach's page of one athlete shows, by what the member may read."""

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date, timedelta
from uuid import UUID

from django.db.models import QuerySet

from athletes.core import poles as pole_core
from athletes.models import (
    Athlete,
    AthleteNote,
    CardChange,
    CardLook,
    Decision,
    EmergencyCard,
    Measurement,
    NotebookEntry,
    Pole,
    Restriction,
    Squad,
)
from club.members import Member
from club.models import BarredContact, Club, Guardianship, Person
from club.roles import Permission
from drills.models import Drill

SHOWN_ENTRIES = 12
SHOWN_LOOKS = 10
SHOWN_CHANGES = 10


def squads(member: Member) -> QuerySet[Squad]:
    return Squad.objects.for_member(member).order_by("name")


def profile_of(member: Member, person: Person) -> Athlete | None:
    """The profile of that person in this club, in use or not."""
    return Athlete.objects.for_member(member).filter(person=person).first()


def notes(member: Member, athlete: Athlete) -> QuerySet[AthleteNote]:
    """Those that the member may read, newest first: only the head coach reads the head coach's."""
    rows = AthleteNote.objects.for_member(member).filter(athlete=athlete).select_related("by", "athlete__person")
    return rows if member.may(Permission.ATHLETE_EDIT) else rows.exclude(reader=AthleteNote.Reader.HEAD)


@dataclass(frozen=True, slots=True)
class RestrictionLine:
    """row.reason is shown only where the member may read it. binds: today."""

    row: Restriction
    binds: bool


def restrictions(member: Member, athlete: Athlete, today: date) -> list[RestrictionLine]:
    """All of them, those that bind today first."""
    rows = Restriction.objects.for_member(member).filter(athlete=athlete).select_related("reported_by", "lifted_by")
    bound = set(rows.filter(Restriction.binding_on(today)).values_list("pk", flat=True))
    lines = [RestrictionLine(row, row.pk in bound) for row in rows.order_by("-starts_on", "pk")]
    return sorted(lines, key=lambda line: not line.binds)


def measurements(member: Member, athlete: Athlete) -> list[Measurement]:
    """The newest of each kind, in the order of the kinds."""
    newest: dict[str, Measurement] = {}
    for row in Measurement.objects.for_member(member).filter(athlete=athlete).order_by("on"):
        newest[row.kind] = row
    return [newest[kind] for kind in Measurement.Kind.values if kind in newest]


def evidence(member: Member, athlete_ids: Iterable[UUID], today: date) -> dict[UUID, pole_core.Evidence]:
    """By athlete, the newest mass or clearance up to today. One query.

    For whoever may be told *fits* or not: an assistant too, though the mass itself is not theirs to read.
    """
    rows = Measurement.objects.for_club(member.club).filter(
        athlete__in=list(athlete_ids), kind__in=Measurement.MASSES, on__lte=today
    )
    found: dict[UUID, list[pole_core.Evidence]] = {}
    for athlete_id, value, on in rows.values_list("athlete_id", "value", "on"):
        found.setdefault(athlete_id, []).append(pole_core.Evidence(value, on))
    newest = {athlete_id: pole_core.latest(values, today) for athlete_id, values in found.items()}
    return {athlete_id: value for athlete_id, value in newest.items() if value}


@dataclass(frozen=True, slots=True)
class PoleFit:
    tag: str
    answer: pole_core.Answer


def pole_fits(member: Member, athlete: Athlete, today: date) -> list[PoleFit]:
    """Each pole in use for this athlete, with their newest grip of a pole; by tag. Three queries."""
    known = evidence(member, [athlete.pk], today).get(athlete.pk)
    grips = NotebookEntry.objects.for_member(member).filter(athlete=athlete, grip_m__isnull=False, on__lte=today)
    grip = grips.order_by("-on", "-pk").values_list("grip_m", flat=True).first()
    poles = Pole.objects.for_member(member).filter(state=Pole.State.IN_USE)
    return [PoleFit(pole.tag, pole_core.check(pole.value(), known, today, grip)) for pole in poles]


def last_poles(member: Member, athletes: Iterable[UUID], day: date, within: timedelta) -> dict[UUID, Pole]:
    """The pole in use that each was last noted with, within that time before the day. One query."""
    rows = NotebookEntry.objects.for_member(member).filter(athlete__in=list(athletes), pole__state=Pole.State.IN_USE)
    recent = rows.filter(on__gt=day - within, on__lte=day).select_related("pole").order_by("on", "pk")
    return {row.athlete_id: row.pole for row in recent if row.pole}


def check_is_due(member: Member, athlete: Athlete, today: date) -> bool:
    return pole_core.is_due(evidence(member, [athlete.pk], today).get(athlete.pk), today)


def poles(member: Member) -> QuerySet[Pole]:
    """Those in use first, by tag."""
    return Pole.objects.for_member(member).order_by("state", "tag")


def entries(member: Member, athlete: Athlete) -> list[NotebookEntry]:
    """The newest in the notebook; poles by tag."""
    rows = NotebookEntry.objects.for_member(member).filter(athlete=athlete)
    return list(rows.select_related("drill", "pole").order_by("-on", "-pk")[:SHOWN_ENTRIES])


def placements(member: Member, athlete: Athlete) -> list[Decision]:
    """ "Placed here by … on …", newest first; what was taken back is left out."""
    rows = Decision.objects.for_member(member).filter(athlete=athlete, kind=Decision.Kind.PLACE, taken_back_by=None)
    return list(rows.select_related("drill", "by"))


def drills_in_use(member: Member) -> QuerySet[Drill]:
    return Drill.objects.for_member(member).filter(retired=False).order_by("stage__number", "order", "name")


# --- emergency cards -----------------------------------------------------------------------------


@dataclass(frozen=True, slots=True)
class Card:
    """What the adult in charge reads. card None: nobody has filled one in. barred: names, whoever they are.
    unconfirmed: what the athlete changed since a guardian last kept it, with what stood there then."""

    athlete: Athlete
    card: EmergencyCard | None
    unconfirmed: list[CardChange]
    changes: list[CardChange]
    guardians: list[Guardianship]
    barred: list[str]


def card(club: Club, athlete: Athlete, today: date) -> Card:
    """The whole card; who is barred stays so, whatever the tie's "until".

    The caller has logged the look (``actions.body.look_at_card``) in the same request.
    """
    ties = Guardianship.objects.for_club(club).filter(child=athlete.person_id).select_related("guardian")
    ties = ties.exclude(until__lt=today, barred=False).order_by("-may_collect", "guardian__given_name", "pk")
    outside = BarredContact.objects.for_club(club).filter(child=athlete.person_id)
    barred = [tie.guardian.full_name for tie in ties if tie.barred]
    barred += [f"{row.name} ({row.note})" if row.note else row.name for row in outside.order_by("name")]
    kept = EmergencyCard.objects.for_club(club).filter(athlete=athlete).select_related("kept_by").first()
    return Card(
        athlete=athlete,
        card=kept,
        unconfirmed=unconfirmed(club, kept),
        changes=list(_newest_changes(CardChange.objects.for_club(club), athlete)),
        guardians=[tie for tie in ties if not tie.barred],
        barred=barred,
    )


def own_card(member: Member, athlete: Athlete) -> EmergencyCard | None:
    """For whoever keeps it: a guardian, or the athlete."""
    return EmergencyCard.objects.for_member(member).filter(athlete=athlete).select_related("kept_by").first()


def unconfirmed(club: Club, card: EmergencyCard | None) -> list[CardChange]:
    """What the athlete changed since a guardian last kept the card: of each field the first change, whose
    ``old`` is the guardian's; fields that say that again are left out."""
    if card is None or card.confirmed_at is None:
        return []
    rows = CardChange.objects.for_club(club).filter(athlete=card.athlete_id, by_athlete=True, at__gt=card.confirmed_at)
    first: dict[str, CardChange] = {}
    for row in rows.select_related("by").order_by("at", "pk"):
        first.setdefault(row.field, row)
    return [row for row in first.values() if row.old != getattr(card, row.field)]


def card_changes(member: Member, athlete: Athlete) -> list[CardChange]:
    """Who changed what on the card, newest first."""
    return list(_newest_changes(CardChange.objects.for_member(member), athlete))


def _newest_changes(rows: QuerySet[CardChange], athlete: Athlete) -> QuerySet[CardChange]:
    return rows.filter(athlete=athlete).select_related("by").order_by("-at", "-pk")[:SHOWN_CHANGES]


def looks(member: Member, athlete: Athlete) -> list[CardLook]:
    """Who looked at the card, newest first."""
    rows = CardLook.objects.for_member(member).filter(athlete=athlete).select_related("by")
    return list(rows.order_by("-at", "-pk")[:SHOWN_LOOKS])
