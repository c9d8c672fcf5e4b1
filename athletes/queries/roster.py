"""Rosters in and out: who is known, how a draft reads, what importing it would change, in words."""

import hashlib
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import date
from decimal import Decimal
from typing import Any

from django.db.models import Q, QuerySet
from django.utils.formats import date_format
from django.utils.translation import gettext as _

from athletes import words
from athletes.core.roster.columns import BY_KEY, MEANINGS, Row, What, find_header, guess, headings, shown, signature
from athletes.core.roster.plan import ACTS, Change, Entry, GuardianEntry, Known, Match, State, plan, question
from athletes.core.roster.rows import Choices, Reading, name_key, read_rows
from athletes.core.roster.sheet import lines
from athletes.core.roster.values import DateOrder
from athletes.models import Athlete, Measurement, RosterColumns, RosterDraft, Squad
from athletes.roster_files import loaded
from club.members import Member
from club.models import BarredContact, Club, Guardianship, Membership, Person
from club.words import is_imperial, length_words

MEASURED = {
    What.HEIGHT: Measurement.Kind.HEIGHT,
    What.STANDING_REACH: Measurement.Kind.STANDING_REACH,
}
SAMPLES = 3


def drafts(member: Member) -> QuerySet[RosterDraft]:
    return RosterDraft.objects.for_member(member).select_related("made_by").order_by("-made_at")


# --- who is known --------------------------------------------------------------------------------


def known(member: Member) -> list[Known]:
    """Everybody who is or was in the club. A fixed number of queries."""
    club = member.club
    here: dict[Person, set[str]] = {}
    for row in Membership.objects.for_club(club).select_related("person").order_by("pk"):
        here.setdefault(row.person, set()).update({row.role} if row.left_on is None else set())
    profiles = {row.person_id: row for row in Athlete.objects.for_club(club).prefetch_related("squads")}
    ties: dict[Any, set[str]] = {}
    for guardian, child in Guardianship.objects.for_club(club).values_list("guardian_id", "child_id"):
        ties.setdefault(child, set()).add(str(guardian))
    barred = _barred(club)
    measured: dict[Any, dict[str, Decimal]] = {}
    kinds = {kind.value: what for what, kind in MEASURED.items()}
    for person, kind, value in (
        Measurement.objects.for_club(club)
        .filter(kind__in=kinds)
        .order_by("on")
        .values_list("athlete__person_id", "kind", "value")
    ):
        measured.setdefault(person, {})[kinds[kind]] = value
    away = Membership.objects.filter(person__in=here, left_on__isnull=True).exclude(club=club)
    elsewhere = set(away.values_list("person_id", flat=True))
    return [
        _known(person, roles, profiles.get(person.pk), ties, measured, person.pk in elsewhere, barred)
        for person, roles in here.items()
    ]


def _barred(club: Club) -> dict[Any, set[str]]:
    """Keys of the names that must not collect a child, by the child: tied or outside, and whatever a tie's "until"."""
    found: dict[Any, set[str]] = {}
    for tie in Guardianship.objects.for_club(club).filter(barred=True).select_related("guardian"):
        found.setdefault(tie.child_id, set()).add(name_key(tie.guardian.given_name, tie.guardian.family_name))
    for child, name in BarredContact.objects.for_club(club).values_list("child_id", "name"):
        found.setdefault(child, set()).add(name_key(name, ""))
    return found


def _known(
    person: Person,
    roles: set[str],
    profile: Athlete | None,
    ties: Mapping[Any, set[str]],
    measured: Mapping[Any, dict[str, Decimal]],
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
        measured=measured.get(person.pk, {}),
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
    """Whether a column holds the child's name; without one nothing can be read."""
    return bool({str(What.NAME), str(What.GIVEN)} & set(draft.choices["columns"]))


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
    )


def reading(draft: RosterDraft, today: date) -> Reading:
    return read_rows(loaded(draft.cells), choices_of(draft), today)


def entries(member: Member, draft: RosterDraft, today: date, answers: Mapping[str, str]) -> tuple[Entry, ...]:
    return plan(reading(draft, today).rows, known(member), answers)


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


def preview(member: Member, found: Sequence[Entry], answers: Mapping[str, str]) -> list[PreviewRow]:
    people = {one.id: one for one in known(member)}
    return [_preview_row(member, entry, people, answers) for entry in found]


def _preview_row(member: Member, entry: Entry, people: Mapping[str, Known], answers: Mapping[str, str]) -> PreviewRow:
    row = entry.row
    guardians = [_guardian_words(one) for one in entry.guardians]
    changes = [_change_words(member, change) for change in entry.changes]
    if entry.match.state is State.NEW and not row.hand:
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


def _change_words(member: Member, change: Change) -> str:
    if change.what in ACTS:
        return words.change_words(change.what)
    values = {"what": words.change_words(change.what), "new": _value(member, change.what, change.new)}
    if not change.old or change.what == What.SQUADS:
        return _("%(what)s: adds %(new)s") % values
    return _("%(what)s: %(new)s instead of %(old)s") % {**values, "old": _value(member, change.what, change.old)}


def _value(member: Member, what: str, text: str) -> str:
    if what in (What.HEIGHT, What.STANDING_REACH):
        return length_words(Decimal(text), member.club)
    if what == What.HAND:
        return str(dict(Athlete.Hand.choices).get(text, text))
    return date_format(date.fromisoformat(text)) if what == What.BORN else text


def _guardian_words(one: GuardianEntry) -> str:
    name = f"{one.row.given} {one.row.family}".strip()
    if one.barred:
        return _("%(name)s must not collect this child; nothing is tied") % {"name": name}
    if one.match.state is State.NEW:
        return _("new guardian: %(name)s") % {"name": name}
    if not one.changes:
        return ""
    said = ", ".join(words.change_words(change.what) for change in one.changes)
    return _("guardian %(name)s: %(changes)s") % {"name": name, "changes": said}


def _asked(match: Match, name: str, who: str, people: Mapping[str, Known], answers: Mapping[str, str]) -> Asked | None:
    """Asked again while there is an answer, so that it can be changed."""
    if match.state is not State.ASK and name not in answers:
        return None
    candidates = match.candidates or tuple(one.id for one in people.values() if one.id == answers.get(name))
    options = [(one, _same_words(people[one])) for one in candidates if one in people]
    return Asked(name, who.strip(), (*options, ("new", _("somebody else, a new person"))), answers.get(name, ""))


def _same_words(one: Known) -> str:
    about = [date_format(one.born)] if one.born else []
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
