"""What is known of athletes that bears on a plan, in a fixed number of queries, each of a window of time or one row a
pair: nothing here grows with a club's history."""

from collections import defaultdict
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from datetime import date, timedelta
from typing import Any
from uuid import UUID

from django.db.models import Count, Max, Min, Q, Sum

from athletes.models import Athlete, Squad
from athletes.queries.profile import last_poles
from club.members import Member
from drills.models import DrillCheckpoint, Remedy
from sessions.planning.core.problem import LoadSoFar
from sessions.planning.core.worth import Aim, Counts
from sessions.practices.models import Assignment, Attendance, Practice
from sessions.trends.models import DayCheckpoint, DayDrill, DayFault

Pair = tuple[UUID, str]
"""Athlete and key of a drill."""
LATELY = timedelta(days=28)
REMEMBERED = timedelta(days=180)
AROUND = timedelta(days=7)
PERSISTENT_WATCHED, PERSISTENT_DAYS, PERSISTENT_SHARE = 6, 2, 0.3
"""A fault is persistent if it was at its checkpoint in 3 of 10 watched reps of late, of six at least on two days."""
NAMED = 3
"""Times that a fault must have been seen of late to count as this athlete's."""
MEET = "meet"


@dataclass(slots=True)
class History:
    """All of it, by athlete id, or by athlete and drill key."""

    pairs: dict[Pair, Counts] = field(default_factory=dict)
    last: dict[Pair, date] = field(default_factory=dict)
    drills: dict[str, Counts] = field(default_factory=dict)
    athletes: dict[UUID, Counts] = field(default_factory=dict)
    aims: dict[Pair, tuple[Aim, ...]] = field(default_factory=dict)
    focus: dict[str, str] = field(default_factory=dict)
    loads: dict[UUID, tuple[LoadSoFar, ...]] = field(default_factory=dict)
    seen: dict[UUID, date] = field(default_factory=dict)
    meets: dict[UUID, date] = field(default_factory=dict)
    poles: dict[UUID, str] = field(default_factory=dict)
    squads: dict[UUID, str] = field(default_factory=dict)


def history(member: Member, practice: Practice, athletes: Sequence[Athlete]) -> History:
    """Thirteen queries."""
    found = History()
    ids = [athlete.pk for athlete in athletes]
    _counts(found, member, practice)
    _aims(found, member, practice, ids)
    _loads(found, member, practice, ids)
    _dates(found, member, practice, ids)
    poles = last_poles(member, ids, practice.day, REMEMBERED)
    found.poles = {athlete: str(pole.pk) for athlete, pole in poles.items()}
    squads = Squad.objects.for_member(member).filter(practices=practice, athletes__in=ids).order_by("name")
    for squad, athlete in squads.values_list("pk", "athletes"):
        found.squads.setdefault(athlete, str(squad))
    return found


def _saw(found: History, athlete: UUID, day: date | None, practice: Practice) -> None:
    """The last day of practice before this one."""
    if day is not None and day < practice.day:
        found.seen[athlete] = max(day, found.seen.get(athlete, day))


def _counts(found: History, member: Member, practice: Practice) -> None:
    """Good and counted reps of everybody, for the priors, and the last day of each pair."""
    rows = DayDrill.objects.for_member(member).filter(day__gt=practice.day - REMEMBERED, day__lte=practice.day)
    sums = rows.order_by().values_list("athlete_id", "drill__key")
    by_drill: dict[str, list[int]] = defaultdict(lambda: [0, 0])
    by_athlete: dict[UUID, list[int]] = defaultdict(lambda: [0, 0])
    before = Max("day", filter=Q(day__lt=practice.day))
    for athlete, drill, good, counted, last, seen in sums.annotate(
        Sum("good"), Sum("counted"), Max("day"), seen=before
    ):
        found.pairs[athlete, drill] = Counts(good, counted)
        found.last[athlete, drill] = max(last, found.last.get((athlete, drill), last))
        _saw(found, athlete, seen, practice)
        for sum_of in (by_drill[drill], by_athlete[athlete]):
            sum_of[0] += good
            sum_of[1] += counted
    found.drills = {key: Counts(*two) for key, two in by_drill.items()}
    found.athletes = {key: Counts(*two) for key, two in by_athlete.items()}


# Faults


@dataclass(frozen=True, slots=True)
class _Watched:
    name: str
    watched: int
    faulty: int


def _aims(found: History, member: Member, practice: Practice, ids: Sequence[UUID]) -> None:
    since = {"athlete__in": ids, "day__gt": practice.day - LATELY, "day__lte": practice.day}
    persistent = _persistent(member, since)
    shown = _faults_shown(member, since)
    aims: dict[Pair, list[Aim]] = defaultdict(list)
    offers = DrillCheckpoint.objects.for_member(member).order_by("order")
    for drill, checkpoint, name, gate in offers.values_list("drill__key", "checkpoint_id", "checkpoint__name", "gate"):
        if checkpoint == practice.focus_id:
            found.focus[drill] = name
        for athlete, seen in persistent.items():
            if gate and checkpoint in seen:
                one = seen[checkpoint]
                aims[athlete, drill].append(Aim(one.name, one.faulty, one.watched))
    for pair, aim in _remedies(member, persistent, shown):
        aims[pair] = [aim, *(other for other in aims[pair] if other.what != aim.what)]
    found.aims = {pair: tuple(some) for pair, some in aims.items()}


