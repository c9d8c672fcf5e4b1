"""Who came to a practice: whoever was noted there, and whoever did a rep that day, noted or not."""

from collections.abc import Iterable, Sequence
from uuid import UUID

from athletes.models import Athlete
from club.members import Member
from sessions.practices.models import Attendance, Practice
from sessions.trends.models import DayDrill

THERE = (Attendance.State.HERE, Attendance.State.LATE, Attendance.State.OUT)
"""Out of practice means that they had come."""


def came(member: Member, athletes: Iterable[Athlete], practices: Sequence[Practice]) -> set[tuple[UUID, UUID]]:
    """Pairs of athlete and practice. Two queries; day counts hold a day, so of two practices on it both count."""
    theirs = list(athletes)
    noted = Attendance.objects.for_member(member).filter(athlete__in=theirs, practice__in=practices, state__in=THERE)
    days = DayDrill.objects.for_member(member).filter(
        athlete__in=theirs, day__in={row.day for row in practices}, done__gt=0
    )
    did = set(days.values_list("athlete", "day"))
    by_rep = {(athlete, row.pk) for row in practices for athlete, day in did if day == row.day}
    return set(noted.values_list("athlete", "practice")) | by_rep
