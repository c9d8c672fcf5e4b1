"""Reads: what the roll-up counts (``club`` first), and the figures that boards and pages show (``member`` first)."""

from collections import defaultdict
from dataclasses import dataclass
from datetime import date, timedelta
from typing import Any
from uuid import UUID

from django.db.models import Exists, FilteredRelation, Max, OuterRef, Q, QuerySet, Sum

from athletes.core.sequence import Place as Moment
from athletes.core.standing import Attempt
from athletes.models import Athlete, Readiness
from athletes.queries import DrillReading, squad_readiness
from club.members import Member
from club.models import Club
from drills.core.catalogue import Phase
from drills.models import Checkpoint, Drill, DrillCheckpoint, Fault
from sessions.practices.models import Practice
from sessions.reps.models import Event, LookFault, Rep, Watched
from sessions.trends.core.counts import Place, SeenFault, SeenRep, outcome, run_order
from sessions.trends.core.rates import DayRate, by_day
from sessions.trends.models import DayCheckpoint, DayDrill, SignalSeen

# --- for the roll-up -----------------------------------------------------------------------------


@dataclass(frozen=True, slots=True)
class Pair:
    """One athlete at one drill."""

    athlete_id: UUID
    drill_id: int


@dataclass(frozen=True, slots=True)
class Catalogue:
    """What the roll-up needs to know of a club's catalogue for one drill.

    gate: keys; order: keys of all checkpoints in the order of the run; checkpoints, faults: row ids by key.
    """

    gate: frozenset[str]
    order: tuple[str, ...]
    checkpoints: dict[str, int]
    faults: dict[str, int]


COURSE = timedelta(days=182)
"""How far back the training days go from which it is told what rises or falls."""
STANDS = ~Q(state=Rep.State.VOID)
DECIDES = Q(looks__deciding=True)


def is_there(club: Club, pair: Pair) -> bool:
    """Whether athlete and drill are the club's. An erased athlete is not."""
    athletes = Athlete.objects.for_club(club).filter(pk=pair.athlete_id)
    return athletes.exists() and Drill.objects.for_club(club).filter(pk=pair.drill_id).exists()


def catalogue(club: Club, drill_id: int) -> Catalogue:
    """Three queries, of the catalogue's size."""
    rows = list(Checkpoint.objects.for_club(club).values_list("pk", "key", "phase", "order"))
    gate = DrillCheckpoint.objects.for_club(club).filter(drill_id=drill_id, gate=True)
    return Catalogue(
        gate=frozenset(gate.values_list("checkpoint__key", flat=True)),
        order=run_order(Place(key, Phase(phase), order) for _, key, phase, order in rows),
        checkpoints={key: pk for pk, key, _, _ in rows},
        faults=dict(Fault.objects.for_club(club).values_list("key", "pk")),
    )


def seen_reps(club: Club, pair: Pair, since: date) -> list[SeenRep]:
    """The pair's reps since that day that are not void, with their deciding looks, in order. Three queries."""
    rows = list(_reps(club, pair, since))
    watched = _watched(club, {watch_set for *_, watch_set, _ in rows if watch_set})
    faults = _faults(club, pair, since)
    return [
        SeenRep(
            day=day,
            watched=watched.get(watch_set, frozenset()),
            faults=tuple(faults.get(look, ())),
            unnamed_fault=bool(unnamed_fault),
            unsafe=unsafe,
            waits=state == Rep.State.WAITS,
            at=at,
        )
        for day, at, unsafe, state, look, watch_set, unnamed_fault in rows
    ]


def _reps(club: Club, pair: Pair, since: date) -> QuerySet[Rep, tuple[Any, ...]]:
    """Reps in order: day, corrected time, device, sequence, uuid of what was recorded, place in the set."""
    rows = Rep.objects.for_club(club).filter(STANDS, athlete_id=pair.athlete_id, drill_id=pair.drill_id, day__gte=since)
    in_order: QuerySet[Rep, tuple[Any, ...]] = (
        rows.annotate(decision=FilteredRelation("looks", condition=DECIDES))
        .order_by("day", "at", "device__uuid", "sequence", "source", "place_in_set")
        .values_list(
            "day", "at", "unsafe", "state", *(f"decision__{name}" for name in ("pk", "watch_set", "unnamed_fault"))
        )
    )
    return in_order


