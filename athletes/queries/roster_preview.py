"""What importing a roster would change, in words: a row each child, and what has to be asked."""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from datetime import date
from decimal import Decimal

from django.utils.translation import gettext as _

from athletes import words
from athletes.core.roster.columns import What
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
from athletes.models import Athlete, RosterDraft
from athletes.queries.roster import choices_of, known, reading, squads_by_name, stamp
from club.members import Member
from club.words import day_words, length_words


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
