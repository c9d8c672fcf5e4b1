"""A vaulter as the simulator knows them, and how one attempt goes."""

import math
from dataclasses import dataclass, field
from datetime import date
from uuid import UUID

from athletes.core.standing import Book
from drills.core.catalogue import Drill, RiskClass
from sessions.demo.core.dice import Dice, chance, one_of, weighted
from sessions.demo.core.learning import ENDS, Skill, new_skill, share
from sessions.demo.core.trade import Trade

DAY_EFFECT = 0.35
"""Standard deviation of a day's shift of all logits."""
STRANGE = 0.12
"""What a new drill takes off every logit, for each drill behind it; it wears off."""
STRANGE_REPS = 12
PULL = 2.0
"""What a fault takes off the logit of what it leads to."""
SLIP = 2.6
"""What is taken off the logit where somebody has got worse."""
FOLLOWS = 0.85
ODD = 0.2
"""Checkpoints at which a vaulter does not learn as they do elsewhere."""
UNWATCHED = 0.4
"""How much is learned of what nobody looked at, of a rep watched."""
HABIT = 6.0
"""Weight of a vaulter's typical fault, against 1 of each other."""


@dataclass(frozen=True, slots=True)
class Away:
    """Not there on any of these days, both included."""

    since: date
    until: date


@dataclass(slots=True)
class Learner:
    """id: of the athlete. chain: their typical fault and what it leads to. comes: share of practices. slip: the
    checkpoint at which they have got worse, and since when."""

    id: UUID
    squad: int
    under_14: bool
    skills: dict[str, Skill]
    habits: dict[str, dict[str, float]]
    chain: tuple[str, str]
    heavy: float
    comes: float
    away: Away | None = None
    slip: tuple[str, date] | None = None
    excludes: frozenset[RiskClass] = frozenset()
    excluded_from: date | None = None
    book: Book = field(default_factory=Book)
    reps: dict[str, int] = field(default_factory=dict)
    last_done: dict[str, date] = field(default_factory=dict)
    load_days: list[date] = field(default_factory=list)
    last_day: date | None = None

    def is_away(self, day: date) -> bool:
        return self.away is not None and self.away.since <= day <= self.away.until

    def may_do(self, drill: Drill, day: date) -> bool:
        """Restrictions alone."""
        return not (self.excluded_from and day >= self.excluded_from and drill.risk in self.excludes)


@dataclass(frozen=True, slots=True)
class Today:
    """How a vaulter is on a day. heavy: the pole is heavy for the grip held. slips: a checkpoint, if one does."""

    shift: float
    heavy: bool
    slips: str = ""


def new_learner(dice: Dice, trade: Trade, id: UUID, squad: int, under_14: bool, placed: str | None) -> Learner:
    """placed: the drill that the head coach places them at, with all that was practised to get there."""
    chain = one_of(dice, [(fault, to) for fault, reached in trade.leads.items() for to in reached
                          if fault in trade.checkpoint_of])  # fmt: skip
    ends = next(iter(ENDS)) if placed else weighted(dice, ENDS)
    skills = {key: new_skill(dice, weighted(dice, ENDS) if chance(dice, ODD) else ends) for key in trade.order}
    skills[trade.checkpoint_of[chain[0]]].start -= 0.5
    for key in _practised_before(trade, placed):
        skills[key].experience = dice.uniform(1.2, 3.0) * skills[key].tau
    habits = {key: _habit(dice, faults) for key, faults in trade.faults.items() if faults}
    habits[trade.checkpoint_of[chain[0]]][chain[0]] = HABIT * 2
    heavy = 0.5 if chance(dice, 0.15) else 0.03
    return Learner(id, squad, under_14, skills, habits, chain, heavy, comes=dice.uniform(0.80, 0.97))


def _practised_before(trade: Trade, placed: str | None) -> list[str]:
    if placed is None:
        return []
    drills = (*trade.progression.placed_below(placed), placed)
    offered = {offer.checkpoint for key in drills for offer in trade.drills[key].checkpoints}
    return [key for key in trade.order if key in offered]


def _habit(dice: Dice, faults: tuple[str, ...]) -> dict[str, float]:
    typical = one_of(dice, faults)
    return {fault: HABIT if fault == typical else 1.0 for fault in faults}


def wake(dice: Dice, learner: Learner, day: date) -> Today:
    """The day begins; what the days since the last practice took is gone."""
    if learner.last_day is not None:
        for skill in learner.skills.values():
            skill.away((day - learner.last_day).days)
    learner.last_day = day
    slips = learner.slip[0] if learner.slip and day >= learner.slip[1] else ""
    return Today(dice.gauss(0, DAY_EFFECT), chance(dice, learner.heavy), slips)


def attempt(
    dice: Dice, trade: Trade, learner: Learner, today: Today, drill: Drill, steps: int | None, watched: frozenset[str]
) -> frozenset[str]:
    """One rep: the faults that truly happened. It teaches, most of all what is being watched."""
    done = learner.reps.get(drill.key, 0)
    strange = STRANGE * trade.depth[drill.key] * math.exp(-done / STRANGE_REPS)
    happened = {"pole-heavy"} & set(trade.leads) if today.heavy else set()
    for key in trade.offered(drill, steps):
        if not trade.faults[key]:
            continue
        led = trade.led_to(happened, key)
        value = (
            learner.skills[key].logit
            + today.shift
            - strange
            - (PULL if led else 0)
            - (SLIP if key == today.slips else 0)
        )
        if not chance(dice, share(value)):
            follows = bool(led) and chance(dice, FOLLOWS)
            happened.add(led[0] if follows else weighted(dice, learner.habits[key]))
        learner.skills[key].practise(1.0 if key in watched else UNWATCHED)
    learner.reps[drill.key] = done + 1
    return frozenset(fault for fault in happened if fault in trade.checkpoint_of)
