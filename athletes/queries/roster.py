"""Rosters in and out: who is known, how a draft reads. What importing it would change stands in roster_preview."""

import hashlib
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import date
from decimal import Decimal
from typing import Any

from django.db.models import Q, QuerySet

from athletes import words
from athletes.core.roster.columns import BY_KEY, MEANINGS, Row, What, find_header, guess, headings, shown, signature
from athletes.core.roster.plan import (
    Entry,
    Known,
    plan,
)
from athletes.core.roster.rows import Choices, Reading, read_rows
from athletes.core.roster.sheet import lines
from athletes.core.roster.values import DateOrder
from athletes.models import Athlete, Measurement, RosterColumns, RosterDraft, Squad
from athletes.roster_files import loaded
from club.core.names import warning_key
from club.members import Member
from club.models import BarredContact, Club, Guardianship, Membership, Person
from club.words import is_imperial

MEASURED = {
    What.HEIGHT: Measurement.Kind.HEIGHT,
    What.STANDING_REACH: Measurement.Kind.STANDING_REACH,
}
SAMPLES = 3


def drafts(member: Member) -> QuerySet[RosterDraft]:
    return RosterDraft.objects.for_member(member).select_related("made_by").order_by("-made_at")


# --- who is known --------------------------------------------------------------------------------


def known(member: Member, day: date | None = None) -> list[Known]:
    """Everybody who is or was in the club. A fixed number of queries. day: of the measurements of a file."""
    club = member.club
    here: dict[Person, set[str]] = {}
    for row in Membership.objects.for_club(club).select_related("person").order_by("pk"):
        here.setdefault(row.person, set()).update({row.role} if row.left_on is None else set())
    profiles = {row.person_id: row for row in Athlete.objects.for_club(club).prefetch_related("squads")}
    ties: dict[Any, set[str]] = {}
    for guardian, child in Guardianship.objects.for_club(club).values_list("guardian_id", "child_id"):
        ties.setdefault(child, set()).add(str(guardian))
    barred = _barred(club)
    measured, then = _measured(club, day)
    away = Membership.objects.filter(person__in=here, left_on__isnull=True).exclude(club=club)
    elsewhere = set(away.values_list("person_id", flat=True))
    return [
        _known(person, roles, profiles.get(person.pk), ties, (measured, then), person.pk in elsewhere, barred)
        for person, roles in here.items()
    ]


Measured = dict[Any, dict[str, Decimal]]


def _measured(club: Club, day: date | None) -> tuple[Measured, Measured]:
    """By person the newest height and reach, and the newest up to that day."""
    kinds = {kind.value: what for what, kind in MEASURED.items()}
    rows = Measurement.objects.for_club(club).filter(kind__in=kinds).order_by("on")
    newest: Measured = {}
    then: Measured = {}
    for person, kind, value, on in rows.values_list("athlete__person_id", "kind", "value", "on"):
        newest.setdefault(person, {})[kinds[kind]] = value
        if day and on <= day:
            then.setdefault(person, {})[kinds[kind]] = value
    return newest, then


def _barred(club: Club) -> dict[Any, set[str]]:
    """Keys of the names that must not collect a child, by the child: tied or outside, and whatever a tie's "until"."""
    found: dict[Any, set[str]] = {}
    for tie in Guardianship.objects.for_club(club).filter(barred=True).select_related("guardian"):
        found.setdefault(tie.child_id, set()).add(warning_key(tie.guardian.full_name))
    for child, name in BarredContact.objects.for_club(club).values_list("child_id", "name"):
        found.setdefault(child, set()).add(warning_key(name))
    return found


def _known(
    person: Person,
    roles: set[str],
    profile: Athlete | None,
    ties: Mapping[Any, set[str]],
    measured: tuple[Measured, Measured],
    elsewhere: bool,
    barred: Mapping[Any, set[str]],
) -> Known:
    return Known(
        id=str(person.pk),
        given=person.given_name,
        family=person.family_name,
        born=person.birth_date,
        email=person.email,
        phone=person.phone,
        here=bool(roles),
        elsewhere=elsewhere,
        athlete=profile is not None and profile.left_on is None and "athlete" in roles,
        guardian="guardian" in roles,
        hand=profile.hand if profile else "",
        squads=frozenset(squad.name for squad in profile.squads.all()) if profile else frozenset(),
        measured=measured[0].get(person.pk, {}),
        measured_then=measured[1].get(person.pk, {}),
        guardians=frozenset(ties.get(person.pk, set())),
        barred=frozenset(barred.get(person.pk, set())),
    )


