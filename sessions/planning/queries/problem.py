"""A practice's rows as the problem that a ``Filler`` solves."""

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import date
from uuid import UUID

from athletes.core.readiness import Advice, Reading, faded
from athletes.core.standing import Standing as State
from athletes.models import Athlete
from athletes.queries import SETTINGS
from athletes.queries.standing import MayTry, WarmUp, may_try, warm_ups
from club.members import Member
from sessions.planning.core.problem import Facts, Meant, Option, Problem, Reason, Why
from sessions.planning.core.worth import ACTIVITY_WORTH, Counts, WarmUpOf, worth
from sessions.planning.core.worth import History as Seen
from sessions.planning.queries.history import History, history
from sessions.practices.core.plan import Plan
from sessions.practices.models import Practice
from sessions.practices.queries.plan import PlanRows, as_plan, placing, read

NOTHING = Counts()


@dataclass(frozen=True, slots=True)
class Posed:
    """The problem, with the rows it came from, what each athlete may try, and what is known of them."""

    problem: Problem
    rows: PlanRows
    may: Mapping[UUID, Mapping[str, MayTry]]
    history: History

    def reading(self, athlete: UUID, drill: str) -> Reading | None:
        """Readiness on the day of the practice; None without a counted rep, and where the drill is not open."""
        found = self.may[athlete].get(drill)
        if found is None or found.reading is None or not found.reading.state.reps:
            return None
        return found.reading.advised.reading

    def last(self, athlete: UUID, drill: str) -> date | None:
        """The last day with a rep: of late, else the last counted one."""
        found = self.may[athlete].get(drill)
        remembered = found.reading.state.day if found and found.reading else None
        return self.history.last.get((athlete, drill), remembered)


def pose(member: Member, practice: Practice, anew: bool = False, rows: PlanRows | None = None) -> Posed:
    """The problem as the rows stand. anew: only pinned places stay. rows: of this practice, if they are at hand."""
    rows = rows or read(member, practice)
    open_to = may_try(member, rows.athletes, practice.day, rows.stands)
    may = {athlete: {one.drill.key: one for one in found} for athlete, found in open_to.items()}
    checks = warm_ups(member, rows.athletes)
    known = history(member, practice, rows.athletes)
    stays = [row for row in rows.assignments if row.pinned or not anew]
    plan: Plan = replace(as_plan(rows), placings=tuple(map(placing, stays)))
    posed = Posed(Problem(practice.day, plan, (), tuple(_meant(rows, plan))), rows, may, known)
    facts = tuple(_facts(posed, athlete, checks.get(athlete.pk, [])) for athlete in rows.athletes)
    return replace(posed, problem=replace(posed.problem, facts=facts))


def _meant(rows: PlanRows, plan: Plan) -> Iterable[Meant]:
    """What a template means, except where somebody was put to something else by hand: then that gives way."""
    numbers = {block.pk: block.number for block in rows.blocks}
    jobs = {work.key for work in plan.works if work.job}
    said = [
        Meant(
            numbers[row.block_id],
            str(row.station_id) if row.station_id else None,
            f"drill:{row.drill.key}" if row.drill else f"activity:{row.activity.key}",
        )
        for row in rows.planned
    ]
    known = {(one.block, one.station, one.work) for one in said}
    other = {
        (one.block, one.station)
        for one in plan.placings
        if (one.block, one.station, one.work) not in known and one.work not in jobs
    }
    return (one for one in said if one.work not in jobs and (one.block, one.station) not in other)


def _facts(posed: Posed, athlete: Athlete, checks: Sequence[WarmUp]) -> Facts:
    known = posed.history
    return Facts(
        vaulter=str(athlete.pk),
        squad=known.squads.get(athlete.pk, ""),
        left_handed=athlete.hand == Athlete.Hand.LEFT,
        options=(*_drills(posed, athlete, checks), *_activities(posed.rows)),
        loads=known.loads.get(athlete.pk, ()),
        last_seen=known.seen.get(athlete.pk),
        meet_on=known.meets.get(athlete.pk),
        pole=known.poles.get(athlete.pk),
    )


def _drills(posed: Posed, athlete: Athlete, checks: Sequence[WarmUp]) -> Iterable[Option]:
    names = {drill.key: drill.name for drill in posed.rows.drills}
    running = {check.drill: check for check in checks}
    for one in posed.may[athlete.pk].values():
        check = running.get(one.drill.key)
        warm_up = WarmUpOf(names.get(check.opened, check.opened), check.seen, check.wanted) if check else None
        found = worth(_seen(posed, athlete, one, warm_up))
        key = f"drill:{one.drill.key}"
        yield Option(key, found.worth, found.reasons, _steps(one), warms_up=check is not None)


def _seen(posed: Posed, athlete: Athlete, one: MayTry, warm_up: WarmUpOf | None) -> Seen:
    key, known, day = one.drill.key, posed.history, posed.problem.day
    last = posed.last(athlete.pk, key)
    seen = Seen(
        drill=known.drills.get(key, NOTHING),
        athlete=known.athletes.get(athlete.pk, NOTHING),
        days_since=max(0, (day - last).days) if last else None,
        aims=known.aims.get((athlete.pk, key), ()),
        focus=known.focus.get(key, ""),
        settled=one.stand.state is State.SETTLED,
        warm_up=warm_up,
    )
    if one.reading is None or one.reading.state.day is None:
        return seen
    state = one.reading.state
    good, bad = faded(state, max(day, one.reading.state.day), SETTINGS)
    return replace(
        seen,
        own=Counts(good, good + bad),
        days_seen=state.days,
        reps=state.reps,
        easier=one.reading.advised.advice is Advice.EASIER_DRILL,
    )


def _steps(one: MayTry) -> int | None:
    """Of a drill with several runs: the shortest at first, a longer one with each day seen."""
    steps: list[int] = one.drill.steps
    days = one.reading.state.days if one.reading else 0
    return steps[min(days, len(steps) - 1)] if steps else None


def _activities(rows: PlanRows) -> Iterable[Option]:
    """Open to everybody, worth less than a drill. What counts to load or is cleared one by one is planned by hand."""
    for activity in rows.activities:
        if not activity.job and not activity.needs_clearance and activity.load_id is None:
            yield Option(f"activity:{activity.key}", ACTIVITY_WORTH, (Reason(Why.ACTIVITY),))
