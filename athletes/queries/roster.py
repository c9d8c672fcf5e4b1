"""Rosters in and out: who is known, how a draft reads, what importing it would change, in words."""

import hashlib
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import date
from decimal import Decimal
from typing import Any

from django.db.models import Q, QuerySet
from django.utils.translation import gettext as _

from athletes import words
from athletes.core.roster.columns import BY_KEY, MEANINGS, Row, What, find_header, guess, headings, shown, signature
from athletes.core.roster.plan import (
    ACTS,
    NEW_TIE,
    Change,
    Entry,
    GuardianEntry,
    Known,
    Match,
    State,
    plan,
    question,
    stored,
    stored_of_guardian,
)
from athletes.core.roster.rows import Choices, Reading, read_rows
from athletes.core.roster.sheet import lines
from athletes.core.roster.values import DateOrder
from athletes.models import Athlete, Measurement, RosterColumns, RosterDraft, Squad
from athletes.roster_files import loaded
from club.core.names import warning_key
from club.members import Member
from club.models import BarredContact, Club, Guardianship, Membership, Person
from club.words import day_words, is_imperial, length_words

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


# --- the preview, in words -----------------------------------------------------------------------


@dataclass(frozen=True, slots=True)
class Asked:
    """A question of the preview. options: answer and words; said: the answer given so far."""

    name: str
    who: str
    options: tuple[tuple[str, str], ...]
    said: str


@dataclass(frozen=True, slots=True)
class PreviewRow:
    number: int
    name: str
    born: date | None
    state: str
    lines: tuple[str, ...]
    asked: tuple[Asked, ...]
    settled: bool


@dataclass(frozen=True, slots=True)
class Preview:
    """rows: of the answers given so far. new_squads: names. stamp: of the entries without any answer."""

    rows: list[PreviewRow]
    new_squads: list[str]
    stamp: str


def preview(member: Member, draft: RosterDraft, today: date, answers: Mapping[str, str]) -> Preview:
    """What importing the draft would change, in words. Reads the club once."""
    day, read = choices_of(draft).measured_on, reading(draft, today).rows
    people = {one.id: one for one in known(member, day)}
    found = plan(read, people.values(), answers)
    there = set(squads_by_name(member))
    words = _Words(member, day, there)
    return Preview(
        rows=[_preview_row(words, entry, people, answers) for entry in found],
        new_squads=_new_squads(found, there),
        stamp=stamp(plan(read, people.values(), {})),
    )


def _new_squads(found: Iterable[Entry], there: set[str]) -> list[str]:
    named = {name.casefold(): name for entry in found for name in entry.row.squads if not entry.settled}
    return sorted(name for key, name in named.items() if key not in there)


def _preview_row(words: "_Words", entry: Entry, people: Mapping[str, Known], answers: Mapping[str, str]) -> PreviewRow:
    row = entry.row
    guardians = [words.guardian(one) for one in entry.guardians]
    new = entry.match.state is State.NEW
    changes = [words.change(change) for change in stored(entry) if not (new and change.what == What.BORN)]
    if new and not row.hand:
        changes.append(_("hand not given: entered as right-handed"))
    asked = [_asked(entry.match, question(row.number), f"{row.given} {row.family}", people, answers)]
    for one in entry.guardians:
        name = f"{one.row.given} {one.row.family}"
        asked.append(_asked(one.match, question(row.number, one.number), name, people, answers))
    return PreviewRow(
        number=row.number,
        name=f"{row.given} {row.family}".strip(),
        born=row.born,
        state=_state_words(entry),
        lines=(*changes, *(line for line in guardians if line)),
        asked=tuple(one for one in asked if one),
        settled=entry.settled,
    )


def _state_words(entry: Entry) -> str:
    if entry.asks:
        return _("to be answered")
    if entry.match.state is State.NEW:
        return _("new")
    return _("nothing changes") if entry.settled else _("would change")


@dataclass(frozen=True, slots=True)
class _Words:
    """Says changes in the club's units. day: of the file's measurements. squads: keys of those that are there."""

    member: Member
    day: date | None
    squads: set[str]

    def change(self, change: Change) -> str:
        if change.what in ACTS:
            return words.change_words(change.what)
        values = {"what": words.change_words(change.what), "new": self.value(change.what, change.new)}
        if not change.old or change.what == What.SQUADS:
            return _("%(what)s: %(new)s") % values
        return _("%(what)s: %(new)s instead of %(old)s") % {**values, "old": self.value(change.what, change.old)}

    def value(self, what: str, text: str) -> str:
        match what:
            case What.HEIGHT | What.STANDING_REACH:
                said = length_words(Decimal(text), self.member.club)
                return _("%(length)s on %(day)s") % {"length": said, "day": day_words(self.day)} if self.day else said
            case What.HAND:
                return str(dict(Athlete.Hand.choices).get(text, text))
            case What.BORN:
                return day_words(date.fromisoformat(text))
            case What.SQUADS:
                return ", ".join(map(self.squad, text.split(", ")))
            case _:
                return text

    def squad(self, name: str) -> str:
        return name if name.casefold() in self.squads else _("%(squad)s (a new squad)") % {"squad": name}

    def guardian(self, one: GuardianEntry) -> str:
        name = f"{one.row.given} {one.row.family}".strip()
        if one.barred:
            return _("%(name)s must not collect this child; nothing is tied") % {"name": name}
        said = ", ".join(map(self.change, stored_of_guardian(one)))
        if one.match.state is State.NEW:
            return _("new guardian with every right: %(who)s") % {"who": f"{name}, {said}" if said else name}
        if not said:
            return ""
        tied = any(change.what == NEW_TIE for change in one.changes)
        with_rights = _("%(changes)s, with every right") % {"changes": said} if tied else said
        return _("guardian %(name)s: %(changes)s") % {"name": name, "changes": with_rights}


def _asked(match: Match, name: str, who: str, people: Mapping[str, Known], answers: Mapping[str, str]) -> Asked | None:
    """Asked again while there is an answer, so that it can be changed."""
    if match.state is not State.ASK and name not in answers:
        return None
    candidates = match.candidates or tuple(one.id for one in people.values() if one.id == answers.get(name))
    options = [(one, _same_words(people[one])) for one in candidates if one in people]
    return Asked(name, who.strip(), (*options, ("new", _("somebody else, a new person"))), answers.get(name, ""))


def _same_words(one: Known) -> str:
    about = [day_words(one.born)] if one.born else []
    about += [one.phone or one.email] if one.phone or one.email else []
    return _("the same: %(name)s (%(about)s)") % {
        "name": f"{one.given} {one.family}".strip(),
        "about": ", ".join(about) or _("no date of birth, no contact"),
    }


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
