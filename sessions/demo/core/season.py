"""Ten weeks of practices, one after the other: planned by what each may try, held, and logged."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from datetime import date, datetime, timedelta
from itertools import groupby
from uuid import UUID

from athletes.core.gates import is_open
from athletes.core.opening import step
from athletes.core.sequence import Place
from athletes.core.standing import Decision, DecisionKind
from drills.core.catalogue import Drill, RiskClass, Unit
from sessions.demo.core import watching
from sessions.demo.core.dice import Dice, chance, new_uuid, one_of
from sessions.demo.core.learners import Learner, Today, attempt, wake
from sessions.demo.core.planning import Group, Spot, plan_block
from sessions.demo.core.tablets import Sending, Tablet
from sessions.demo.core.trade import Trade
from sessions.demo.core.watching import SET, SETTINGS, Scene
from sessions.reps.core.events import AttendanceMark, Hold, LookMarks, Note, OutOfPractice, Release

COMES_LATE = 0.06
FLOOR_AFTER_DAYS = 21
REST_DAYS, LOAD_DAYS_A_WEEK = 1, 2
SETTLED_WORTH, AGAIN_TODAY_WORTH, BEHIND_WORTH, ONE_MORE_WORTH = 0.15, 0.6, 0.6, 0.2
MOST_IN_WORK = 3
"""Drills that a vaulter works at before another one is begun."""
TURNS = {RiskClass.FLOOR: (3, 5), RiskClass.MOVING: (3, 5), RiskClass.CONTACT: (3, 4)}
TIDYING, AFTERWARDS = timedelta(seconds=20), timedelta(minutes=5)
SECOND_LOOKS = 2
"""By the head coach, at a practice at which they look at all."""

Plan = tuple[tuple[Group, ...], ...]
"""Groups of each block."""


@dataclass(frozen=True, slots=True)
class Words:
    """What coaches write, for each reader."""

    coaches: tuple[str, ...]
    athlete: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class Slot:
    """When a practice is. begins: UTC; blocks: beginnings of its blocks; day: the local date."""

    day: date
    begins: datetime
    ends: datetime
    blocks: tuple[datetime, ...]
    block: timedelta
    squads: tuple[int, ...]


@dataclass(frozen=True, slots=True)
class _Turn:
    at: datetime
    number: int
    scene: Scene


@dataclass(slots=True)
class _Practice:
    """One practice while it is held. since: who is there, from when on; until: those who leave before its end."""

    slot: Slot
    tablets: Mapping[str, Tablet]
    stations: Mapping[str, UUID]
    spots: Sequence[Spot]
    since: dict[int, datetime] = field(default_factory=dict)
    until: dict[int, datetime] = field(default_factory=dict)
    days: dict[int, Today] = field(default_factory=dict)
    reps: list[tuple[UUID, int, Drill, int | None]] = field(default_factory=list)

    def is_there(self, number: int, at: datetime) -> bool:
        return number in self.since and self.since[number] <= at < self.until.get(number, self.slot.ends)


@dataclass(slots=True)
class Season:
    """unsafe, leaving, hurt: how many unsafe reps, how many who stop early, and how many who hurt themselves, are still
    to come by."""

    dice: Dice
    trade: Trade
    learners: Sequence[Learner]
    words: Words
    phone: Tablet
    unsafe: int = 0
    leaving: int = 0
    hurt: int = 0

    # Placing and planning

    def place(self, number: int, drill: str, at: datetime) -> None:
        """The head coach places an experienced vaulter, and with the drill all floor and moving ones behind it."""
        learner, progression = self.learners[number], self.trade.progression
        for key in (*progression.placed_below(drill), drill):
            place = Place(at.date(), at, "desk", 0, new_uuid(self.dice))
            decision = Decision(place, key, DecisionKind.PLACE, by_head_coach=True)
            learner.book = step(learner.book, decision, progression, SETTINGS).book

    def plan(self, slot: Slot, spots: Sequence[Spot]) -> Plan:
        """For everybody of the squads who has not said that they are away."""
        who = [n for n, one in enumerate(self.learners) if one.squad in slot.squads and not one.is_away(slot.day)]
        given: dict[int, set[str]] = {number: set() for number in who}
        blocks = []
        for _ in slot.blocks:
            wants = {number: self._wants(self.learners[number], slot.day, given[number]) for number in who}
            groups = plan_block(self.dice, wants, spots, self.trade.drills)
            for group in groups:
                for number in group.vaulters:
                    given[number].add(group.drill or "")
            blocks.append(groups)
        return tuple(blocks)

    def _wants(self, learner: Learner, day: date, given: set[str]) -> dict[str, float]:
        families = {self.trade.drills[key].family for key in given if key}
        open_now = [drill for drill in self.trade.drills.values() if self._may_try(learner, drill, day)]
        deepest = max(self.trade.depth[drill.key] for drill in open_now)
        return {
            drill.key: self._worth(learner, drill, day, deepest)
            * (AGAIN_TODAY_WORTH if drill.family in families else 1)
            for drill in open_now
            if not (drill.load and drill.family in families)
        }

    def _may_try(self, learner: Learner, drill: Drill, day: date) -> bool:
        """By the opening rules, restrictions, load and time away. Nothing at contact without the coach's touch."""
        if drill.risk is RiskClass.CONTACT or not learner.may_do(drill, day):
            return False
        if not is_open(learner.book.track(drill.key), self.trade.progression.drills[drill.key]):
            return False
        if drill.risk is not RiskClass.FLOOR and _days_since(learner.last_day, day) >= FLOOR_AFTER_DAYS:
            return False
        return not drill.load or _rested(learner, day)

    def _worth(self, learner: Learner, drill: Drill, day: date, deepest: int) -> float:
        """What was begun is worked at until it is settled; then the newest. Settled ones are done now and then."""
        last = learner.last_done.get(drill.key)
        waited = min(_days_since(last, day), 14) / 14 if last else 1.0
        worth = (1 + 0.3 * waited + self.dice.uniform(0, 0.4)) * BEHIND_WORTH ** (deepest - self.trade.depth[drill.key])
        if learner.book.track(drill.key).settled_by:
            return worth * SETTLED_WORTH
        return worth * (1 if last or len(self._in_work(learner)) < MOST_IN_WORK else ONE_MORE_WORTH)

    def _in_work(self, learner: Learner) -> list[str]:
        return [key for key in learner.last_done if not learner.book.track(key).settled_by]

    # Holding

    def hold(
        self, slot: Slot, plan: Plan, spots: Sequence[Spot], tablets: Mapping[str, Tablet], stations: Mapping[str, UUID]
    ) -> list[Sending]:
        """What the devices send of it. tablets, stations: by area."""
        held = _Practice(slot, tablets, stations, spots)
        self._arrive(held)
        for spot in spots:
            tablets[spot.area].log(self.dice, slot.begins, Hold(stations[spot.area]))
        for begins, groups in zip(slot.blocks, plan, strict=True):
            self._leave_early(held, begins)
            for area, there in groupby(groups, key=lambda group: group.area):
                self._block(held, area, begins, list(there))
        for spot in spots:
            tablets[spot.area].log(self.dice, slot.ends, Release(stations[spot.area]))
        sent = [sending for tablet in tablets.values() for sending in tablet.send(slot.ends + TIDYING)]
        self._write(held, slot.ends + AFTERWARDS)
        return sent + self.phone.send(slot.ends + AFTERWARDS + TIDYING)

    def _arrive(self, held: _Practice) -> None:
        slot, first = held.slot, next(held.tablets[spot.area] for spot in held.spots if not spot.helper)
        for number, learner in enumerate(self.learners):
            if learner.squad not in slot.squads:
                continue
            at = slot.begins + timedelta(seconds=12 * number - 300)
            if learner.is_away(slot.day) or not chance(self.dice, learner.comes):
                first.log(self.dice, slot.begins + timedelta(minutes=11, seconds=number), _attends(learner, "absent"))
                continue
            late = chance(self.dice, COMES_LATE)
            at = slot.begins + timedelta(minutes=self.dice.randint(14, 26)) if late else at
            first.log(self.dice, at, _attends(learner, "late" if late else "here"))
            held.since[number] = at
            held.days[number] = wake(self.dice, learner, slot.day)

    def _leave_early(self, held: _Practice, begins: datetime) -> None:
        """Somebody is unwell, or has hurt themselves, and stops for the day."""
        there = [number for number in held.since if held.is_there(number, begins)]
        if (self.leaving or self.hurt) and there and begins != held.slot.blocks[0]:
            reason = "injured" if self.hurt else "unwell"
            self.hurt, self.leaving = (self.hurt - 1, self.leaving) if self.hurt else (0, self.leaving - 1)
            number, at = one_of(self.dice, there), begins + timedelta(minutes=4)
            held.until[number] = at
            tablet = next(held.tablets[spot.area] for spot in held.spots if not spot.helper)
            tablet.log(self.dice, at, OutOfPractice(self.learners[number].id, reason))

    def _block(self, held: _Practice, area: str, begins: datetime, groups: list[Group]) -> None:
        turns = [turn for group in groups if group.drill for turn in self._turns(held, area, begins, group)]
        focus: dict[int, frozenset[str]] = {}
        for turn in sorted(turns, key=lambda turn: (turn.at, turn.number)):
            drill, learner = turn.scene.drill, self.learners[turn.number]
            if not held.is_there(turn.number, turn.at):
                continue
            if turn.number not in focus:
                focus[turn.number] = watching.focus(self.dice, self.trade, learner, drill, turn.scene.steps)
                learner.last_done[drill.key] = held.slot.day
                if drill.load and held.slot.day not in learner.load_days:
                    learner.load_days.append(held.slot.day)
            self._take(held, turn, focus[turn.number])

    def _turns(self, held: _Practice, area: str, begins: datetime, group: Group) -> list[_Turn]:
        """The line goes round: everybody's first turn, everybody's second."""
        drill = self.trade.drills[group.drill or ""]
        spot = next(spot for spot in held.spots if spot.area == area)
        scene = Scene(held.slot.day, held.tablets[area], held.stations[area], drill, group.steps, spot.helper)
        rounds = 1 if drill.unit is Unit.SET else self.dice.randint(*TURNS[drill.risk])
        pause = min(timedelta(seconds=45), (held.slot.block - timedelta(minutes=4)) / (rounds * len(group.vaulters)))
        first = begins + timedelta(minutes=2, seconds=self.dice.randint(0, 20))
        return [
            _Turn(first + pause * (k * len(group.vaulters) + place), number, scene)
            for k in range(rounds)
            for place, number in enumerate(group.vaulters)
        ]

    def _take(self, held: _Practice, turn: _Turn, watched: frozenset[str]) -> None:
        learner, today, scene = self.learners[turn.number], held.days[turn.number], turn.scene
        drill, at = scene.drill, turn.at + timedelta(seconds=round(self.dice.uniform(-2, 2), 2))

        def go() -> frozenset[str]:
            return attempt(self.dice, self.trade, learner, today, drill, scene.steps, watched)

        if drill.unit is Unit.SET:
            watching.log_set(self.dice, self.trade, learner, scene, at, watched, [go() for _ in range(SET)])
            return
        unsafe = bool(self.unsafe) and drill.risk is RiskClass.MOVING
        self.unsafe -= unsafe
        event = watching.log_rep(self.dice, self.trade, learner, scene, at, watched, go(), unsafe)
        held.reps.append((event.uuid, turn.number, drill, scene.steps))

    def _write(self, held: _Practice, after: datetime) -> None:
        """Afterwards: a note or two, and now and then the head coach has looked at something else on the same rep."""
        came = sorted(held.since)
        for reader, texts in (("coaches", self.words.coaches), ("athlete", self.words.athlete)):
            if came and chance(self.dice, 0.6):
                learner = self.learners[one_of(self.dice, came)]
                self.phone.log(self.dice, after, Note(learner.id, one_of(self.dice, texts), reader))
        if held.reps and chance(self.dice, 0.4):
            for uuid, _, drill, steps in held.reps[-SECOND_LOOKS:]:
                other = [key for key in self.trade.offered(drill, steps) if key not in drill.gate]
                watched = frozenset({one_of(self.dice, other)})
                self.phone.log(self.dice, after, LookMarks(watched, frozenset(), target=uuid))


def _attends(learner: Learner, state: str) -> AttendanceMark:
    return AttendanceMark(learner.id, state)


def _days_since(last: date | None, day: date) -> int:
    return (day - last).days if last else 0


def _rested(learner: Learner, day: date) -> bool:
    """A day between two days of load, two such days in a week."""
    week = [done for done in learner.load_days if (day - done).days < 7]
    return len(week) < LOAD_DAYS_A_WEEK and all((day - done).days > REST_DAYS for done in week)
