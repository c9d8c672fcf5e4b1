"""The rules a plan is checked against, each named when broken.

Three kinds, told apart by type: a ``SafetyRefusal`` and a ``PlanRefusal`` are never stored, the first because somebody
could be hurt, the second because such a plan says nothing; a ``PlanWarning`` is said and may be gone against.
"""

from collections import defaultdict
from dataclasses import dataclass
from enum import StrEnum

from drills.core.catalogue import AdultLevel, RiskClass, Surface, SurfaceVerdict
from sessions.practices.core.plan import LEVELS, Placing, Plan, StationPlace, Work, turns_each, upward

ADULTS_ON_SITE = 2
"""Fewer than this: floor drills only."""


class Rule(StrEnum):
    # refused for safety
    RESTRICTED = "restricted"
    OUT_OF_PRACTICE = "out of practice"
    NOT_OPENED = "not opened by the head coach"
    NO_CLEARANCE = "no clearance"
    SURFACE = "surface"
    ADULT = "adult"
    ADULT_ELSEWHERE = "adult elsewhere"
    TWO_ADULTS = "two adults"
    NEEDS_STATION = "needs a station"
    # refused because the plan would say nothing
    ONE_PLACE = "one place"
    ROOM = "room"
    ONE_FAMILY = "one family"
    AREA = "area"
    STEPS = "steps"
    # said
    TRY_FIRST = "try first"
    FEW_TURNS = "few turns"
    LONG_QUEUE = "long queue"
    LOAD = "load"
    ABSENT = "absent"
    LOOK_AT_RESTRICTION = "look at restriction"
    NOT_OPEN_YET = "not open yet"
    CHECK_DUE = "check due"


@dataclass(frozen=True, slots=True)
class Finding:
    """A rule and where it is broken. vaulters: whom it concerns. count, limit: the figures of rules that have some."""

    rule: Rule
    block: int
    station: str | None
    work: str
    vaulters: tuple[str, ...]
    count: int = 0
    limit: int = 0


@dataclass(frozen=True, slots=True)
class SafetyRefusal(Finding):
    pass


@dataclass(frozen=True, slots=True)
class PlanRefusal(Finding):
    pass


@dataclass(frozen=True, slots=True)
class PlanWarning(Finding):
    pass


@dataclass(frozen=True, slots=True)
class Queue:
    """Those at one station in one block (all who stand at none are one queue too)."""

    plan: Plan
    block: int
    station: StationPlace | None
    placings: tuple[Placing, ...]

    def found(self, kind: type[Finding], rule: Rule, who: list[Placing], count: int = 0, limit: int = 0) -> Finding:
        station = self.station.key if self.station else None
        return kind(rule, self.block, station, who[0].work, tuple(p.vaulter for p in who), count, limit)

    def by_work(self) -> dict[Work, list[Placing]]:
        groups: dict[str, list[Placing]] = defaultdict(list)
        for placing in self.placings:
            groups[placing.work].append(placing)
        return {self.plan.work(key): who for key, who in groups.items()}

    def in_turn(self) -> list[Placing]:
        """Those who take turns: a job beside the others' drill takes none."""
        return [placing for placing in self.placings if not self.plan.work(placing.work).job]


def check(plan: Plan) -> tuple[Finding, ...]:
    """Everything the plan breaks or should be told, block by block."""
    found: list[Finding] = []
    for queue in queues(plan):
        for work, who in queue.by_work().items():
            found += _persons(queue, work, who)
            found += _where(queue, work, who)
            found += _adults(queue, work, who)
        found += _together(queue)
    return tuple(found + _one_place(plan) + _adults_twice(plan) + _loads(plan))


def concerning(findings: tuple[Finding, ...], placings: tuple[Placing, ...]) -> tuple[Finding, ...]:
    """What of the findings touches these placings."""
    at = {(placing.block, placing.vaulter) for placing in placings}
    return tuple(f for f in findings if any((f.block, vaulter) in at for vaulter in f.vaulters))


