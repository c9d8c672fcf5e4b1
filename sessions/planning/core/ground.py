"""The rules of a practice that do not change while places are sought: who may do what, and what may be done where.

Local rules, the facility's rules and the licensed or certified coach in charge come first.
"""

from collections import defaultdict
from collections.abc import Iterator
from datetime import date, timedelta

from drills.core.catalogue import AdultLevel, PoleNeed, RiskClass
from sessions.planning.core.problem import Bar, Facts, LoadSoFar, Option, Problem, by_key
from sessions.practices.core.plan import LEVELS, LoadLimit, Placing, StationPlace, Vaulter, Work, turns_each, upward
from sessions.practices.core.rules import ADULTS_ON_SITE, Rule, misfit

GAP = timedelta(days=21)
"""First practice after 3 weeks away: floor drills (common practice)."""
EVE = timedelta(days=1)
"""The day before a meet: floor only (common practice)."""
WEEK = timedelta(days=7)
MOST_MOVES = 4
"""Changes of place of one athlete in a practice (common practice)."""
WARM_UPS = frozenset({"activity:warm-up", "activity:run-mechanics"})
FIRST, LAST = "activity:warm-up", "activity:cool-down"
POLES = frozenset({PoleNeed.ANY, PoleNeed.RATED})
"""Work for which athletes bring the pole they use; light short poles are handed out at the station."""


def full_effort(work: Work) -> bool:
    return work.risk in {RiskClass.MOVING, RiskClass.CONTACT} or work.load is not None


def warms(work: Work) -> bool:
    """A floor drill, or an activity that is meant to."""
    return work.key in WARM_UPS or (work.kind == "drill" and not full_effort(work))


def limit_of(load: LoadLimit, vaulter: Vaulter) -> int:
    return load.reps_under_14 if vaulter.under_14 else load.reps