def _watched(club: Club, watch_sets: set[int]) -> dict[int, frozenset[str]]:
    found: defaultdict[int, set[str]] = defaultdict(set)
    rows = Watched.objects.for_club(club).filter(watch_set__in=watch_sets)
    for watch_set, key in rows.values_list("watch_set_id", "checkpoint__key"):
        found[watch_set].add(key)
    return {watch_set: frozenset(keys) for watch_set, keys in found.items()}


def _faults(club: Club, pair: Pair, since: date) -> dict[int, list[SeenFault]]:
    found: defaultdict[int, list[SeenFault]] = defaultdict(list)
    rows = LookFault.objects.for_club(club).filter(
        look__deciding=True,
        look__rep__athlete_id=pair.athlete_id,
        look__rep__drill_id=pair.drill_id,
        look__rep__day__gte=since,
    )
    for look, *fault in rows.values_list("look_id", "fault__key", "checkpoint__key", "inside"):
        found[look].append(SeenFault(*fault))
    return found


def pairs(club: Club, drill_id: int | None = None) -> list[Pair]:
    """The pairs that have reps, counts or a readiness row; of one drill, or of the whole club."""
    found: set[tuple[UUID, int]] = set()
    for model in (Rep, DayDrill, Readiness):
        rows = model.objects.for_club(club)
        rows = rows.filter(drill_id=drill_id) if drill_id else rows
        found.update(rows.order_by().values_list("athlete_id", "drill_id").distinct())
    return [Pair(*pair) for pair in sorted(found)]


def attempts_of(club: Club, athlete_id: UUID, since: date) -> list[Attempt]:
    """All reps of an athlete since that day as their book folds them, at whatever drill. Four queries.

    A mark is a helper's if whoever recorded it was no coach when it was accepted.
    """
    gates: defaultdict[int, set[str]] = defaultdict(set)
    rows = DrillCheckpoint.objects.for_club(club).filter(gate=True)
    for drill_id, key in rows.values_list("drill_id", "checkpoint__key"):
        gates[drill_id].add(key)
    reps = list(_moments(club, athlete_id, since))
    watched = _watched(club, {watch_set for *_, watch_set, _unnamed, _helper in reps if watch_set})
    faults = _all_faults(club, athlete_id, since)
    found = []
    for *moment, drill, drill_id, unsafe, state, look, watch_set, unnamed, helper in reps:
        if unsafe or state != Rep.State.WAITS:
            day, at, device, *rest = moment
            seen = SeenRep(
                day=day,
                watched=watched.get(watch_set, frozenset()),
                faults=tuple(faults.get(look, ())),
                unnamed_fault=bool(unnamed),
                unsafe=unsafe,
            )
            place = Moment(day, at, str(device), *rest)
            found.append(Attempt(place, drill, outcome(seen, gates[drill_id]), bool(helper)))
    return found


def _moments(club: Club, athlete_id: UUID, since: date) -> QuerySet[Rep, tuple[Any, ...]]:
    rows = Rep.objects.for_club(club).filter(STANDS, athlete_id=athlete_id, day__gte=since)
    by_helper = Event.objects.for_club(club).filter(uuid=OuterRef("source"), corrects_others=False)
    order = ("day", "at", "device__uuid", "sequence", "source", "place_in_set")
    what = ("drill__key", "drill_id", "unsafe", "state")
    looked = ("decision__pk", "decision__watch_set", "decision__unnamed_fault")
    found: QuerySet[Rep, tuple[Any, ...]] = (
        rows.annotate(decision=FilteredRelation("looks", condition=DECIDES), by_helper=Exists(by_helper))
        .order_by(*order)
        .values_list(*order, *what, *looked, "by_helper")
    )
    return found


def _all_faults(club: Club, athlete_id: UUID, since: date) -> dict[int, list[SeenFault]]:
    found: defaultdict[int, list[SeenFault]] = defaultdict(list)
    rows = LookFault.objects.for_club(club).filter(
        look__deciding=True, look__rep__athlete_id=athlete_id, look__rep__day__gte=since
    )
    for look, *fault in rows.values_list("look_id", "fault__key", "checkpoint__key", "inside"):
        found[look].append(SeenFault(*fault))
    return found


