"""From "which group is where" to a place for each athlete, block by block. Whatever comes out keeps every rule."""

from collections import Counter, defaultdict
from collections.abc import Iterable
from dataclasses import dataclass, field

from sessions.planning.core.ground import FIRST, LAST, MOST_MOVES, ORDER, POLES, Ground, full_effort, warms
from sessions.planning.core.groups import Groups
from sessions.planning.core.problem import Bar, Option, Value, repeats
from sessions.planning.core.worth import WARM_UP
from sessions.practices.core.plan import LEVELS, Work

Place = tuple[str | None, str]
"""A station (None: at none) and a family of work."""
Taking = tuple[str, Work]
Sites = dict[str | None, list[Taking]]


@dataclass(slots=True)
class Running:
    """What has gathered over the blocks seated so far."""

    done: dict[tuple[str, str], int] = field(default_factory=lambda: defaultdict(int))
    served: dict[str, float] = field(default_factory=lambda: defaultdict(float))
    load: dict[tuple[str, str], int] = field(default_factory=lambda: defaultdict(int))
    warm: set[str] = field(default_factory=set)
    last: dict[str, str | None] = field(default_factory=dict)
    moves: dict[str, int] = field(default_factory=lambda: defaultdict(int))

    def copy(self) -> "Running":
        return Running(
            self.done.copy(), self.served.copy(), self.load.copy(), set(self.warm), self.last.copy(), self.moves.copy()
        )


@dataclass(slots=True)
class Seated:
    """One block. homes: by group; None where no place suits half of it."""

    block: int
    sites: Sites
    homes: list[Place | None]
    unplaced: list[str]


@dataclass(frozen=True, slots=True)
class Draft:
    blocks: tuple[Seated, ...]
    served: dict[str, float]
    value: Value