class Ground:
    """A problem, looked up by key. Built once, then read only."""

    def __init__(self, problem: Problem) -> None:
        self.problem, plan = problem, problem.plan
        self.blocks = tuple(sorted(plan.blocks, key=lambda block: block.number))
        self.stations = {station.key: station for station in plan.stations}
        self.adults = {adult.key: LEVELS.index(adult.level) for adult in plan.adults}
        self.works = {work.key: work for work in plan.works}
        self.vaulters = {vaulter.key: vaulter for vaulter in plan.vaulters}
        known = by_key(problem)
        self.facts = {vaulter.key: known.get(vaulter.key, Facts(vaulter.key)) for vaulter in plan.vaulters}
        self.present = tuple(v.key for v in plan.vaulters if not v.out and not v.absent)
        self.jobs = tuple(work for work in plan.works if work.job)
        self.options = {key: {o.work: o for o in facts.options} for key, facts in self.facts.items()}
        self.athlete_bars = {
            (key, work.key): self._athlete_bars(key, work) for key in self.vaulters for work in plan.works
        }
        self.place_bars = {
            (at, work.key): self._place_bars(at, work) for at in (*self.stations, None) for work in plan.works
        }
        self.open = {key: self._open(key) for key in self.vaulters}
        self.places = {
            key: tuple((at, o) for o in found for at in (*self.stations, None) if not self.place_bars[at, o.work])
            for key, found in self.open.items()
        }
        self.fixed: dict[int, list[Placing]] = defaultdict(list)
        for placing in plan.placings:
            self.fixed[placing.block].append(placing)
        self.meant: dict[tuple[int, str | None], set[str]] = defaultdict(set)
        for one in problem.meant:
            self.meant[one.block, one.station].add(one.work)
        self.fixed_load = {block.number: self._fixed_load(block.number) for block in self.blocks}

    def _open(self, key: str) -> tuple[Option, ...]:
        """The options that nothing about the athlete bars, worth most first."""
        found = (o for o in self.facts[key].options if o.work in self.works and not self.athlete_bars[key, o.work])
        return tuple(sorted(found, key=lambda option: (-option.worth, option.work)))

    # What bars an athlete from work wherever it is done

    def _athlete_bars(self, key: str, work: Work) -> tuple[Bar, ...]:
        return tuple(sorted(set(self._bars_of(self.facts[key], self.vaulters[key], work)), key=ORDER))

    def _bars_of(self, facts: Facts, vaulter: Vaulter, work: Work) -> Iterator[Bar]:
        excludes = upward(vaulter.excludes)
        unnamed = not work.job and work.risk is None and RiskClass.MOVING in excludes
        if work.risk in excludes or unnamed or (RiskClass.FLOOR in excludes and not work.job):
            yield Bar.RESTRICTED
        if not work.job and work.key not in self.options[facts.vaulter]:
            yield Bar.NOT_OPEN
        if work.kind == "drill" and work.risk is RiskClass.CONTACT and work.key not in vaulter.touched:
            yield Bar.NOT_OPEN
        if work.needs_clearance:
            yield Bar.CLEARANCE  # grip, pole and run are cleared one by one: jumping is planned by hand
        if work.poles is PoleNeed.RATED and not work.job and not facts.pole_fits:
            yield Bar.POLE
        if full_effort(work):
            yield from self._bars_of_full_effort(facts, work)

    def _bars_of_full_effort(self, facts: Facts, work: Work) -> Iterator[Bar]:
        day = self.problem.day
        if facts.last_seen is None or day - facts.last_seen >= GAP:
            yield Bar.RETURNS
        if facts.meet_on == day + EVE:
            yield Bar.MEET_EVE
        if work.load and not load_day(work.load, self.load_so_far(facts, work.load.key).days, day):
            yield Bar.LOAD_DAYS

    def load_so_far(self, facts: Facts, load: str) -> LoadSoFar:
        return next((found for found in facts.loads if found.load == load), LoadSoFar(load))

    # What bars work from a place whoever does it

    def _place_bars(self, at: str | None, work: Work) -> tuple[Bar, ...]:
        return tuple(sorted(set(self._bars_at(at, work)), key=ORDER))

    def _bars_at(self, at: str | None, work: Work) -> Iterator[Bar]:
        if at is None:
            if work.kind == "drill" or work.job or full_effort(work):
                yield Bar.AREA
        elif work.job:
            if self.stations[at].kind not in work.areas:
                yield Bar.AREA
        elif reason := misfit(work, self.stations[at]):
            yield Bar.AREA if reason is Rule.AREA else Bar.SURFACE
        if self.level(at) < LEVELS.index(work.adult_needed):
            yield Bar.ADULT
        if work.risk in {RiskClass.MOVING, RiskClass.CONTACT} and len(self.adults) < ADULTS_ON_SITE:
            yield Bar.TWO_ADULTS

    def meant_otherwise(self, block: int, at: str | None, work: Work) -> bool:
        """Whether a template means something else to be done there. A job beside it is no matter."""
        meant = self.meant.get((block, at), set())
        return bool(meant) and not work.job and work.key not in meant

    def level(self, at: str | None) -> int:
        """Of the adult who runs the station; at no station, the highest there is."""
        if at is None:
            return max(self.adults.values(), default=0)
        return self.adults.get(self.stations[at].adult or "", 0)

    # Load

    def load_left(self, key: str, load: LoadLimit) -> int:
        """Reps that the athlete may still do in this practice, plan apart."""
        return limit_of(load, self.vaulters[key]) - self.load_so_far(self.facts[key], load.key).reps

    def _fixed_load(self, block: int) -> dict[tuple[str, str], int]:
        """Turns of a load class that places which stay bring in a block: athlete and class → turns."""
        found: dict[tuple[str, str], int] = defaultdict(int)
        queues: dict[str | None, list[Placing]] = defaultdict(list)
        for placing in self.fixed[block]:
            queues[placing.station].append(placing)
        for who in queues.values():
            each = self.turns(block, [self.works[placing.work] for placing in who])
            for placing in who:
                if load := self.works[placing.work].load:
                    found[placing.vaulter, load.key] += each
        return found

    def minutes(self, block: int) -> int:
        return next(span.minutes for span in self.blocks if span.number == block)

    def turns(self, block: int, works: list[Work]) -> int:
        """Turns each in a queue gets; 0 where nothing is done in turns."""
        return turns_each(self.minutes(block), [w.seconds_a_turn for w in works if w.seconds_a_turn and not w.job])

    def capacity(self, station: StationPlace, works: list[Work]) -> int:
        return min([station.places, *(work.places for work in works if work.places is not None)])

    def runs(self, at: str | None, works: list[Work]) -> str | None:
        """The adult who is bound to a station by what is done there; None where it needs nobody."""
        needed = any(work.adult_needed is not AdultLevel.NONE for work in works)
        return self.stations[at].adult if at and needed else None


_PLACE = {bar: place for place, bar in enumerate(Bar)}


def ORDER(bar: Bar) -> int:  # noqa: N802  (a key for sorting)
    return _PLACE[bar]


def load_day(load: LoadLimit, days: tuple[date, ...], day: date) -> bool:
    """Whether the day may have load of this class beside the other days: enough whole days of rest to each of them,
    and never more than so many in any 7 days."""
    others = [other for other in days if other != day]
    if any(abs((other - day).days) <= load.rest_days for other in others):
        return False
    if load.days_a_week is None:
        return True
    every = {*others, day}
    weeks = (start for start in every if start <= day < start + WEEK)
    return all(sum(start <= other < start + WEEK for other in every) <= load.days_a_week for start in weeks)
