"""What a drill is worth to an athlete in this practice, and why. Never used for advice: see ``athletes.core``.

The weights are choices of ours, made so that each reason can turn the order of two drills that are equal otherwise.
"""

import math
from dataclasses import dataclass

from sessions.planning.core.problem import Reason, Why

PRIOR_REPS = 8.0
"""Weight of the prior in reps. Forecasts with it predict the next rep better (log-loss .457 against .501, .612
against .663, readiness rules)."""
ZONE_LOW, ZONE_HIGH = 0.40, 0.85
"""The learning zone: shares of good reps between which a turn teaches most."""
FULL_GAP_DAYS = 14
LEARNING, AIM, FOCUS, GAP, SEEN = 0.45, 0.20, 0.15, 0.12, 0.08
SETTLED, EASIER = 0.35, 0.5
ACTIVITY_WORTH = 0.10
WARM_UP = 0.20
"""Added in the first block to a drill that stays in the athlete's warm-up."""


@dataclass(frozen=True, slots=True)
class Counts:
    """Reps: good of n, decayed or not."""

    good: float = 0.0
    n: float = 0.0

    @property
    def share(self) -> float:
        """With one good and one bad rep added, so that nobody is surely good or bad."""
        return (self.good + 1) / (self.n + 2)


@dataclass(frozen=True, slots=True)
class Aim:
    """A persistent fault of the athlete at which the drill aims. first_link: it mends the first link of a chain."""

    what: str
    faulty: int
    watched: int
    first_link: bool = False


@dataclass(frozen=True, slots=True)
class WarmUpOf:
    """The drill stays in the warm-up because figures opened another (``opened``, its name) through it: seen of wanted
    counted reps of the check are in."""

    opened: str
    seen: int
    wanted: int


@dataclass(frozen=True, slots=True)
class History:
    """One athlete at one drill. own: of the pair; drill, athlete: of everybody there, and of the athlete anywhere.

    days_since: None if never done. days_seen, reps: with counted reps. focus: name of the practice's focus if the drill
    offers it. settled: as it stands; easier: what the figures advise. warm_up: while its check runs.
    """

    own: Counts = Counts()
    drill: Counts = Counts()
    athlete: Counts = Counts()
    days_since: int | None = None
    days_seen: int = 0
    reps: int = 0
    aims: tuple[Aim, ...] = ()
    focus: str = ""
    settled: bool = False
    easier: bool = False
    warm_up: WarmUpOf | None = None


@dataclass(frozen=True, slots=True)
class Worth:
    worth: float
    reasons: tuple[Reason, ...]


def forecast(own: Counts, drill: Counts, athlete: Counts) -> float:
    """The chance that the next rep is good: the prior is the mean of the drill's and the athlete's share on the logit
    scale, with the weight of eight reps."""
    prior = _logistic((_logit(drill.share) + _logit(athlete.share)) / 2)
    return (PRIOR_REPS * prior + own.good) / (PRIOR_REPS + own.n)


def _logit(share: float) -> float:
    return math.log(share / (1 - share))


def _logistic(value: float) -> float:
    return 1 / (1 + math.exp(-value))


def learning(share: float) -> float:
    """1 within the learning zone, falling to 0 at never and at always good."""
    if share < ZONE_LOW:
        return share / ZONE_LOW
    return 1.0 if share <= ZONE_HIGH else (1 - share) / (1 - ZONE_HIGH)


def worth(history: History) -> Worth:
    """0 to 1, with the reasons in the order a coach wants to hear them."""
    share = forecast(history.own, history.drill, history.athlete)
    found = (
        LEARNING * learning(share)
        + AIM * _aim(history.aims)
        + FOCUS * bool(history.focus)
        + GAP * _gap(history.days_since)
        + SEEN * (history.days_seen < 2)
    )
    factor = (SETTLED if history.settled and not history.warm_up else 1) * (EASIER if history.easier else 1)
    return Worth(found * factor, tuple(_reasons(history, share)))


def _aim(aims: tuple[Aim, ...]) -> float:
    if not aims:
        return 0.0
    return 1.0 if any(aim.first_link for aim in aims) else 0.75


def _gap(days_since: int | None) -> float:
    return 1.0 if days_since is None else min(1.0, days_since / FULL_GAP_DAYS)


def _reasons(history: History, share: float) -> list[Reason]:
    found = [
        Reason(Why.FIRST_LINK if aim.first_link else Why.PERSISTENT_FAULT, aim.what, aim.faulty, aim.watched)
        for aim in sorted(history.aims, key=lambda aim: (not aim.first_link, -aim.faulty / max(aim.watched, 1)))
    ]
    if history.warm_up:
        found.insert(0, Reason(Why.WARM_UP, history.warm_up.opened, history.warm_up.seen, history.warm_up.wanted))
    if history.focus:
        found.append(Reason(Why.FOCUS, history.focus))
    if history.days_since is None:
        found.append(Reason(Why.NEVER_DONE))
    elif history.days_seen < 2:
        found.append(Reason(Why.TOO_LITTLE_SEEN, whole=history.reps, days=history.days_seen))
    if history.easier:
        found.append(Reason(Why.EASIER))
    elif history.settled:
        found.append(Reason(Why.SETTLED))
    elif ZONE_LOW <= share <= ZONE_HIGH:
        found.append(Reason(Why.LEARNING, share=share))
    else:
        found.append(Reason(Why.TOO_HARD if share < ZONE_LOW else Why.TOO_SURE, share=share))
    if history.days_since is not None:
        found.append(Reason(Why.LAST_DONE, days=history.days_since))
    return found
