"""What importing a roster would change: who is new, who is recognised, what would be written, what must be asked.

A child is recognised by name and date of birth. A guardian is recognised by name and tie to that child, or by name and
a contact that agrees. Whoever shares only a name is asked about. Empty cells change nothing, and nothing is taken away.
"""

import enum
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, field
from datetime import date
from decimal import Decimal

from athletes.core.roster.columns import What
from athletes.core.roster.rows import ChildRow, GuardianRow, name_key
from club.core.names import warning_key

NEW_PERSON = "new"


@dataclass(frozen=True, slots=True)
class Known:
    """Somebody in the club. here: is a member now. elsewhere: of another club too, so that their contacts are not this
    club's to change. athlete: with a profile in use. measured: the newest; measured_then: as of the day of the file.
    guardians: ids of those tied. barred: ``warning_key`` of names that must not
    collect this child."""

    id: str
    given: str
    family: str
    born: date | None = None
    email: str = ""
    phone: str = ""
    here: bool = True
    elsewhere: bool = False
    athlete: bool = False
    guardian: bool = False
    hand: str = ""
    squads: frozenset[str] = frozenset()
    measured: Mapping[str, Decimal] = field(default_factory=dict)
    measured_then: Mapping[str, Decimal] = field(default_factory=dict)
    guardians: frozenset[str] = frozenset()
    barred: frozenset[str] = frozenset()

    @property
    def key(self) -> str:
        return name_key(self.given, self.family)


class State(enum.Enum):
    """ASK: shares a name with somebody, and the coach has to say whether it is the same person."""

    NEW = "new"
    KNOWN = "known"
    ASK = "ask"


@dataclass(frozen=True, slots=True)
class Change:
    """What would be written, and what stands there now ("" for nothing). what: a ``What``, or a word of ``ACTS``."""

    what: str
    old: str
    new: str


COMES_BACK, BECOMES_ATHLETE, BECOMES_GUARDIAN, NEW_TIE = "comes back", "becomes athlete", "becomes guardian", "new tie"
ACTS = (COMES_BACK, BECOMES_ATHLETE, BECOMES_GUARDIAN, NEW_TIE)


@dataclass(frozen=True, slots=True)
class Match:
    """person: id where KNOWN. candidates: ids where ASK."""

    state: State
    person: str = ""
    candidates: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class GuardianEntry:
    """identity: the same for one new guardian of several children in the file. number: 1 … in the row. barred: has the
    name of somebody who must not collect this child, so that nothing of these columns is written."""

    number: int
    row: GuardianRow
    match: Match
    identity: str
    changes: tuple[Change, ...] = ()
    barred: bool = False


@dataclass(frozen=True, slots=True)
class Entry:
    row: ChildRow
    match: Match
    changes: tuple[Change, ...]
    guardians: tuple[GuardianEntry, ...]

    @property
    def asks(self) -> bool:
        return any(match.state is State.ASK for match in (self.match, *(one.match for one in self.guardians)))

    @property
    def settled(self) -> bool:
        """Everything in it is in the club already: importing it changes nothing."""
        people = (self.match, *(one.match for one in self.guardians if not one.barred))
        changes = (*self.changes, *(change for one in self.guardians for change in one.changes))
        return all(match.state is State.KNOWN for match in people) and not changes


def question(row: int, guardian: int = 0) -> str:
    """The name under which the answer about a person is kept: "7", "7.g1"."""
    return f"{row}.g{guardian}" if guardian else str(row)


def plan(rows: Sequence[ChildRow], known: Iterable[Known], answers: Mapping[str, str]) -> tuple[Entry, ...]:
    """One entry for each row. answers: by ``question``, the id of the person it is, or ``NEW_PERSON``."""
    people = {one.id: one for one in known}
    by_key: dict[str, list[Known]] = {}
    for one in people.values():
        by_key.setdefault(one.key, []).append(one)
    return tuple(_entry(row, people, by_key, answers) for row in rows)


def _entry(
    row: ChildRow, people: Mapping[str, Known], by_key: Mapping[str, list[Known]], answers: Mapping[str, str]
) -> Entry:
    same_name = by_key.get(name_key(row.given, row.family), [])
    match = _answered(_match_child(row, same_name), answers.get(question(row.number)))
    child = people.get(match.person)
    guardians = tuple(
        _guardian(row, n, one, child, people, by_key, answers) for n, one in enumerate(row.guardians, start=1)
    )
    return Entry(row, match, tuple(_child_changes(row, child)) if child else (), guardians)


def _match_child(row: ChildRow, same_name: Sequence[Known]) -> Match:
    possible = [one for one in same_name if one.born is None or row.born is None or one.born == row.born]
    sure = [one for one in possible if one.born is not None and one.born == row.born]
    if len(sure) == 1:
        return Match(State.KNOWN, sure[0].id)
    # A grown-up who shares the name and has no date of birth may be the parent the child is named after: asked too.
    return Match(State.ASK, candidates=tuple(one.id for one in sure or possible)) if possible else Match(State.NEW)