def queues(plan: Plan) -> list[Queue]:
    groups: dict[tuple[int, str | None], list[Placing]] = defaultdict(list)
    for placing in plan.placings:
        groups[placing.block, placing.station].append(placing)
    return [
        Queue(plan, block, plan.station(station) if station else None, tuple(who))
        for (block, station), who in groups.items()
    ]


def turns(queue: Queue) -> int:
    """Turns each in the queue gets; 0 where nothing is done in turns."""
    works = [queue.plan.work(placing.work) for placing in queue.in_turn()]
    return turns_each(queue.plan.block(queue.block).minutes, [w.seconds_a_turn for w in works if w.seconds_a_turn])


def misfit(work: Work, station: StationPlace) -> Rule | None:
    """Why this work can never be done at that place, whoever comes: the area's kind or its surface."""
    if station.kind not in work.areas:
        return Rule.AREA
    return Rule.SURFACE if surface_verdict(work, station) is SurfaceVerdict.NEVER else None


def surface_verdict(work: Work, station: StationPlace) -> SurfaceVerdict:
    """NEVER where the tip slides and the ground is grass, and where a drill does not name the surface."""
    if work.kind == "activity":
        return SurfaceVerdict.GOOD
    if work.slides and station.surface == Surface.GRASS:
        return SurfaceVerdict.NEVER
    return {str(on): verdict for on, verdict in work.verdicts.items()}.get(station.surface, SurfaceVerdict.NEVER)


def _persons(queue: Queue, work: Work, who: list[Placing]) -> list[Finding]:
    """Rules about each athlete for themselves, one finding an athlete so that each is named with their own reason."""
    found: list[Finding] = []
    for placing in who:
        vaulter = queue.plan.vaulter(placing.vaulter)
        excludes = upward(vaulter.excludes)
        if vaulter.out:
            found.append(queue.found(SafetyRefusal, Rule.OUT_OF_PRACTICE, [placing]))
        if work.risk in excludes or (RiskClass.FLOOR in excludes and not work.job):
            found.append(queue.found(SafetyRefusal, Rule.RESTRICTED, [placing]))
        elif RiskClass.MOVING in excludes and work.risk is None and not work.job:
            found.append(queue.found(PlanWarning, Rule.LOOK_AT_RESTRICTION, [placing]))
        if work.kind == "drill" and work.risk is RiskClass.CONTACT and work.key not in vaulter.touched:
            found.append(queue.found(SafetyRefusal, Rule.NOT_OPENED, [placing]))
        elif work.key in vaulter.shut:
            found.append(queue.found(PlanWarning, Rule.NOT_OPEN_YET, [placing]))
        if work.needs_clearance and work.key not in vaulter.touched:
            found.append(queue.found(SafetyRefusal, Rule.NO_CLEARANCE, [placing]))
        elif work.needs_clearance and work.key in vaulter.due:
            found.append(queue.found(PlanWarning, Rule.CHECK_DUE, [placing]))
        if work.steps and placing.steps not in work.steps:
            found.append(queue.found(PlanRefusal, Rule.STEPS, [placing]))
        if vaulter.absent:
            found.append(queue.found(PlanWarning, Rule.ABSENT, [placing]))
    return found


def _where(queue: Queue, work: Work, who: list[Placing]) -> list[Finding]:
    if queue.station is None:
        runs = work.kind == "drill" or work.adult_needed is AdultLevel.CONTACT
        return [queue.found(SafetyRefusal, Rule.NEEDS_STATION, who)] if runs else []
    if work.job:
        return []
    reason = misfit(work, queue.station)
    if reason:
        return [queue.found(SafetyRefusal if reason is Rule.SURFACE else PlanRefusal, reason, who)]
    if surface_verdict(work, queue.station) is SurfaceVerdict.TRY_FIRST:
        return [queue.found(PlanWarning, Rule.TRY_FIRST, who)]
    return []


