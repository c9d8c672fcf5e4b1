"""Who is cleared for jumping, and whether it holds on a day."""

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date
from uuid import UUID

from django.db.models import QuerySet

from athletes.core import poles as core
from athletes.models import Athlete, Clearance
from athletes.queries.profile import evidence
from club.members import Member
from drills.models import Activity


@dataclass(frozen=True, slots=True)
class Cleared:
    """A clearance that was not ended. answer: of its pole and grip on the day that was asked about."""

    row: Clearance
    answer: core.Answer

    @property
    def holds(self) -> bool:
        """A pole that is due for a check may be planned, and is said to be due; one that does not fit may not."""
        return self.answer.fit is not core.Fit.DOES_NOT_FIT

    @property
    def due(self) -> bool:
        return self.answer.fit is core.Fit.CHECK_DUE


def activities(member: Member) -> QuerySet[Activity]:
    """What nobody does without the head coach's clearance."""
    rows = Activity.objects.for_member(member).filter(needs_clearance=True, retired=False)
    return rows.order_by("order", "name")


def cleared(member: Member, athletes: Iterable[Athlete], day: date) -> dict[UUID, list[Cleared]]:
    """By athlete, the newest first. One query, and another where anybody is cleared."""
    who = [athlete.pk for athlete in athletes]
    rows = Clearance.objects.for_member(member).filter(athlete__in=who, ended_at__isnull=True)
    found: dict[UUID, list[Cleared]] = {}
    live = list(rows.select_related("activity", "pole", "by"))
    known = evidence(member, {row.athlete_id for row in live}, day) if live else {}
    for row in live:
        answer = core.check(row.pole.value(), known.get(row.athlete_id), day, row.grip_m)
        found.setdefault(row.athlete_id, []).append(Cleared(row, answer))
    return found