def courses(club: Club, athlete_id: UUID, today: date) -> dict[int, list[DayRate]]:
    """By checkpoint, the training days from which signals are told, oldest first: those of half a year, from the last
    time a coach set that signal aside. Two queries."""
    since = today - COURSE
    seen = SignalSeen.objects.for_club(club).filter(athlete_id=athlete_id, day__gte=since)
    set_aside = dict(seen.order_by().values_list("checkpoint").annotate(Max("day")))
    rows = DayCheckpoint.objects.for_club(club).filter(athlete_id=athlete_id, day__gt=since)
    found: defaultdict[int, list[DayRate]] = defaultdict(list)
    for checkpoint, *day in rows.values_list("checkpoint_id", "day", "watched", "faulty"):
        rate = DayRate(*day)
        if rate.day > set_aside.get(checkpoint, since):
            found[checkpoint].append(rate)
    return {checkpoint: by_day(days) for checkpoint, days in found.items()}


def athlete_there(club: Club, athlete_id: UUID) -> bool:
    """An erased athlete is not."""
    return Athlete.objects.for_club(club).filter(pk=athlete_id).exists()


# --- for boards and pages --------------------------------------------------------------------------

LATELY = timedelta(days=28)


@dataclass(frozen=True, slots=True)
class SquadCell:
    """One athlete at one drill on the squad board. done_lately: reps of the last four weeks."""

    reading: DrillReading
    done_lately: int


@dataclass(frozen=True, slots=True)
class DrillDay:
    """Reps of one athlete at one drill on one day."""

    drill_id: int
    day: date
    done: int
    counted: int
    good: int


@dataclass(frozen=True, slots=True)
class CheckpointDay:
    drill_id: int
    checkpoint_id: int
    day: date
    watched: int
    faulty: int


@dataclass(frozen=True, slots=True)
class AthleteDays:
    """Both in order of day, then as the catalogue lists drills and checkpoints."""

    drills: tuple[DrillDay, ...]
    checkpoints: tuple[CheckpointDay, ...]


@dataclass(frozen=True, slots=True)
class Turns:
    """How often an athlete did a drill on a day."""

    drill: Drill
    done: int


def squad(member: Member, today: date) -> list[SquadCell]:
    """Every athlete at every drill they have tried, of those the member may see. Two queries, flat in history."""
    rows = DayDrill.objects.for_member(member).filter(day__gt=today - LATELY, day__lte=today)
    sums = rows.order_by().values_list("athlete_id", "drill_id").annotate(Sum("done"))
    done = {(athlete, drill): n for athlete, drill, n in sums}
    return [
        SquadCell(reading, done.get((reading.athlete_id, reading.drill_id), 0))
        for reading in squad_readiness(member, today)
    ]


def athlete_days(member: Member, athlete: Athlete, since: date) -> AthleteDays:
    """The athlete's day counts since that day. Two queries."""
    drills = DayDrill.objects.for_member(member).filter(athlete=athlete, day__gte=since)
    checkpoints = DayCheckpoint.objects.for_member(member).filter(athlete=athlete, day__gte=since)
    of_drill = drills.order_by("day", "drill__stage__number", "drill__order", "drill_id")
    of_checkpoint = checkpoints.order_by("day", "drill__stage__number", "drill__order", "drill_id", "checkpoint__order")
    return AthleteDays(
        tuple(DrillDay(*row) for row in of_drill.values_list("drill_id", "day", "done", "counted", "good")),
        tuple(
            CheckpointDay(*row)
            for row in of_checkpoint.values_list("drill_id", "checkpoint_id", "day", "watched", "faulty")
        ),
    )


def turns_on(member: Member, athlete: Athlete, day: date) -> list[Turns]:
    """What the athlete did on a day and how often, in the order of the progression. One query.

    Athletes and guardians see it once the head coach has released it: see ``DayDrill.visible_to``.
    """
    rows = DayDrill.objects.for_member(member).filter(athlete=athlete, day=day).select_related("drill__stage")
    return [Turns(row.drill, row.done) for row in rows.order_by("drill__stage__number", "drill__order", "drill_id")]


def worked_on(member: Member, athlete: Athlete, practice: Practice) -> list[Drill]:
    """The drills the athlete did on the practice's day, in the order of the progression. One query."""
    return [turns.drill for turns in turns_on(member, athlete, practice.day)]