def _adults(queue: Queue, work: Work, who: list[Placing]) -> list[Finding]:
    found: list[Finding] = []
    if work.risk in {RiskClass.MOVING, RiskClass.CONTACT} and len(queue.plan.adults) < ADULTS_ON_SITE:
        found.append(queue.found(SafetyRefusal, Rule.TWO_ADULTS, who, len(queue.plan.adults), ADULTS_ON_SITE))
    needed = LEVELS.index(work.adult_needed)
    if queue.station:
        runs = queue.plan.adult(queue.station.adult)
        level = LEVELS.index(runs.level) if runs else 0
    else:
        level = max((LEVELS.index(adult.level) for adult in queue.plan.adults), default=0)
    if level < needed:
        found.append(queue.found(SafetyRefusal, Rule.ADULT, who))
    return found


def _together(queue: Queue) -> list[Finding]:
    """Rules about all who share a station in a block."""
    who = queue.in_turn()
    if queue.station is None or not who:
        return []
    found: list[Finding] = []
    if len(who) > queue.station.places:
        found.append(queue.found(PlanRefusal, Rule.ROOM, who, len(who), queue.station.places))
    if len({queue.plan.work(placing.work).family for placing in who}) > 1:
        found.append(queue.found(PlanRefusal, Rule.ONE_FAMILY, who))
    each = turns(queue)
    for work, doing in queue.by_work().items():
        if work.places is not None and len(who) > work.places and not work.job:
            found.append(queue.found(PlanWarning, Rule.LONG_QUEUE, doing, len(who), work.places))
        if work.seconds_a_turn and each < work.least_turns:
            found.append(queue.found(PlanWarning, Rule.FEW_TURNS, doing, each, work.least_turns))
    return found


def _one_place(plan: Plan) -> list[Finding]:
    places: dict[tuple[int, str], list[Placing]] = defaultdict(list)
    for placing in plan.placings:
        places[placing.block, placing.vaulter].append(placing)
    return [
        PlanRefusal(Rule.ONE_PLACE, block, who[0].station, who[0].work, (vaulter,), len(who), 1)
        for (block, vaulter), who in places.items()
        if len(who) > 1
    ]


def _adults_twice(plan: Plan) -> list[Finding]:
    """No more stations with an adult than adults: who runs one that needs an adult runs no other in that block."""
    running: dict[tuple[int, str], list[Queue]] = defaultdict(list)
    for queue in queues(plan):
        needs = any(work.adult_needed is not AdultLevel.NONE for work in queue.by_work())
        if queue.station and queue.station.adult and needs:
            running[queue.block, queue.station.adult].append(queue)
    return [
        queue.found(SafetyRefusal, Rule.ADULT_ELSEWHERE, list(queue.placings), len(held), 1)
        for held in running.values()
        if len(held) > 1
        for queue in held
    ]


def _loads(plan: Plan) -> list[Finding]:
    """Turns of one load class over the whole practice, for each athlete; said in the block that passes the limit."""
    planned: dict[tuple[str, str], int] = defaultdict(int)
    found: list[Finding] = []
    for queue in sorted(queues(plan), key=lambda queue: queue.block):
        each = turns(queue)
        for placing in queue.in_turn():
            load, vaulter = plan.work(placing.work).load, plan.vaulter(placing.vaulter)
            if load is None:
                continue
            limit = load.reps_under_14 if vaulter.under_14 else load.reps
            before = planned[vaulter.key, load.key]
            planned[vaulter.key, load.key] = before + each
            if before <= limit < before + each:
                found.append(queue.found(PlanWarning, Rule.LOAD, [placing], before + each, limit))
    return found


def fits(work: Work, station: StationPlace | None) -> bool:
    """May this work be offered at that place at all (None: at no station)?"""
    if station is None:
        return work.kind == "activity" and work.adult_needed is not AdultLevel.CONTACT
    return work.job or misfit(work, station) is None
