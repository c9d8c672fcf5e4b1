"""Who is still here, who may take each of them home, and whom the club was warned of."""

from collections import defaultdict
from collections.abc import Iterable
from dataclasses import dataclass
from datetime import datetime
from uuid import UUID

from django.db.models import Q, QuerySet

from athletes.models import Athlete
from club.members import Member
from club.models import BarredContact, Consent, Guardianship, Person
from sessions.practices.core.pick_up import warned_of
from sessions.practices.models import Attendance, Departure, Practice
from sessions.practices.queries.attendance import adults_here


@dataclass(frozen=True, slots=True)
class Warned:
    """Somebody who must not collect the athlete. note: what to look out for. barred False: a tie without the right."""

    name: str
    note: str
    barred: bool


@dataclass(frozen=True, slots=True)
class Collecting:
    """One athlete at the gate. alone: a guardian has agreed that they leave on their own. left: how, if they have."""

    athlete: Athlete
    label: str
    guardians: tuple[Person, ...]
    warned: tuple[Warned, ...]
    alone: bool
    left: Departure | None

    @property
    def guardian_rows(self) -> QuerySet[Person]:
        return Person.objects.filter(pk__in=[one.pk for one in self.guardians])

    @property
    def barred(self) -> tuple[Warned, ...]:
        return tuple(one for one in self.warned if one.barred)

    def matches(self, name: str) -> tuple[Warned, ...]:
        """Of those warned of, whom this name may mean."""
        said = set(warned_of(name, [one.name for one in self.warned]))
        return tuple(one for one in self.warned if one.name in said)


@dataclass(frozen=True, slots=True)
class PickUp:
    here: tuple[Collecting, ...]
    left: tuple[Collecting, ...]
    adults: int


def pick_up(member: Member, practice: Practice, now: datetime) -> PickUp:
    """Athletes who came, or did a rep, by whether they have left. Six queries."""
    athletes = athletes_there(member, practice)
    lines = _lines(member, practice, athletes, now)
    here = tuple(line for line in lines if line.left is None)
    left = tuple(line for line in lines if line.left is not None)
    return PickUp(here, left, adults_here(member, practice))


def athletes_there(member: Member, practice: Practice) -> list[Athlete]:
    """Whoever was noted as here, late or out, or has done a rep, by name."""
    there = [Attendance.State.HERE, Attendance.State.LATE, Attendance.State.OUT]
    noted = Attendance.objects.for_club(member.club).filter(practice=practice, state__in=there)
    did = practice.reps.exclude(state="void").order_by().values("athlete")
    rows = Athlete.objects.for_member(member).filter(Q(pk__in=noted.values("athlete")) | Q(pk__in=did))
    return list(rows.select_related("person").order_by("person__given_name", "person__family_name", "pk"))


def collecting(member: Member, practice: Practice, athlete: Athlete, now: datetime) -> Collecting:
    return _lines(member, practice, [athlete], now)[0]


def still_here(member: Member, practice: Practice) -> int:
    """How many athletes who came have not left. Two queries."""
    standing = Departure.objects.for_member(member).filter(practice=practice, taken_back_at__isnull=True)
    gone = set(standing.values_list("athlete", flat=True))
    return sum(athlete.pk not in gone for athlete in athletes_there(member, practice))


def _lines(member: Member, practice: Practice, athletes: list[Athlete], now: datetime) -> list[Collecting]:
    children = [athlete.person_id for athlete in athletes]
    may, warned = _ties(member, children, practice)
    _add_contacts(member, children, warned)
    alone = _alone(member, children)
    rows = Departure.objects.for_member(member).filter(practice=practice, taken_back_at__isnull=True)
    left = {row.athlete_id: row for row in rows.filter(athlete__in=athletes).select_related("guardian", "by")}
    return [
        Collecting(
            athlete=athlete,
            label=athlete.person.full_name,
            guardians=tuple(may[athlete.person_id]),
            warned=tuple(warned[athlete.person_id]),
            alone=athlete.person_id in alone or _is_grown(athlete.person, practice),
            left=left.get(athlete.pk),
        )
        for athlete in athletes
    ]


ADULT_YEARS = 18


def _is_grown(person: Person, practice: Practice) -> bool:
    """Nobody has to agree for an adult."""
    born = person.birth_date
    if born is None:
        return False
    had_birthday = (practice.day.month, practice.day.day) >= (born.month, born.day)
    return practice.day.year - born.year - (0 if had_birthday else 1) >= ADULT_YEARS


def _ties(
    member: Member, children: Iterable[UUID], practice: Practice
) -> tuple[dict[UUID, list[Person]], dict[UUID, list[Warned]]]:
    """Guardians who may collect, and ties that may not: barred ones, whatever their "until", and those without the
    right."""
    may: dict[UUID, list[Person]] = defaultdict(list)
    warned: dict[UUID, list[Warned]] = defaultdict(list)
    rows = Guardianship.objects.for_club(member.club).filter(child__in=list(children)).select_related("guardian")
    for tie in rows.order_by("guardian__given_name", "guardian__family_name", "pk"):
        ended = tie.until is not None and tie.until < practice.day
        if tie.may_collect and not tie.barred and not ended:
            may[tie.child_id].append(tie.guardian)
        else:
            warned[tie.child_id].append(Warned(tie.guardian.full_name, "", tie.barred))
    return may, warned


def _add_contacts(member: Member, children: Iterable[UUID], warned: dict[UUID, list[Warned]]) -> None:
    rows = BarredContact.objects.for_club(member.club).filter(child__in=list(children)).order_by("name", "pk")
    for row in rows:
        warned[row.child_id].append(Warned(row.name, row.note, True))


def _alone(member: Member, children: Iterable[UUID]) -> set[UUID]:
    rows = Consent.objects.for_club(member.club).filter(person__in=list(children), kind=Consent.Kind.ALONE)
    return set(rows.filter(withdrawn_on__isnull=True).values_list("person", flat=True))
