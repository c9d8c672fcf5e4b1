"""A practice to be filled, and the answer, as frozen values. Keys are those of the practice's plan.

Whoever fills a practice is a ``Filler``: today a greedy start with local search; an optimising solver takes the same
problem and gives the same answer, with its bound.
"""

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date
from enum import StrEnum
from typing import Protocol

from sessions.practices.core.plan import Placing, Plan


class Why(StrEnum):
    """What speaks for or against a place, as data. The words stand in ``sessions.planning.words``."""

    LEARNING = "in the learning zone"
    TOO_HARD = "too hard yet"
    TOO_SURE = "nearly always good"
    PERSISTENT_FAULT = "aims at a persistent fault"
    FIRST_LINK = "aims at the first link of a chain"
    TOO_LITTLE_SEEN = "too little seen"
    NEVER_DONE = "never done"
    LAST_DONE = "last done"
    WARM_UP = "stays in the warm-up"
    FOCUS = "the practice's focus"
    SETTLED = "settled"
    EASIER = "the figures advise an easier drill"
    ACTIVITY = "an activity"
    JOB = "a job beside the others' drill"


@dataclass(frozen=True, slots=True)
class Reason:
    """part of whole: counts of reps (faulty of watched, good of counted); days: since; what: a name; share: 0 to 1."""

    why: Why
    what: str = ""
    part: int = 0
    whole: int = 0
    days: int = 0
    share: float = 0.0


@dataclass(frozen=True, slots=True)
class Option:
    """Work that an athlete may try, restrictions and the day apart. worth: 0 to 1, of the first place in it.

    steps: of the run, where the drill is done with several. warms_up: it stays in this athlete's warm-up, because a
    drill that it opened is still being checked.
    """

    work: str
    worth: float
    reasons: tuple[Reason, ...] = ()
    steps: int | None = None
    warms_up: bool = False


@dataclass(frozen=True, slots=True)
class LoadSoFar:
    """Of one load class: reps logged in this practice, and the other days that have or will have some."""

    load: str
    reps: int = 0
    days: tuple[date, ...] = ()


@dataclass(frozen=True, slots=True)
class Facts:
    """What is known of an athlete for this practice.

    squad: who one moves with, where there is a choice. last_seen: the last day of practice, None if there never was
    one. meet_on: the next meet. pole: the club's pole last used, None if not known. pole_fits: it was found to fit.
    """

    vaulter: str
    squad: str = ""
    left_handed: bool = False
    options: tuple[Option, ...] = ()
    loads: tuple[LoadSoFar, ...] = ()
    last_seen: date | None = None
    meet_on: date | None = None
    pole: str | None = None
    pole_fits: bool = False


@dataclass(frozen=True, slots=True)
class Meant:
    """What a template means a station (None: no station) to do in a block."""

    block: int
    station: str | None
    work: str


@dataclass(frozen=True, slots=True)
class Problem:
    """plan: blocks, stations, adults, athletes, works, and as its placings those that stay. facts: one an athlete.
    meant: where something is, nothing else is filled in, but jobs beside it."""

    day: date
    plan: Plan
    facts: tuple[Facts, ...]
    meant: tuple[Meant, ...] = ()


class Bar(StrEnum):
    """A rule that keeps an athlete off a place. In the order in which it is sooner changed than the next."""

    NO_BLOCK = "no block"
    NO_STATION = "no station"
    ADULT = "adult"
    TWO_ADULTS = "two adults"
    ADULT_ELSEWHERE = "adult elsewhere"
    ONE_FAMILY = "one family"
    ROOM = "room"
    FEW_TURNS = "few turns"
    POLE = "pole"
    PINNED = "pinned elsewhere"
    MEANT = "something else is meant there"
    MOVES = "moves"
    NOT_WARM = "not warm"
    LOAD = "load"
    LOAD_DAYS = "load days"
    AREA = "area"
    SURFACE = "surface"
    NOT_OPEN = "not open"
    RETURNS = "return after a gap"
    MEET_EVE = "meet eve"
    CLEARANCE = "clearance"
    RESTRICTED = "restricted"
    ORDER = "warm-up first, cool-down last"


@dataclass(frozen=True, slots=True)
class Home:
    """Where a group is in a block: a station (None: at none) and a family of drills. group: its place in the answer."""

    group: int
    block: int
    station: str | None
    family: str


@dataclass(frozen=True, slots=True)
class Leave:
    """Who is not with their group in a block, and the rule that keeps them off its place."""

    vaulter: str
    block: int
    bar: Bar


@dataclass(frozen=True, slots=True)
class Collision:
    """The smallest set of rules that keeps athletes off every place of a block, at the place where fewest do.

    station None: at no station. work "": whatever they do. Freed, each of them would have a place there.
    """

    bars: tuple[Bar, ...]
    block: int
    vaulters: tuple[str, ...]
    station: str | None = None
    work: str = ""


@dataclass(frozen=True, slots=True)
class Value:
    """By tier. unplaced: athletes without a place, over all blocks. worst: worth of the worst-served of those who can
    be served at all. total: worth with diminishing returns on repeats. trouble: routes, set-up changes, moves, groups
    left and groups with a left-hander, counted together."""

    unplaced: int
    worst: float
    total: float
    trouble: int

    def order(self) -> tuple[float, ...]:
        """Smaller is better, tier by tier."""
        return (self.unplaced, -round(self.worst, 9), -round(self.total, 9), self.trouble)


@dataclass(frozen=True, slots=True)
class Least:
    """Who is served least: their worth, the work that would have been worth most and is not given, and what bars it
    (no bar: everything worth something is given)."""

    vaulter: str
    worth: float
    work: str = ""
    bars: tuple[Bar, ...] = ()


@dataclass(frozen=True, slots=True)
class Answer:
    """placings: the new ones. groups: who moves together. tried: plans that were weighed."""

    placings: tuple[Placing, ...] = ()
    groups: tuple[tuple[str, ...], ...] = ()
    homes: tuple[Home, ...] = ()
    leaves: tuple[Leave, ...] = ()
    collisions: tuple[Collision, ...] = ()
    value: Value = Value(0, 0.0, 0.0, 0)
    least: Least | None = None
    tried: int = 0


class Filler(Protocol):
    def fill(self, problem: Problem, seed: int, limit: int) -> Answer:
        """Places for everyone who has none, beside those that stay. limit: plans weighed after a first one,
        never a time, so that the same problem and seed give the same answer. Always answers: what cannot be placed is
        a collision."""
        ...


def repeats(worth: float, before: int) -> float:
    """Worth of one more place in work that the athlete has ``before`` times in the practice: half each time."""
    return worth * 0.5**before


def by_key(problem: Problem) -> Mapping[str, Facts]:
    return {facts.vaulter: facts for facts in problem.facts}
