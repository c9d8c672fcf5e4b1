"""Every decision, to be looked up: by athlete, drill, kind, with or against the advice. Paged by whoever asks."""

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import datetime
from uuid import UUID

from django.db.models import QuerySet

from athletes.models import Athlete, Decision
from club.members import Member
from drills.models import Drill
from sessions.boards import decision_words as words
from sessions.boards.queries import deciding


@dataclass(frozen=True, slots=True)
class Line:
    """A decision with its figures. grounds: what was lacking or held when it was made, need by need."""

    athlete: UUID
    name: str
    done: deciding.Done
    grounds: tuple[str, ...]


def decisions(
    member: Member, athlete: Athlete | None = None, drill: Drill | None = None, kind: str = "", side: str = ""
) -> QuerySet[Decision]:
    """Newest first; those that take another back stand with what they took back."""
    rows = Decision.objects.for_member(member).exclude(kind=Decision.Kind.TAKEN_BACK)
    for name, value in (("athlete", athlete), ("drill", drill), ("kind", kind), ("side", side)):
        rows = rows.filter(**{name: value}) if value else rows
    return rows.select_related("athlete__person", "drill", "by", "taken_back_by__by").order_by("-at", "-pk")


def lines(member: Member, rows: Iterable[Decision], now: datetime) -> list[Line]:
    return [_line(member, row, now) for row in rows]


def _line(member: Member, row: Decision, now: datetime) -> Line:
    done = deciding.done(member, row, now, taken_back=hasattr(row, "taken_back_by"))
    return Line(row.athlete_id, str(row.athlete), done, tuple(words.grounds_words(row.figures)))