class Block:
    """Seats one block. Nobody outside sees it half done."""

    def __init__(self, ground: Ground, number: int, running: Running) -> None:
        self.ground, self.number, self.running = ground, number, running
        self.first = number == ground.blocks[0].number
        self.last = number == ground.blocks[-1].number
        self.later = [span.number for span in ground.blocks if span.number > number]
        self.sites: Sites = defaultdict(list)
        self.at: dict[str, str | None] = {}
        self.fixed: set[str] = set()
        for placing in ground.fixed[number]:
            self._put(placing.vaulter, placing.station, ground.works[placing.work])
            self.fixed.add(placing.vaulter)

    def _put(self, key: str, at: str | None, work: Work) -> None:
        self.sites[at].append((key, work))
        self.at[key] = at

    def _take(self, key: str) -> Work:
        at = self.at.pop(key)
        found = next(work for who, work in self.sites[at] if who == key)
        self.sites[at] = [taking for taking in self.sites[at] if taking[0] != key]
        return found

    # Bars

    def own_bars(self, key: str, at: str | None, work: Work) -> list[Bar]:
        """What keeps this athlete off this work here whoever else is there."""
        found = [*self.ground.athlete_bars[key, work.key], *self.ground.place_bars[at, work.key]]
        if full_effort(work) and key not in self.running.warm:
            found.append(Bar.NOT_WARM)
        if (work.key == FIRST and not self.first) or (work.key == LAST and not self.last):
            found.append(Bar.ORDER)
        if self.ground.meant_otherwise(self.number, at, work):
            found.append(Bar.MEANT)
        if work.load and not work.job and self._load_left(key, work) < max(1, work.least_turns):
            found.append(Bar.LOAD)
        running = self.running
        if running.moves[key] >= MOST_MOVES and running.last.get(key, at) != at:
            found.append(Bar.MOVES)
        return found

    def queue_bar(self, at: str | None, people: list[Taking]) -> tuple[Bar, str] | None:
        """The first rule that these people at one place break, and whom it concerns ("" all of them)."""
        works = [work for _, work in people]
        taking = [work for work in works if not work.job]
        if at is not None and (found := self._station_bar(at, taking, works)):
            return found, ""
        if found := self._adult_bar(at, works) or self._crowded(at, works):
            return found, ""
        return self._turns_bar(people, taking) or self._pole_bar(at, people)

    def _station_bar(self, at: str, taking: list[Work], works: list[Work]) -> Bar | None:
        if len({work.family for work in taking}) > 1:
            return Bar.ONE_FAMILY
        if len(taking) > self.ground.capacity(self.ground.stations[at], taking):
            return Bar.ROOM
        return Bar.AREA if works and not taking else None

    def _crowded(self, at: str | None, works: list[Work]) -> Bar | None:
        """Jobs, and activities at no station, have places of their own."""
        own = Counter(work.key for work in works if work.places is not None and (work.job or at is None))
        return Bar.ROOM if any(own[w.key] > w.places for w in works if w.places is not None) else None

    def _adult_bar(self, at: str | None, works: list[Work]) -> Bar | None:
        ground = self.ground
        needed = {site: _needed(w for _, w in people) for site, people in self.sites.items()} | {at: _needed(works)}
        if not needed[at]:
            return None
        if ground.level(at) < needed[at]:
            return Bar.ADULT
        bound = [ground.stations[site].adult for site, level in needed.items() if site is not None and level]
        if at is not None and bound.count(ground.stations[at].adult) > 1:
            return Bar.ADULT_ELSEWHERE
        free = (level for adult, level in ground.adults.items() if adult not in bound)
        return Bar.ADULT_ELSEWHERE if max(free, default=0) < needed.get(None, 0) else None

    def _turns_bar(self, people: list[Taking], taking: list[Work]) -> tuple[Bar, str] | None:
        each = self.ground.turns(self.number, taking)
        if any(work.seconds_a_turn and each < work.least_turns for work in taking):
            return Bar.FEW_TURNS, ""
        for key, work in people:
            if work.load and not work.job and key not in self.fixed and each > self._load_left(key, work):
                return Bar.LOAD, key
        return None

    def _load_left(self, key: str, work: Work) -> int:
        assert work.load is not None
        pair = key, work.load.key
        booked = self.running.load[pair] + sum(self.ground.fixed_load[block].get(pair, 0) for block in self.later)
        return self.ground.load_left(key, work.load) - booked

    def _pole_bar(self, at: str | None, people: list[Taking]) -> tuple[Bar, str] | None:
        elsewhere = {
            self.ground.facts[key].pole
            for site, others in self.sites.items()
            if site != at
            for key, work in others
            if work.poles in POLES
        } - {None}
        for key, work in people:
            if work.poles in POLES and key not in self.fixed and self.ground.facts[key].pole in elsewhere:
                return Bar.POLE, key
        return None

    def bars(self, key: str, at: str | None, work: Work) -> list[Bar]:
        """Everything that keeps the athlete off this place as the block stands."""
        found = self.own_bars(key, at, work)
        others = [taking for taking in self.sites[at] if taking[0] != key]
        # The rules about a queue, one after another, as far as each can be told from the others.
        if bar := self.queue_bar(at, [*others, (key, work)]):
            found.append(bar[0])
        return sorted(set(found), key=ORDER)

    # Seating

    def gain(self, key: str, option: Option) -> float:
        first = WARM_UP if option.warms_up and self.first else 0.0
        return repeats(option.worth + first, self.running.done[key, option.work])

    def together(self, place: Place, members: Iterable[str]) -> None:
        """Seats as many of these at the place as the rules let, each at what is worth most to them there."""
        at, family = place
        wishes = {key: self._wishes(key, at, family) for key in members if key not in self.at}
        wishes = {key: found for key, found in wishes.items() if found}
        while wishes:
            chosen = [(key, self.ground.works[found[0].work]) for key, found in wishes.items()]
            bar = self.queue_bar(at, [*self.sites[at], *chosen])
            if bar is None:
                for key, work in chosen:
                    self._put(key, at, work)
                return
            if bar[0] not in _ONE_LESS:
                return
            who = bar[1] if bar[1] in wishes else self._first_to_go(wishes)
            wishes[who] = wishes[who][1:] if bar[1] == who else []
            wishes = {key: found for key, found in wishes.items() if found}

    def _wishes(self, key: str, at: str | None, family: str) -> list[Option]:
        works = self.ground.works
        found = [o for o in self.ground.open[key] if works[o.work].family == family]
        found = [o for o in found if not self.own_bars(key, at, works[o.work])]
        return sorted(found, key=lambda option: -self.gain(key, option))

    def _first_to_go(self, wishes: dict[str, list[Option]]) -> str:
        """Whoever was served best so far."""
        return max(wishes, key=lambda key: (self.running.served[key], -self.gain(key, wishes[key][0]), key))

    def alone(self, key: str) -> bool:
        """The best place that is left for one athlete, wherever."""
        works = self.ground.works
        ranked = sorted(self.ground.places[key], key=lambda place: -self.gain(key, place[1]))
        for at, option in ranked:
            work = works[option.work]
            if not self.own_bars(key, at, work) and self.queue_bar(at, [*self.sites[at], (key, work)]) is None:
                self._put(key, at, work)
                return True
        return False

    def job(self, key: str, home: Place | None) -> bool:
        """Something useful beside the others' drill, with one's own group first."""
        sites = sorted((at for at in self.sites if at is not None), key=lambda at: (home is None or at != home[0], at))
        for at in sites:
            for work in self.ground.jobs:
                if not self.own_bars(key, at, work) and self.queue_bar(at, [*self.sites[at], (key, work)]) is None:
                    self._put(key, at, work)
                    return True
        return False

    def back_home(self, key: str, place: Place) -> bool:
        """Back to the group if nothing bars it any more, and nobody left behind breaks a rule by it."""
        at, family = place
        was = self.at.get(key)
        placed = key in self.at
        work = self._take(key) if placed else None
        for option in self._wishes(key, at, family):
            wish = self.ground.works[option.work]
            fits = self.queue_bar(at, [*self.sites[at], (key, wish)]) is None
            if fits and (not placed or not self.sites[was] or self.queue_bar(was, self.sites[was]) is None):
                self._put(key, at, wish)
                return True
        if work is not None:
            self._put(key, was, work)
        return False

    def seat(self, groups: Groups, homes: list[Place | None]) -> Seated:
        by_place: dict[Place, list[str]] = defaultdict(list)
        for group, home in zip(groups, homes, strict=True):
            if home:
                by_place[home].extend(group)
        for place, members in by_place.items():
            self.together(place, members)
        self._rest_together(self._left(groups))
        for _ in range(_ROUNDS):
            placed = [self.alone(key) for key in self._left(groups)]
            homes = [self._home(group, home) for group, home in zip(groups, homes, strict=True)]
            if not any(placed) and not self._gather(groups, homes):
                break
        self._jobs(groups, homes)
        self._gather(groups, homes)
        self.book()
        reached = [self._home(group, home) for group, home in zip(groups, homes, strict=True)]
        missing = [key for key in self.ground.present if key not in self.at]
        return Seated(self.number, dict(self.sites), reached, missing)

    def _rest_together(self, left: list[str]) -> None:
        """Those who are left over open a station that nobody uses yet: some drills are of use to several only."""
        works = self.ground.works
        wishes: dict[Place, float] = defaultdict(float)
        for key in left:
            for at, option in self.ground.places[key]:
                if at is not None and at not in self.sites:
                    wishes[at, works[option.work].family] += self.gain(key, option)
        for place in sorted(wishes, key=lambda place: (-wishes[place], str(place)))[:_OPENED]:
            if place[0] not in self.sites or not self.sites[place[0]]:
                self.together(place, left)

    def _home(self, group: tuple[str, ...], home: Place | None) -> Place | None:
        """Where the group is: where it was meant to be if one of it is there, else where most of it came to be."""
        counts = Counter(self._place(key) for key in group if key in self.at)
        counts.pop(None, None)
        if home in counts or not counts:
            return home if home in counts else None
        return max(counts, key=lambda place: (counts[place], str(place)))

    def _place(self, key: str) -> Place | None:
        work = next(work for who, work in self.sites[self.at[key]] if who == key)
        return None if work.job else (self.at[key], work.family)

    def _gather(self, groups: Groups, homes: list[Place | None]) -> bool:
        """Brings back to their groups whom nothing bars any more; whether there was anybody."""
        away = [
            (key, home)
            for group, home in zip(groups, homes, strict=True)
            if home
            for key in group
            if self._away(key, home)
        ]
        return sum(self.back_home(key, home) for key, home in away) > 0  # each of them, not the first alone

    def _jobs(self, groups: Groups, homes: list[Place | None]) -> None:
        home_of = {key: home for group, home in zip(groups, homes, strict=True) for key in group}
        for key in self._left(groups):
            self.job(key, home_of[key])

    def _away(self, key: str, home: Place) -> bool:
        return key not in self.fixed and self.at.get(key, _NOWHERE) != home[0]

    def _left(self, groups: Groups) -> list[str]:
        left = [key for group in groups for key in group if key not in self.at]
        return sorted(left, key=lambda key: self.running.served[key])

    def book(self) -> None:
        running, ground = self.running, self.ground
        for at, people in self.sites.items():
            each = ground.turns(self.number, [work for _, work in people if not work.job])
            for key, work in people:
                option = ground.options[key].get(work.key)
                if option:
                    running.served[key] += self.gain(key, option)
                running.done[key, work.key] += 1
                if work.load and not work.job:
                    running.load[key, work.load.key] += each
                if warms(work):
                    running.warm.add(key)
                running.moves[key] += running.last.get(key, at) != at
                running.last[key] = at


_ONE_LESS = frozenset({Bar.ROOM, Bar.FEW_TURNS, Bar.LOAD, Bar.POLE})
"""Rules that hold again with fewer people, or with one who does something else."""
_NOWHERE = object()
_OPENED = 6
"""Places that those left over try to open, the most wished for first."""
_ROUNDS = 6
"""Of placing the rest and bringing back to their groups whom nothing bars any more; two are mostly enough."""


def _needed(works: Iterable[Work]) -> int:
    return max((LEVELS.index(work.adult_needed) for work in works), default=0)
