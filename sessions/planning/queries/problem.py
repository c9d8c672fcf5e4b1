"""A practice's rows as the problem that a ``Filler`` solves."""

from collections.abc import Iterable
from dataclasses import dataclass, replace
from datetime import date
from uuid import UUID

from athletes.core.readiness import Advice, Reading, advise, faded
from athletes.models import Athlete
from athletes.queries import SETTINGS
from club.members import Member
from drills.core.catalogue import RiskClass
from drills.models import Drill
from sessions.planning.core.opened import opened
from sessions.planning.core.problem import Facts, Option, Problem, Reason, Why
from sessions.planning.core.worth import ACTIVITY_WORTH, Counts, worth
from sessions.planning.core.worth import History as Seen
from sessions.planning.queries.history import History, history
from sessions.practices.core.plan import Plan
from sessions.practices.models import Practice
from sessions.practices.queries.plan import PlanRows, as_plan, placing, read

NOTHING = Counts()


@dataclass(frozen=True, slots=True)
class Posed:
    """The problem, with the rows it came from and what is known of each athlete's drills."""

    problem: Problem
    rows: PlanRows
    history: History

    def reading(self, athlete: UUID, drill: str) -> Reading | None:
        """Readiness on the day of the practice; None without a counted rep."""
        state = self.history.states.get(athlete, {}).get(drill)
        if state is None or not state.reps or state.day is None:
            return None
        return advise(state, max(self.problem.day, state.day), SETTINGS).reading

    def last(self, athlete: UUID, drill: str) -> date | None:
        return self.history.last.get((athlete, drill))


def pose(member: Member, practice: Practice, anew: bool = False, rows: PlanRows | None = None) -> Posed:
    """The problem as the rows stand. anew: only pinned places stay. rows: of this practice, if they are at hand."""
    rows = rows or read(member, practice)
    known = history(member, practice, rows.athletes)
    stays = [row for row in rows.assignments if row.pinned or not anew]
    plan: Plan = replace(as_plan(rows), placings=tuple(map(placing, stays)))
    facts = tuple(_facts(rows, known, athlete) for athlete in rows.athletes)
    return Posed(Problem(practice.day, plan, facts), rows, known)


def _facts(rows: PlanRows, known: History, athlete: Athlete) -> Facts:
    return Facts(
        vaulter=str(athlete.pk),
        squad=known.squads.get(athlete.pk, ""),
        left_handed=athlete.hand == Athlete.Hand.LEFT,
        options=(*_drills(rows, known, athlete), *_activities(rows)),
        loads=known.loads.get(athlete.pk, ()),
        last_seen=known.seen.get(athlete.pk),
        meet_on=known.meets.get(athlete.pk),
        pole=known.poles.get(athlete.pk),
    )


def _drills(rows: PlanRows, known: History, athlete: Athlete) -> Iterable[Option]:
    states = known.states.get(athlete.pk, {})
    may = opened(states, known.placed.get(athlete.pk, set()), known.progression, SETTINGS)
    for drill in rows.drills:
        if drill.key in may and drill.risk != RiskClass.CONTACT:
            found = worth(_seen(rows, known, athlete, drill))
            yield Option(f"drill:{drill.key}", found.worth, found.reasons, _steps(known, athlete, drill))


def _seen(rows: PlanRows, known: History, athlete: Athlete, drill: Drill) -> Seen:
    state = known.states.get(athlete.pk, {}).get(drill.key)
    day, last = rows.practice.day, known.last.get((athlete.pk, drill.key))
    common = {
        "drill": known.drills.get(drill.key, NOTHING),
        "athlete": known.athletes.get(athlete.pk, NOTHING),
        "days_since": max(0, (day - last).days) if last else None,
        "aims": known.aims.get((athlete.pk, drill.key), ()),
        "focus": known.focus.get(drill.key, ""),
    }
    if state is None or state.day is None:
        return Seen(**common)  # type: ignore[arg-type]
    on = max(day, state.day)
    good, bad = faded(state, on, SETTINGS)
    advice = advise(state, on, SETTINGS).advice
    return Seen(
        own=Counts(good, good + bad),
        days_seen=state.days,
        reps=state.reps,
        settled=advice is Advice.SETTLED,
        easier=advice is Advice.EASIER_DRILL,
        **common,  # type: ignore[arg-type]
    )


def _steps(known: History, athlete: Athlete, drill: Drill) -> int | None:
    """Of a drill with several runs: the shortest at first, a longer one with each day seen."""
    if not drill.steps:
        return None
    state = known.states.get(athlete.pk, {}).get(drill.key)
    return int(drill.steps[min(state.days if state else 0, len(drill.steps) - 1)])


def _activities(rows: PlanRows) -> Iterable[Option]:
    """Open to everybody, worth less than a drill. What counts to load or is cleared one by one is planned by hand."""
    for activity in rows.activities:
        if not activity.job and not activity.needs_clearance and activity.load_id is None:
            yield Option(f"activity:{activity.key}", ACTIVITY_WORTH, (Reason(Why.ACTIVITY),))
