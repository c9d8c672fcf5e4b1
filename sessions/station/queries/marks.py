"""What was done and seen at this practice already."""

from collections import defaultdict
from dataclasses import dataclass
from datetime import timedelta
from uuid import UUID

from django.db.models import FilteredRelation, Q, Sum

from athletes.models import Athlete
from club.members import Member
from sessions.practices.models import Practice
from sessions.reps.models import LookFault, Rep
from sessions.trends.models import DayFault

USUAL = timedelta(weeks=6)

Pair = tuple[UUID, int]
"""Athlete and drill."""


@dataclass(frozen=True, slots=True)
class Done:
    """What an athlete did today at one drill. marks, faults: only for those who may read readiness."""

    turns: int = 0
    marks: tuple[str, ...] = ()
    faults: tuple[tuple[str, int], ...] = ()


def done_today(member: Member, practice: Practice, athletes: list[Athlete], reads_marks: bool) -> dict[Pair, Done]:
    """Turns that count at this practice, by athlete and drill; with what was seen for those who may read it."""
    reps = Rep.objects.for_club(member.club).filter(practice=practice, athlete__in=athletes, state=Rep.State.COUNTS)
    marks: dict[Pair, dict[int, str]] = defaultdict(dict)
    deciding = FilteredRelation("looks", condition=Q(looks__deciding=True))
    rows = reps.annotate(decided=deciding).order_by("at", "sequence", "place_in_set")
    rows = rows.values_list(
        "pk", "athlete_id", "drill_id", "decided__watch_set__watched", "decided__unnamed_fault", "unsafe"
    )
    for pk, athlete, drill, watched, unnamed, unsafe in rows:
        marks[athlete, drill][pk] = "faulty" if unnamed or unsafe else "good" if watched else "not watched"
    if not reads_marks:
        return {pair: Done(len(found)) for pair, found in marks.items()}
    faults = _faults(member, practice, athletes, marks)
    return {pair: Done(len(found), tuple(found.values()), tuple(faults[pair].items())) for pair, found in marks.items()}


def _faults(
    member: Member,
    practice: Practice,
    athletes: list[Athlete],
    marks: dict[Pair, dict[int, str]],
) -> dict[Pair, dict[str, int]]:
    """How often each fault was seen, also outside the focus; reps with one inside are marked as faulty."""
    found: dict[Pair, dict[str, int]] = defaultdict(lambda: defaultdict(int))
    rows = LookFault.objects.for_club(member.club).filter(
        look__deciding=True, look__rep__practice=practice, look__rep__athlete__in=athletes
    )
    columns = ("look__rep_id", "look__rep__athlete_id", "look__rep__drill_id", "fault__key", "inside")
    for pk, athlete, drill, key, inside in rows.values_list(*columns):
        if pk in marks[athlete, drill]:
            found[athlete, drill][key] += 1
            if inside:
                marks[athlete, drill][pk] = "faulty"
    return found


def usual_faults(member: Member, practice: Practice, athletes: list[Athlete]) -> dict[Pair, dict[str, int]]:
    """How often each athlete showed each fault at each drill in the six weeks before the practice. One query.

    It orders the faults on the tablet; the caller has asked whether the member may read readiness.
    """
    since = practice.day - USUAL
    rows = DayFault.objects.for_club(member.club).filter(athlete__in=athletes, day__gte=since, day__lt=practice.day)
    found: dict[Pair, dict[str, int]] = defaultdict(dict)
    for athlete, drill, key, times in rows.values_list("athlete_id", "drill_id", "fault__key").annotate(Sum("n")):
        found[athlete, drill][key] = times
    return found
