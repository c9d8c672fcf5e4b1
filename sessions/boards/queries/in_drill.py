"""Who is in a drill now, by state, with when they last did it; and whom to start over after it was changed."""

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date, datetime
from enum import StrEnum
from uuid import UUID

from django.db.models import Max

from athletes.core.standing import DecisionKind, Standing
from athletes.models import Athlete, Readiness
from athletes.queries import decisions
from athletes.queries.standing import Stand, held_risks, stands
from club.members import Member
from drills.core.catalogue import RiskClass
from drills.models import Drill
from sessions.boards import decision_words, words
from sessions.boards.queries import deciding
from sessions.boards.queries.squad import athletes
from sessions.trends.models import DayDrill


class In(StrEnum):
    """How somebody is in a drill, in the order of the page. ASKED: at contact nothing lacks but the touch."""

    ASKED = "asked"
    WORK = "in work"
    SETTLED = "settled"
    BEGIN = "to begin"
    CLOSED = "closed again"


@dataclass(frozen=True, slots=True)
class Place:
    """One athlete in the drill. last: of any rep; counted: whether reps of theirs are counted by the gate of today."""

    athlete: UUID
    name: str
    state: In
    standing: str
    held: bool
    last: date | None
    last_words: str
    counted: bool


@dataclass(frozen=True, slots=True)
class Group:
    state: In
    title: str
    places: tuple[Place, ...]


def who_is_in(member: Member, drill: Drill, today: date) -> tuple[Group, ...]:
    """Those who may do the drill or did it, by state; in each, whoever did it last comes first. Seven queries."""
    found = places(member, drill, today)
    groups = (Group(state, words.in_drill_title(state), tuple(p for p in found if p.state is state)) for state in In)
    return tuple(group for group in groups if group.places)


def places(member: Member, drill: Drill, today: date) -> list[Place]:
    """Who has not left, as far as they are in it."""
    people = athletes(member)
    standing = stands(member, people)
    held = held_risks(member, people, today)
    days = _last_days(member, drill)
    counted = set(
        Readiness.objects.for_member(member).filter(drill=drill, reps__gt=0).values_list("athlete", flat=True)
    )
    found = []
    for athlete in people:
        stand, last = standing.of(athlete.pk, drill), days.get(athlete.pk)
        if state := _state(stand, last):
            kept = RiskClass(drill.risk) in held.get(athlete.pk, frozenset())
            found.append(_place(athlete, state, stand, kept, last, today, athlete.pk in counted))
    return sorted(found, key=lambda place: (place.last is None, -(place.last or today).toordinal(), place.name))


def _state(stand: Stand, last: date | None) -> In | None:
    if stand.asks:
        return In.ASKED
    if stand.state is Standing.CLOSED_AGAIN:
        return In.CLOSED
    if not stand.is_open:
        return None
    if stand.state is Standing.SETTLED:
        return In.SETTLED
    return In.WORK if last else In.BEGIN


def _place(
    athlete: Athlete, state: In, stand: Stand, held: bool, last: date | None, today: date, counted: bool
) -> Place:
    said = decision_words.standing_words(stand)
    return Place(
        athlete.pk, str(athlete), state, said, held, last, words.ago_words(last, today) if last else "", counted
    )


def _last_days(member: Member, drill: Drill) -> dict[UUID, date]:
    rows = DayDrill.objects.for_member(member).filter(drill=drill, done__gt=0).order_by().values("athlete")
    return dict(rows.annotate(last=Max("day")).values_list("athlete", "last"))


# ── starting over, after the drill was changed ───────────────────────────────────────────────────────────────────────


@dataclass(frozen=True, slots=True)
class StartOver:
    """offered: those who may be started over; done: those who were a moment ago, with their undo."""

    offered: tuple[Place, ...]
    done: tuple[deciding.Done, ...]


def start_over_list(member: Member, drill: Drill, now: datetime) -> StartOver:
    """Eleven queries, however many athletes."""
    done = fresh_starts(member, drill, now)
    gone = {row.athlete_id for row in done}
    offered = [place for place in places(member, drill, now.date()) if place.counted and place.athlete not in gone]
    return StartOver(tuple(offered), tuple(deciding.done(member, row, now) for row in done))


def fresh_starts(member: Member, drill: Drill, now: datetime) -> list[decisions.Decision]:
    """What was started over at this drill and may still be taken back, newest first. One query."""
    rows: Iterable[decisions.Decision] = decisions.standing_decisions(member, now.date())
    return [
        row
        for row in rows
        if row.drill_id == drill.pk and row.kind == DecisionKind.START_OVER.value and decisions.may_take_back(row, now)
    ]
