"""Importing a roster: a draft between the steps, then all of the accepted rows or none."""

from collections.abc import Collection, Mapping, Sequence
from dataclasses import dataclass, field
from datetime import date, datetime, timedelta
from typing import Any
from uuid import UUID

from django.db import transaction
from django.utils.translation import gettext_noop

from athletes.actions.body import measure
from athletes.actions.profile import add_athlete, add_squad
from athletes.core.roster.columns import Row, What, headings
from athletes.core.roster.plan import NEW_TIE, Change, Entry, GuardianEntry, State
from athletes.core.roster.rows import ChildRow
from athletes.models import Athlete, RosterColumns, RosterDraft, Squad
from athletes.queries import roster as queries
from athletes.roster_files import loaded, stored
from club import audit, duties
from club.actions import add_guardian, add_person, edit_person, hold_role
from club.members import Member
from club.models import Club, Guardianship, Person
from club.roles import Role

KEPT_FOR = timedelta(days=1)
OLD_ROSTER = "old_roster"


def start_roster(*, by: Member, name: str, rows: list[Row], now: datetime) -> RosterDraft:
    """Keeps the cells of an uploaded file until they are imported or dropped, a day at most."""
    with transaction.atomic():
        draft = RosterDraft.objects.create(
            club=by.club,
            made_by=by.person,
            made_at=now,
            name=name[:120],
            cells=stored(rows),
            choices=queries.first_choices(by, rows),
        )
        duties.leave(OLD_ROSTER, by.club, [str(draft.pk)], due_at=now + KEPT_FOR)
    return draft


def forget_roster(*, club: Club, draft_id: UUID) -> None:
    """Throws a draft away, if it is still there."""
    RosterDraft.objects.for_club(club).filter(pk=draft_id).delete()


def choose_columns(*, by: Member, draft: RosterDraft, choices: dict[str, Any]) -> None:
    """What the columns of a draft mean; the club remembers it for files with the same headings."""
    names = headings(loaded(draft.cells), choices["header"])
    of_the_file = {"header", "date_order", "measured_on"}
    remembered = {name: value for name, value in choices.items() if name not in of_the_file}
    with transaction.atomic():
        RosterDraft.objects.for_member(by).filter(pk=draft.pk).update(choices=choices)
        RosterColumns.objects.update_or_create(
            club=by.club, signature=queries.signature_of(names), defaults={"choices": remembered}
        )


def drop_roster(*, by: Member, draft: RosterDraft) -> None:
    RosterDraft.objects.for_member(by).filter(pk=draft.pk).delete()


def note_export(*, by: Member, rows: int) -> None:
    with transaction.atomic():
        audit.note(by, gettext_noop("exported the roster"), by.person, {"athletes": rows})


class RosterStale(Exception):
    """The club or the draft is not what the preview showed."""


class RosterUnanswered(Exception):
    """A row was accepted while it is still open who is meant, or when it was measured."""


class RosterNothingTaken(Exception):
    """No row was accepted; the draft stays."""


@dataclass(slots=True)
class Outcome:
    """What an import did: athletes and guardians added, people who were changed, rows in which all was there,
    guardians left out because they must not collect the child."""

    athletes: int = 0
    guardians: int = 0
    changed: int = 0
    untouched: int = 0
    barred: int = 0


def import_roster(
    *, by: Member, draft: RosterDraft, stamp: str, take: Collection[int], answers: Mapping[str, str], today: date
) -> Outcome:
    """Writes the accepted rows, all or none, and throws the draft away.

    stamp: of the entries as previewed, without answers; take: row numbers. Raises RosterStale,
    RosterUnanswered, RosterNothingTaken.
    """
    with transaction.atomic():
        if not RosterDraft.objects.for_member(by).filter(pk=draft.pk).delete()[0]:
            raise RosterStale
        if queries.stamp(queries.entries(by, draft, today, {})) != stamp:
            raise RosterStale
        entries = [entry for entry in queries.entries(by, draft, today, answers) if entry.row.number in take]
        if not entries:
            raise RosterNothingTaken
        measured_on = queries.choices_of(draft).measured_on
        if any(entry.asks or (entry.row.is_measured and measured_on is None) for entry in entries):
            raise RosterUnanswered
        outcome = _Import(by, today, measured_on or today).run(entries)
        audit.note(by, gettext_noop("imported a roster"), by.person, {"rows": len(entries)})
    return outcome


