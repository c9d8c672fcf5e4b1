"""Who came to a practice: whoever was noted there, and whoever did a rep that day, noted or not.

Where nobody took the roll and there is no rep, nothing is known, and nothing is said.
"""

from collections import Counter
from collections.abc import Collection, Iterable, Mapping, Sequence
from uuid import UUID

from athletes.models import Athlete
from club.members import Member
from sessions.practices.models import Attendance, Practice
from sessions.trends.models import DayDrill

THERE = (Attendance.State.HERE, Attendance.State.LATE, Attendance.State.OUT)
"""Out of practice means that they had come."""
ROLL = (Attendance.State.HERE, Attendance.State.LATE, Attendance.State.ABSENT)
"""What a roll consists of; that one vaulter was taken out does not say that anybody looked who else came."""

Pairs = set[tuple[UUID, UUID]]
"""Athlete and practice."""


def came(member: Member, athletes: Iterable[Athlete], practices: Sequence[Practice]) -> Pairs:
    """Two queries; day counts hold a day, so of two practices on it both count."""
    theirs = [athlete.pk for athlete in athletes]
    return _noted(member, practices, theirs) | _by_rep(member, practices, theirs)


def _noted(member: Member, practices: Sequence[Practice], athletes: Collection[UUID] | None = None) -> Pairs:
    rows = Attendance.objects.for_member(member).filter(practice__in=practices, state__in=THERE)
    if athletes is not None:
        rows = rows.filter(athlete__in=athletes)
    return set(rows.values_list("athlete", "practice"))


def _by_rep(member: Member, practices: Sequence[Practice], athletes: Collection[UUID] | None = None) -> Pairs:
    rows = DayDrill.objects.for_member(member).filter(day__in={row.day for row in practices}, done__gt=0)
    if athletes is not None:
        rows = rows.filter(athlete__in=athletes)
    did = set(rows.order_by().values_list("athlete", "day").distinct())
    return {(athlete, row.pk) for row in practices for athlete, day in did if day == row.day}


def roll_taken(member: Member, practices: Sequence[Practice]) -> set[UUID]:
    """Of these practices, which the member may see, those at which somebody noted who came. One query.

    It asks about the whole club: a parent sees their own child's attendance alone, and says nothing about others here.
    """
    rows = Attendance.objects.for_club(member.club).filter(practice__in=practices, state__in=ROLL)
    return set(rows.order_by().values_list("practice", flat=True).distinct())


def whether_came(member: Member, athlete: Athlete, practices: Sequence[Practice]) -> dict[UUID, bool | None]:
    """By practice: came, was not there, or None where nobody noted who came. Three queries."""
    there, roll = came(member, [athlete], practices), roll_taken(member, practices)
    return {row.pk: True if (athlete.pk, row.pk) in there else False if row.pk in roll else None for row in practices}


def turnout(member: Member, practices: Sequence[Practice], squads: Mapping[UUID, Collection[UUID]]) -> Counter[UUID]:
    """How many came to each practice. Two queries.

    squads: those of each athlete. A rep on a day with two practices counts for the one of the athlete's squads.
    """
    days = Counter(row.day for row in practices)
    only = {row.pk for row in practices if days[row.day] == 1}
    theirs = {row.pk: {squad.pk for squad in row.squads.all()} for row in practices}
    did = _by_rep(member, practices)
    by_rep = {(one, pk) for one, pk in did if pk in only or theirs[pk] & set(squads.get(one, ()))}
    return Counter(pk for _, pk in _noted(member, practices) | by_rep)