def _answered(match: Match, answer: str | None) -> Match:
    if match.state is not State.ASK or answer is None:
        return match
    if answer == NEW_PERSON:
        return Match(State.NEW)
    return Match(State.KNOWN, answer) if answer in match.candidates else match


def _child_changes(row: ChildRow, child: Known) -> Iterable[Change]:
    if not child.here:
        yield Change(COMES_BACK, "", "")
    elif not child.athlete:
        yield Change(BECOMES_ATHLETE, "", "")
    if row.born and child.born is None and not child.elsewhere:
        yield Change(What.BORN, "", row.born.isoformat())
    for what, said in ((What.HAND, row.hand), (What.EMAIL, row.email), (What.PHONE, row.phone)):
        there = str(getattr(child, what))
        if said and said != there and (what is What.HAND or not child.elsewhere):
            yield Change(what, there, said)
    added = [squad for squad in row.squads if squad.casefold() not in {one.casefold() for one in child.squads}]
    if added:
        yield Change(What.SQUADS, ", ".join(sorted(child.squads)), ", ".join(added))
    measures = (
        (What.HEIGHT, row.height_m),
        (What.STANDING_REACH, row.standing_reach_m),
    )
    for what, measure in measures:
        if measure is not None and measure not in (child.measured.get(what), child.measured_then.get(what)):
            yield Change(what, str(child.measured_then.get(what, "")), str(measure))


_NOBODY = Known(id="", given="", family="", athlete=True, guardian=True)


def stored(entry: Entry) -> tuple[Change, ...]:
    """All that importing the row would write about the child, beside the name: for a new one everything it says."""
    if entry.match.state is State.NEW:
        return tuple(_child_changes(entry.row, _NOBODY))
    return entry.changes


def stored_of_guardian(one: GuardianEntry) -> tuple[Change, ...]:
    """The same of a guardian; the tie itself is left out for a new one, who has none yet."""
    if one.match.state is State.NEW:
        return tuple(change for change in _guardian_changes(one.row, _NOBODY, None) if change.what != NEW_TIE)
    return one.changes


def _guardian(
    row: ChildRow,
    number: int,
    said: GuardianRow,
    child: Known | None,
    people: Mapping[str, Known],
    by_key: Mapping[str, list[Known]],
    answers: Mapping[str, str],
) -> GuardianEntry:
    key = name_key(said.given, said.family)
    if child and warning_key(f"{said.given} {said.family}") in child.barred:
        return GuardianEntry(number, said, Match(State.NEW), _identity(row, said), barred=True)
    same_name = [one for one in by_key.get(key, []) if child is None or one != child]
    match = _answered(_match_guardian(said, same_name, child), answers.get(question(row.number, number)))
    person = people.get(match.person)
    changes = tuple(_guardian_changes(said, person, child)) if person else ()
    return GuardianEntry(number, said, match, _identity(row, said), changes)


def _match_guardian(said: GuardianRow, same_name: Sequence[Known], child: Known | None) -> Match:
    tied = [one for one in same_name if child and one.id in child.guardians]
    agree = [one for one in same_name if _contacts(one.email, one.phone) & _contacts(said.email, said.phone)]
    for sure in (tied, agree):
        if len(sure) == 1:
            return Match(State.KNOWN, sure[0].id)
    possible = [one for one in same_name if not one.athlete]
    return Match(State.ASK, candidates=tuple(one.id for one in possible)) if possible else Match(State.NEW)


def _contacts(email: str, phone: str) -> set[str]:
    digits = "".join(c for c in phone if c.isdigit())
    return {word for word in (email.casefold(), digits[-8:] if len(digits) >= 8 else digits) if word}


def _guardian_changes(said: GuardianRow, person: Known, child: Known | None) -> Iterable[Change]:
    if not person.here:
        yield Change(COMES_BACK, "", "")
    elif not person.guardian:
        yield Change(BECOMES_GUARDIAN, "", "")
    for what, new, old in ((What.EMAIL, said.email, person.email), (What.PHONE, said.phone, person.phone)):
        if new and new != old and not person.elsewhere:
            yield Change(what, old, new)
    if child is None or person.id not in child.guardians:
        yield Change(NEW_TIE, "", "")


def _identity(row: ChildRow, said: GuardianRow) -> str:
    """Two rows of one file mean one guardian by name and contact; without a contact by name, where the children share
    a family name too."""
    contact = "|".join(sorted(_contacts(said.email, said.phone))) or f"of {row.family.casefold()}"
    return f"{name_key(said.given, said.family)}|{contact}"