# --- a draft -------------------------------------------------------------------------------------


def own_headings() -> dict[str, str]:
    """The headings of our exports, and what they mean."""
    return {words.column_words(meaning.key): meaning.key for meaning in MEANINGS}


def first_choices(member: Member, rows: Sequence[Row]) -> dict[str, Any]:
    """How a new file is read: as the club mapped such columns before, else by what the headings say."""
    header = find_header(rows)
    names = headings(rows, header)
    before = RosterColumns.objects.for_member(member).filter(signature=signature_of(names)).first()
    guessed = {"columns": list(guess(names, own_headings())), "imperial": is_imperial(member.club)}
    choices = {"header": header, **(before.choices if before else guessed)}
    # What the club mapped before may have no meaning any more: body mass had one once.
    return {**choices, "columns": [key if key in BY_KEY else "" for key in choices["columns"]]}


def signature_of(names: Sequence[str]) -> str:
    return hashlib.sha256(signature(names).encode()).hexdigest()


def guessed(draft: RosterDraft, header: int) -> list[str]:
    """What the columns probably mean if the headings stand in that row."""
    return list(guess(headings(loaded(draft.cells), header), own_headings()))


def is_mapped(draft: RosterDraft) -> bool:
    """Whether a column holds the child's name, and the day of measurements is said where there are any."""
    columns = set(draft.choices["columns"])
    dated = draft.choices.get("measured_on") or not columns & set(map(str, MEASURED))
    return bool({str(What.NAME), str(What.GIVEN)} & columns and dated)


@dataclass(frozen=True, slots=True)
class Column:
    """A column to be mapped: its heading and the first of what stands below."""

    number: int
    heading: str
    samples: tuple[str, ...]


def columns(draft: RosterDraft, header: int) -> list[Column]:
    rows = loaded(draft.cells)
    below = rows[header + 1 :]
    return [
        Column(n, name, tuple([text for row in below if (text := shown(row[n]) if n < len(row) else "")][:SAMPLES]))
        for n, name in enumerate(headings(rows, header))
    ]


def choices_of(draft: RosterDraft) -> Choices:
    said = draft.choices
    order = said.get("date_order")
    return Choices(
        header=said["header"],
        columns=tuple(said["columns"]),
        date_order=DateOrder(order) if order else None,
        family_first=said.get("family_first", False),
        imperial=said.get("imperial", False),
        measured_on=date.fromisoformat(said["measured_on"]) if said.get("measured_on") else None,
    )


def reading(draft: RosterDraft, today: date) -> Reading:
    return read_rows(loaded(draft.cells), choices_of(draft), today)


def entries(member: Member, draft: RosterDraft, today: date, answers: Mapping[str, str]) -> tuple[Entry, ...]:
    return plan(reading(draft, today).rows, known(member, choices_of(draft).measured_on), answers)


def stamp(found: Sequence[Entry]) -> str:
    """Changes whenever what an import would do changes."""
    return hashlib.sha256(repr(found).encode()).hexdigest()


# --- out -----------------------------------------------------------------------------------------


def export_lines(member: Member, today: date) -> list[tuple[str, ...]]:
    """All athletes of the club with the guardians they have today, none barred; no body masses."""
    people = {one.id: one for one in known(member)}
    left_out = Guardianship.objects.for_club(member.club).filter(Q(barred=True) | Q(until__lt=today))
    for guardian, child in left_out.values_list("guardian_id", "child_id"):
        if one := people.get(str(child)):
            people[one.id] = replace(one, guardians=one.guardians - {str(guardian)})
    children = sorted((one for one in people.values() if one.athlete), key=lambda one: (one.key, one.id))
    names = {meaning.key: words.column_words(meaning.key) for meaning in MEANINGS}
    return list(lines(children, people, names))


def squads_by_name(member: Member) -> dict[str, Squad]:
    return {squad.name.casefold(): squad for squad in Squad.objects.for_member(member)}