@dataclass(slots=True)
class _Import:
    """One import under way. made: new guardians by identity, so that siblings share them. measured_on: the day of every
    height and reach in the file."""

    by: Member
    today: date
    measured_on: date
    made: dict[str, Person] = field(default_factory=dict)
    outcome: Outcome = field(default_factory=Outcome)

    def run(self, entries: Sequence[Entry]) -> Outcome:
        for entry in entries:
            self.outcome.barred += sum(guardian.barred for guardian in entry.guardians)
            if entry.settled:
                self.outcome.untouched += 1
                continue
            child = self.child(entry)
            for guardian in (one for one in entry.guardians if not one.barred):
                self.guardian(guardian, child)
        return self.outcome

    def child(self, entry: Entry) -> Person:
        row = entry.row
        if entry.match.state is State.NEW:
            person = self.new_person(row, Role.ATHLETE, birth_date=row.born)
            self.outcome.athletes += 1
        else:
            person = Person.objects.get(pk=entry.match.person)
            self.change(person, entry.changes, Role.ATHLETE)
        self.profile(person, row, {change.what for change in entry.changes}, entry.match.state is State.NEW)
        return person

    def profile(self, person: Person, row: ChildRow, changed: set[str], new: bool) -> None:
        athlete = Athlete.objects.for_club(self.by.club).filter(person=person).first()
        if athlete is None or new:
            hand = row.hand or Athlete.Hand.RIGHT
            athlete = add_athlete(by=self.by, person=person, hand=hand, joined_on=self.today)
        elif What.HAND in changed:
            Athlete.objects.for_club(self.by.club).filter(pk=athlete.pk).update(hand=row.hand)
            audit.note(self.by, gettext_noop("changed an athlete"), athlete, {"old": athlete.hand, "new": row.hand})
        if new or What.SQUADS in changed:
            athlete.squads.add(*(self.squad(name) for name in row.squads))
        values = {What.HEIGHT: row.height_m, What.STANDING_REACH: row.standing_reach_m}
        for what, value in values.items():
            if value is not None and (new or what in changed):
                measure(by=self.by, athlete=athlete, kind=queries.MEASURED[what], value=value, on=self.measured_on)

    def squad(self, name: str) -> Squad:
        found = queries.squads_by_name(self.by).get(name.casefold())
        return found or add_squad(by=self.by, name=name)

    def guardian(self, entry: GuardianEntry, child: Person) -> None:
        if entry.match.state is State.KNOWN:
            person = Person.objects.get(pk=entry.match.person)
            self.change(person, entry.changes, Role.GUARDIAN)
            if not any(change.what == NEW_TIE for change in entry.changes):
                return
        elif entry.identity in self.made:
            person = self.made[entry.identity]
        else:
            person = self.made[entry.identity] = self.new_person(entry.row, Role.GUARDIAN)
            self.outcome.guardians += 1
        if not Guardianship.objects.for_club(self.by.club).filter(guardian=person, child=child).exists():
            add_guardian(by=self.by, guardian=person, child=child)  # unless the file names the same one twice

    def new_person(self, row: Any, role: str, birth_date: date | None = None) -> Person:
        return add_person(
            by=self.by,
            given_name=row.given,
            family_name=row.family,
            roles=[role],
            joined_on=self.today,
            birth_date=birth_date,
            language=self.by.person.language,
            email=row.email,
            phone=row.phone,
        )

    def change(self, person: Person, changes: Sequence[Change], role: str) -> None:
        """E-mail, phone and date of birth as the changes say, and the role if it is not held."""
        hold_role(by=self.by, person=person, role=role, today=self.today)
        said = {change.what: change.new for change in changes}
        values: dict[str, Any] = {name: said[name] for name in (What.EMAIL, What.PHONE) if name in said}
        if What.BORN in said:
            values["birth_date"] = date.fromisoformat(said[What.BORN])
        edit_person(by=self.by, person=person, **{str(name): value for name, value in values.items()})
        self.outcome.changed += bool(changes)