def _persistent(member: Member, since: Mapping[str, Any]) -> dict[UUID, dict[int, _Watched]]:
    rows = DayCheckpoint.objects.for_member(member).filter(**since).order_by()
    sums = rows.values_list("athlete_id", "checkpoint_id", "checkpoint__name")
    found: dict[UUID, dict[int, _Watched]] = defaultdict(dict)
    days = Count("day", distinct=True)
    for athlete, checkpoint, name, watched, faulty, on in sums.annotate(Sum("watched"), Sum("faulty"), days):
        if watched >= PERSISTENT_WATCHED and on >= PERSISTENT_DAYS and faulty >= PERSISTENT_SHARE * watched:
            found[athlete][checkpoint] = _Watched(name, watched, faulty)
    return found


def _faults_shown(member: Member, since: Mapping[str, Any]) -> dict[UUID, set[int]]:
    rows = DayFault.objects.for_member(member).filter(**since).order_by().values_list("athlete_id", "fault_id")
    found: dict[UUID, set[int]] = defaultdict(set)
    for athlete, fault, times in rows.annotate(Sum("n")):
        if times >= NAMED:
            found[athlete].add(fault)
    return found


def _remedies(
    member: Member, persistent: Mapping[UUID, Mapping[int, _Watched]], shown: Mapping[UUID, set[int]]
) -> list[tuple[Pair, Aim]]:
    """Drills that the catalogue names against a persistent fault of an athlete, or for the first link of a chain that
    they show both ends of."""
    rows: Any = Remedy.objects.for_member(member).filter(drill__isnull=False).select_related(
        "drill", "fault", "link__fault"
    )  # fmt: skip
    found = []
    for row in rows:
        fault = row.fault or (row.link.fault if row.link else None)
        if fault is None:
            continue
        for athlete, seen in persistent.items():
            both = row.link is None or row.link.to_id in shown.get(athlete, set())
            one = seen.get(fault.checkpoint_id)
            if one and both and fault.pk in shown.get(athlete, set()):
                aim = Aim(fault.name, one.faulty, one.watched, first_link=row.link is not None)
                found.append(((athlete, row.drill.key), aim))
    return found


# Load and days


def _loads(found: History, member: Member, practice: Practice, ids: Sequence[UUID]) -> None:
    reps: dict[tuple[UUID, str], int] = defaultdict(int)
    days: dict[tuple[UUID, str], set[date]] = defaultdict(set)
    first, last = practice.day - AROUND, practice.day + AROUND
    logged = DayDrill.objects.for_member(member).filter(
        athlete__in=ids, drill__load__isnull=False, day__gt=first, day__lt=last, done__gt=0
    )
    for athlete, load, day, done in logged.values_list("athlete_id", "drill__load__key", "day", "done"):
        days[athlete, load].add(day)
        reps[athlete, load] += done if day == practice.day else 0
    loaded = Q(drill__load__isnull=False) | Q(activity__load__isnull=False)
    planned = Assignment.objects.for_member(member).filter(
        loaded,
        athlete__in=ids,
        block__practice__day__gt=first,
        block__practice__day__lt=last,
        block__practice__cancelled_at__isnull=True,
    )
    rows = planned.exclude(block__practice=practice).values_list(
        "athlete_id", "drill__load__key", "activity__load__key", "block__practice__day"
    )
    for athlete, of_drill, of_activity, day in rows:
        days[athlete, of_drill or of_activity].add(day)
    by_athlete: dict[UUID, list[LoadSoFar]] = defaultdict(list)
    for (athlete, load), on in days.items():
        others = tuple(sorted(on - {practice.day}))
        by_athlete[athlete].append(LoadSoFar(load, reps[athlete, load], others))
    found.loads = {athlete: tuple(loads) for athlete, loads in by_athlete.items()}


def _dates(found: History, member: Member, practice: Practice, ids: Sequence[UUID]) -> None:
    came = Attendance.objects.for_member(member).filter(
        athlete__in=ids,
        state__in=[Attendance.State.HERE, Attendance.State.LATE],
        practice__day__lt=practice.day,
        practice__day__gt=practice.day - REMEMBERED,
    )
    for athlete, day in came.order_by().values_list("athlete_id").annotate(Max("practice__day")):
        _saw(found, athlete, day, practice)
    meets = Assignment.objects.for_member(member).filter(
        athlete__in=ids,
        activity__key=MEET,
        block__practice__day__gt=practice.day,
        block__practice__day__lt=practice.day + AROUND,
        block__practice__cancelled_at__isnull=True,
    )
    found.meets = dict(meets.order_by().values_list("athlete_id").annotate(Min("block__practice__day")))
