"""Judges an answer by the trade's rules alone, and shares no rule with the code it judges.

Written from the design's rules of a practice plan: groups, places, dose, adults, poles, load, safety. It reads the same
values and computes for itself.

Each broken rule is a sentence. What the coach's own places break by themselves is the coach's.
"""

from collections import Counter, defaultdict
from collections.abc import Iterable
from datetime import timedelta

from drills.core.catalogue import AdultLevel, PoleNeed, RiskClass, Surface, SurfaceVerdict
from sessions.planning.core.problem import Answer, Facts, Problem
from sessions.practices.core.plan import Placing, Work

RANK = {AdultLevel.NONE: 0, AdultLevel.FLOOR: 1, AdultLevel.CONTACT: 2}
FLOOR_ONLY = {RiskClass.FLOOR: {"floor", "moving", "contact"}, RiskClass.MOVING: {"moving", "contact"},
              RiskClass.CONTACT: {"contact"}}  # fmt: skip


class Validator:
    def __init__(self, problem: Problem, answer: Answer) -> None:
        self.problem, self.answer, plan = problem, answer, problem.plan
        self.works = {w.key: w for w in plan.works}
        self.stations = {s.key: s for s in plan.stations}
        self.adults = {a.key: RANK[a.level] for a in plan.adults}
        self.people = {v.key: v for v in plan.vaulters}
        self.facts = {f.vaulter: f for f in problem.facts}
        self.minutes = {b.number: b.minutes for b in plan.blocks}
        self.kept = plan.placings
        self.new = answer.placings
        self.all = (*self.kept, *self.new)
        self.queues: dict[tuple[int, str | None], list[Placing]] = defaultdict(list)
        for p in self.all:
            self.queues[p.block, p.station].append(p)

    def broken(self) -> list[str]:
        found = [
            *self.one_place(), *self.whom(), *self.together(), *self.adults_there(), *self.doses(), *self.loads(),
            *self.poles(), *self.warm(), *self.groups(), *self.moves(), *self.told(),
        ]  # fmt: skip
        return [said for said in found if said]

    def said(self, rule: str, p: Placing | str) -> str:
        return f"{rule}: {p}"

    # one place a block, and the coach's places as they were
    def one_place(self) -> Iterable[str]:
        for (block, who), n in Counter((p.block, p.vaulter) for p in self.all).items():
            if n > 1:
                yield f"{who} has {n} places in block {block}"
        for p in self.new:
            if p.vaulter not in self.people or p.block not in self.minutes or p.work not in self.works:
                yield self.said("unknown", p)
            elif self.people[p.vaulter].out or self.people[p.vaulter].absent:
                yield self.said("not here", p)

    # only what is safe and open
    def whom(self) -> Iterable[str]:
        for p in self.new:
            yield from (self.said(rule, p) for rule in self.not_for(p.vaulter, self.works[p.work], p.station))
            work = self.works[p.work]
            meant = {m.work for m in self.problem.meant if (m.block, m.station) == (p.block, p.station)}
            if meant and not work.job and p.work not in meant:
                yield self.said("a template means something else there", p)
            if work.steps and p.steps not in work.steps:
                yield self.said("steps", p)

    def not_for(self, who: str, work: Work, station: str | None) -> list[str]:
        person, facts, found = self.people[who], self.facts.get(who, Facts(who)), []
        excluded: set[str] = set().union(*(FLOOR_ONLY[risk] for risk in person.excludes)) if person.excludes else set()
        if work.risk is not None and work.risk.value in excluded:
            found.append("restriction")
        if "floor" in excluded and not work.job:
            found.append("restriction")
        if "moving" in excluded and work.risk is None and not work.job:
            found.append("restriction that an activity may touch")
        if not work.job and work.key not in {o.work for o in facts.options}:
            found.append("not open")
        if work.risk is RiskClass.CONTACT and work.kind == "drill" and work.key not in person.touched:
            found.append("contact without the head coach's touch")
        if work.needs_clearance:
            found.append("jumping without clearance of grip, pole and run")
        if work.poles is PoleNeed.RATED and not work.job and not facts.pole_fits:
            found.append("a pole that fits is not known")
        hard = self.hard(work)
        if hard and (facts.last_seen is None or (self.problem.day - facts.last_seen).days >= 21):
            found.append("return after three weeks")
        if hard and facts.meet_on is not None and (facts.meet_on - self.problem.day).days == 1:
            found.append("meet eve")
        return found + self.not_there(work, station)

    def hard(self, work: Work) -> bool:
        return bool(work.load) or work.risk in (RiskClass.MOVING, RiskClass.CONTACT)

    def not_there(self, work: Work, station: str | None) -> list[str]:
        if station is None:
            return ["needs a station"] if work.kind == "drill" or work.job or self.hard(work) else []
        place, found = self.stations[station], []
        if place.kind not in work.areas:
            found.append("kind of place")
        if work.kind == "drill":
            verdict = {str(k): v for k, v in work.verdicts.items()}.get(place.surface)
            if verdict not in (SurfaceVerdict.GOOD, SurfaceVerdict.TRY_FIRST):
                found.append("surface")
            if work.slides and place.surface == Surface.GRASS:
                found.append("sliding tip on grass")
        return found

    # one family a station and block, within its places
    def together(self) -> Iterable[str]:
        for (block, station), who in self.queues.items():
            taking = [self.works[p.work] for p in who if not self.works[p.work].job]
            if self.mine(who) and station is not None:
                room = min([self.stations[station].places, *(w.places for w in taking if w.places is not None)])
                if len(taking) > room:
                    yield f"room at {station} in block {block}: {len(taking)} of {room}"
                if len({w.family for w in taking}) > 1:
                    yield f"families at {station} in block {block}"
                if not taking:
                    yield f"jobs beside nobody at {station} in block {block}"
            apart = Counter(p.work for p in who if self.works[p.work].job or station is None)
            for key, n in apart.items():
                limit = self.works[key].places
                if limit is not None and n > limit and self.mine([p for p in who if p.work == key]):
                    yield f"{n} at {key} in block {block}, {station}"

    def mine(self, who: Iterable[Placing]) -> bool:
        return any(p in self.new for p in who)

    def needs(self, who: Iterable[Placing]) -> int:
        """The level that what is done there asks for; contact asks for contact whatever the catalogue says."""
        levels = (2 if self.works[p.work].risk is RiskClass.CONTACT else RANK[self.works[p.work].adult] for p in who)
        return max(levels, default=0)

    def adults_there(self) -> Iterable[str]:
        for block in self.minutes:
            yield from self.adults_in(block, {s: who for (b, s), who in self.queues.items() if b == block})
        for p in self.new:
            if self.works[p.work].risk in (RiskClass.MOVING, RiskClass.CONTACT) and len(self.adults) < 2:
                yield self.said("two adults", p)

    def adults_in(self, block: int, here: dict[str | None, list[Placing]]) -> Iterable[str]:
        bound: dict[str, list[str]] = defaultdict(list)
        for station, who in here.items():
            if station is None or not self.needs(who):
                continue
            runs = self.stations[station].adult or ""
            bound[runs].append(station)
            if self.adults.get(runs, 0) < self.needs(self.ours(who)):
                yield f"adult at {station} in block {block}"
        for adult, stations in bound.items():
            if adult and len(stations) > 1 and any(self.needs(self.ours(here[s])) for s in stations):
                yield f"{adult} runs {len(stations)} stations in block {block}"
        free = max((level for adult, level in self.adults.items() if adult not in bound), default=0)
        if self.needs(self.ours(here.get(None, []))) > free:
            yield f"nobody is free for those at no station in block {block}"

    def ours(self, who: Iterable[Placing]) -> list[Placing]:
        return [p for p in who if p in self.new]

    def each(self, who: list[Placing]) -> int:
        seconds = sum(self.works[p.work].seconds_a_turn or 0 for p in who if not self.works[p.work].job)
        return self.minutes[who[0].block] * 60 // seconds if seconds else 0

    def doses(self) -> Iterable[str]:
        for who in self.queues.values():
            for p in who:
                work = self.works[p.work]
                if work.job or not work.seconds_a_turn or not self.mine(who):
                    continue
                if self.each(who) < work.least_turns:
                    yield self.said(f"{self.each(who)} turns", p)

    # load over practice and week, logged reps included
    def loads(self) -> Iterable[str]:
        for who in self.people:
            turns: Counter[str] = Counter()
            added: set[str] = set()
            for queue in self.queues.values():
                for p in queue:
                    work = self.works[p.work]
                    if p.vaulter == who and work.load and not work.job:
                        turns[work.load.key] += self.each(queue)
                        added |= {work.load.key} if p in self.new else set()
            for key in added:
                yield self.load_of(who, key, turns[key])

    def load_of(self, who: str, key: str, turns: int) -> str:
        load = next(w.load for w in self.works.values() if w.load and w.load.key == key)
        limit = load.reps_under_14 if self.people[who].under_14 else load.reps
        facts = self.facts.get(who, Facts(who))
        done = sum(found.reps for found in facts.loads if found.load == key)
        if turns + done > limit:
            return f"{who}: {turns} turns and {done} reps of {key}, limit {limit}"
        day, days = self.problem.day, {d for found in facts.loads if found.load == key for d in found.days}
        if any(0 < abs((other - day).days) <= load.rest_days for other in days):
            return f"{who}: no day between two of {key}"
        for back in range(7):  # every stretch of seven days around this one
            first = day - timedelta(days=back)
            held = {d for d in days | {day} if 0 <= (d - first).days < 7}
            if load.days_a_week is not None and len(held) > load.days_a_week:
                return f"{who}: {len(held)} days of {key} in a week"
        return ""

    # one pole at one station at a time
    def poles(self) -> Iterable[str]:
        for block in self.minutes:
            at: dict[str, set[str | None]] = defaultdict(set)
            ours: set[str] = set()
            for p in self.all:
                pole = self.facts.get(p.vaulter, Facts(p.vaulter)).pole
                if p.block == block and pole and self.works[p.work].poles in (PoleNeed.ANY, PoleNeed.RATED):
                    at[pole].add(p.station)
                    ours |= {pole} if p in self.new else set()
            twice = [pole for pole in sorted(ours) if len(at[pole]) > 1]
            yield from (f"pole {pole} at {len(at[pole])} stations in block {block}" for pole in twice)

    # warm-up before full effort
    def warm(self) -> Iterable[str]:
        for p in self.new:
            if self.hard(self.works[p.work]):
                before = [self.works[q.work] for q in self.all if q.vaulter == p.vaulter and q.block < p.block]
                if not any(self.warms(work) for work in before):
                    yield self.said("not warm", p)

    def warms(self, work: Work) -> bool:
        named = work.key in ("activity:warm-up", "activity:run-mechanics")
        return named or (work.kind == "drill" and work.risk is RiskClass.FLOOR and not work.load)

    # groups of three to six move together; who leaves has a reason that holds
    def groups(self) -> Iterable[str]:
        here = sorted(key for key, v in self.people.items() if not v.out and not v.absent)
        if sorted(key for group in self.answer.groups for key in group) != here:
            yield "groups are not everybody once"
        for group in self.answer.groups:
            if not 3 <= len(group) <= 6 and len(here) >= 3:
                yield f"a group of {len(group)}"
        at = {(p.block, p.vaulter): p for p in self.all}
        stated = {(leave.block, leave.vaulter) for leave in self.answer.leaves}
        away: set[tuple[int, str]] = set()
        for home in self.answer.homes:
            group = self.answer.groups[home.group]
            there = [key for key in group if (home.block, key) in at and at[home.block, key].station == home.station]
            if not there and any((home.block, key) in at for key in group):
                yield f"nobody of group {home.group} is at home in block {home.block}"
            for key in group:
                p = at.get((home.block, key))
                if p is not None and p.station != home.station:
                    away.add((home.block, key))
                    if (home.block, key) not in stated:
                        yield self.said("left the group without a reason", p)
                    elif p in self.new and not self.kept_away(p, home.station, home.family):
                        yield self.said("could have stayed with the group", p)
        yield from (f"a reason for one who did not leave: {one}" for one in stated - away)

    def kept_away(self, p: Placing, station: str | None, family: str) -> bool:
        """Whether a rule breaks if this athlete goes to the group's place instead, at whatever they may do there."""
        for work in self.works.values():
            if work.family != family or work.job:
                continue
            moved = Placing(p.block, p.vaulter, work.key, station, next(iter(work.steps), None))
            others = tuple(q for q in self.new if q != p)
            changed = Validator(self.problem, Answer(placings=(*others, moved), groups=self.answer.groups))
            if not (set(changed.rules()) - set(self.rules())):
                return False
        return True

    def rules(self) -> list[str]:
        found = [*self.one_place(), *self.whom(), *self.together(), *self.adults_there(), *self.doses(), *self.loads(),
                 *self.poles(), *self.warm(), *self.moves()]  # fmt: skip
        return [said for said in found if said]

    # at most four moves a practice
    def moves(self) -> Iterable[str]:
        for who in self.people:
            way = [p.station for p in sorted(self.all, key=lambda p: p.block) if p.vaulter == who]
            n = sum(a != b for a, b in zip(way, way[1:], strict=False))
            if n > 4 and any(p.vaulter == who for p in self.new):
                yield f"{who} moves {n} times"

    # a plan, or what collides: nobody is left out in silence
    def told(self) -> Iterable[str]:
        placed = {(p.block, p.vaulter) for p in self.all}
        here = {key for key, v in self.people.items() if not v.out and not v.absent}
        missing = {(block, key) for block in self.minutes for key in here} - placed
        named = {(c.block, key) for c in self.answer.collisions for key in c.vaulters}
        if self.minutes and missing != named:
            yield f"without a place and not named: {sorted(missing ^ named)}"
        yield from (f"no rule is named: {c}" for c in self.answer.collisions if not c.bars)
        if self.minutes and self.answer.value.unplaced != len(missing):
            yield f"{self.answer.value.unplaced} said to have no place, {len(missing)} have none"


def broken_rules(problem: Problem, answer: Answer) -> list[str]:
    """Every broken rule as a sentence; empty for a legal plan."""
    return Validator(problem, answer).broken()


def could_be_placed(problem: Problem, answer: Answer) -> list[str]:
    """Athletes left without a place whom some place would take without breaking any rule: a filler that is lazy."""
    judge = Validator(problem, answer)
    before, found = set(judge.rules()), []
    for collision in answer.collisions:
        for who in collision.vaulters:
            for station in (*judge.stations, None):
                for work in judge.works.values():
                    new = Placing(collision.block, who, work.key, station, next(iter(work.steps), None))
                    more = Answer(placings=(*answer.placings, new), groups=answer.groups)
                    if collision.block in judge.minutes and not set(Validator(problem, more).rules()) - before:
                        found.append(f"{who} in block {collision.block}: {work.key} at {station}")
    return found
