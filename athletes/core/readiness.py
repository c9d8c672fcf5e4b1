"""Readiness of one athlete at one drill: a state of constant size, folded rep by rep, read on a day, turned into
advice.

Two questions are kept apart. *Settled* (here): need we still watch this drill? *Open* (`athletes.core.opening`): may
the athlete try the next one? Advice is advice: the coach decides.

Choices made where the rule leaves room:
- a rep counts only if every gate checkpoint was watched. Were a fault at one of two gate checkpoints counted although
  the other was not watched, half-watched reps could only ever be bad;
- "no unsafe rep in the last 10" counts the reps seen (good or bad) after the unsafe one. Reps not seen do not wash it
  out, and neither does *start over*.
"""

import enum
import math
from collections.abc import Iterable, Set
from dataclasses import dataclass, field, fields, replace
from datetime import date, datetime
from typing import Any, Self

from scipy.special import betaincinv  # type: ignore[import-untyped]

RECENT_REPS = 5


class Outcome(enum.Enum):
    """What a rep says about its drill. Only GOOD and BAD are counted; NOT_SEEN is load; UNSAFE is never averaged."""

    GOOD = "good"
    BAD = "bad"
    NOT_SEEN = "not seen"
    UNSAFE = "unsafe"


class Advice(enum.Enum):
    """What the figures advise for one drill; the coach decides for or against it."""

    NO_REPS = "no reps yet"
    KEEP_ON = "keep on"
    EASIER_DRILL = "easier drill"
    SETTLED = "settled"


class AdviceReason(enum.Enum):
    """Which line of the rule spoke."""

    NOTHING_COUNTED = "nothing counted"
    TOO_LITTLE_SEEN = "too little seen"
    HIGH_END_LOW = "high end low"
    BAD_REPS_PILED_UP = "bad reps piled up"
    LOW_END_HIGH = "low end high"
    BETWEEN = "between"


@dataclass(frozen=True, slots=True)
class Settings:
    """A club's thresholds. Shares are 0 to 1, half-lives in reps or days, weights of evidence in reps.

    The defaults are the rule that was measured. Raises ValueError for values with which the rule has no meaning.
    """

    half_life_reps: float = 15.0
    half_life_days: float = 42.0
    prior_good: float = 2.0
    prior_bad: float = 2.0
    low_quantile: float = 0.10
    high_quantile: float = 0.90
    advice_days: int = 2
    advice_n: float = 6.0
    settled_low: float = 0.65
    settled_n: float = 8.0
    easier_high: float = 0.50
    slip_limit: float = 5.0
    slip_from: float = 0.65
    slip_to: float = 0.40
    floor_good: int = 4
    floor_last: int = 5
    moving_low: float = 0.55
    moving_n: float = 8.0
    warm_up_practices: int = 3
    warm_up_reps: int = 3
    warm_up_bad: int = 2
    unsafe_window: int = 10
    # Derived once, because the fold reads them for every rep.
    rep_fade: float = field(init=False, repr=False, compare=False)
    slip_good: float = field(init=False, repr=False, compare=False)
    slip_bad: float = field(init=False, repr=False, compare=False)

    def __post_init__(self) -> None:
        for problem in self._problems():
            raise ValueError(problem)
        steps = cusum_steps(1 - self.slip_from, 1 - self.slip_to)
        object.__setattr__(self, "rep_fade", 2.0 ** (-1.0 / self.half_life_reps))
        object.__setattr__(self, "slip_good", steps.good)
        object.__setattr__(self, "slip_bad", steps.bad)

    def _problems(self) -> Iterable[str]:
        if not (self.half_life_reps > 0 and self.half_life_days > 0 and self.prior_good > 0 and self.prior_bad > 0):
            yield "half-lives and priors must be above 0"
        if not 0 < self.low_quantile < self.high_quantile < 1:
            yield "quantiles must be between 0 and 1, the low one below the high one"
        if not 0 < self.slip_to < self.slip_from < 1 or self.slip_limit <= 0:
            yield "slip must go from a higher share of good reps to a lower one, with a limit above 0"
        if not all(0 < share < 1 for share in (self.settled_low, self.easier_high, self.moving_low)):
            yield "thresholds of the likely range must be between 0 and 1"
        if not 1 <= self.floor_good <= self.floor_last <= RECENT_REPS:
            yield f"the floor test looks at 1 to {RECENT_REPS} reps"
        if not 1 <= self.warm_up_bad <= self.warm_up_reps or self.warm_up_practices < 1 or self.unsafe_window < 1:
            yield "the warm-up check and the unsafe window need at least one rep"


@dataclass(frozen=True, slots=True)
class CusumSteps:
    """Log-likelihood ratio of one good and of one bad trial."""

    good: float
    bad: float


def cusum_steps(bad_before: float, bad_after: float) -> CusumSteps:
    """Steps of a CUSUM that tells a share of bad trials `bad_after` from `bad_before` (both strictly within 0 and
    1)."""
    return CusumSteps(good=math.log((1 - bad_after) / (1 - bad_before)), bad=math.log(bad_after / bad_before))


def cusum(total: float, step: float, lowest: float, highest: float) -> float:
    """The running sum after one step, held within its two walls (`math.inf` for no wall)."""
    return min(highest, max(lowest, total + step))


@dataclass(frozen=True, slots=True)
class Rep:
    """One attempt as the fold sees it. day: local date of its practice."""

    day: date
    outcome: Outcome


@dataclass(frozen=True, slots=True)
class StartOver:
    """The head coach started the drill over. day: the club's local date; at: the moment, which places it among reps."""

    day: date
    at: datetime


@dataclass(frozen=True, slots=True)
class State:
    """All that is remembered of one athlete at one drill.

    good, bad: decayed counts as of `day`, the day of the last counted rep; reps, days: counted, not decayed;
    slip: how far bad reps have piled up; recent: up to five last counted reps, oldest first, "1" good, "0" bad;
    since_unsafe: counted reps since the last unsafe one, None if there never was one.
    """

    good: float = 0.0
    bad: float = 0.0
    reps: int = 0
    days: int = 0
    day: date | None = None
    slip: float = 0.0
    last_good: bool = False
    recent: str = ""
    since_unsafe: int | None = None

    def to_row(self) -> dict[str, Any]:
        """Plain values for storage (JSON-safe); floats go as they are, so a replay from a row is exact."""
        row = {f.name: getattr(self, f.name) for f in fields(self)}
        row["day"] = self.day.isoformat() if self.day else None
        return row

    @classmethod
    def from_row(cls, row: dict[str, Any]) -> Self:
        """The state that `to_row` wrote. Raises TypeError for unknown or ValueError for malformed values."""
        return cls(**{**row, "day": date.fromisoformat(row["day"]) if row["day"] else None})


EMPTY = State()


@dataclass(frozen=True, slots=True)
class Reading:
    """A state read on a day. estimate, low, high: shares of good reps; n: weight of evidence in reps, fading with time.

    `estimate` is not to be shown while `reps` is 0.
    """

    estimate: float
    low: float
    high: float
    n: float
    reps: int
    days: int
    slip: float
    last_good: bool


@dataclass(frozen=True, slots=True)
class Advised:
    """Advice with the line of the rule that spoke and the figures it spoke on."""

    advice: Advice
    reason: AdviceReason
    reading: Reading


def outcome_of(gate: Set[str], watched: Set[str], faulty: Set[str], *, unsafe: bool = False) -> Outcome:
    """What a look says: checkpoints of the drill's gate, those watched, those with a fault. A gate of none is never
    seen."""
    if unsafe:
        return Outcome.UNSAFE
    if not gate or not gate <= watched:
        return Outcome.NOT_SEEN
    return Outcome.BAD if gate & faulty else Outcome.GOOD


def fold(state: State, rep: Rep, settings: Settings) -> State:
    """The state after one more rep. Reps come in order; ValueError for a counted rep before the last counted day."""
    outcome = rep.outcome
    if outcome is Outcome.NOT_SEEN:
        return state
    if outcome is Outcome.UNSAFE:
        return replace(state, since_unsafe=0)
    good = outcome is Outcome.GOOD
    gap = 0 if state.day is None else (rep.day - state.day).days
    if gap < 0:
        raise ValueError(f"rep of {rep.day} after one of {state.day}")
    fade = settings.rep_fade * 2.0 ** (-gap / settings.half_life_days)
    return State(
        good=fade * state.good + good,
        bad=fade * state.bad + (not good),
        reps=state.reps + 1,
        days=state.days + (state.day != rep.day),
        day=rep.day,
        slip=cusum(state.slip, settings.slip_good if good else settings.slip_bad, 0.0, settings.slip_limit),
        last_good=good,
        recent=state.recent[1 - RECENT_REPS :] + ("1" if good else "0"),
        since_unsafe=None if state.since_unsafe is None else state.since_unsafe + 1,
    )


def start_over(state: State) -> State:
    """A new state for the drill. What was unsafe stays remembered: starting over is no way round the contact gate."""
    return State(since_unsafe=state.since_unsafe)


def step(state: State, item: Rep | StartOver, settings: Settings) -> State:
    """The state after a rep, or after the drill was started over."""
    return start_over(state) if isinstance(item, StartOver) else fold(state, item, settings)


def likely_range(good: float, bad: float, settings: Settings) -> tuple[float, float, float]:
    """Estimate, low end and high end of the share of good reps, given decayed counts."""
    a, b = settings.prior_good + good, settings.prior_bad + bad
    low, high = betaincinv(a, b, settings.low_quantile), betaincinv(a, b, settings.high_quantile)
    return a / (a + b), float(low), float(high)


def faded(state: State, today: date, settings: Settings) -> tuple[float, float]:
    """Good and bad as they weigh on `today`. ValueError for a day before the last counted rep."""
    if state.day is None:
        return 0.0, 0.0
    gap = (today - state.day).days
    if gap < 0:
        raise ValueError(f"read on {today}, before the last rep of {state.day}")
    fade = 2.0 ** (-gap / settings.half_life_days)
    return fade * state.good, fade * state.bad


def read(state: State, today: date, settings: Settings) -> Reading:
    """The figures on a day, not before the last counted rep (ValueError)."""
    good, bad = faded(state, today, settings)
    estimate, low, high = likely_range(good, bad, settings)
    return Reading(estimate, low, high, good + bad, state.reps, state.days, state.slip, state.last_good)


def advise(state: State, today: date, settings: Settings) -> Advised:
    """Advice on a day: the first line of the rule that applies."""
    reading = read(state, today, settings)
    advice, reason = _first_line(reading, settings)
    return Advised(advice, reason, reading)


def _first_line(reading: Reading, settings: Settings) -> tuple[Advice, AdviceReason]:
    if not reading.reps:
        return Advice.NO_REPS, AdviceReason.NOTHING_COUNTED
    if reading.days < settings.advice_days or reading.n < settings.advice_n:
        return Advice.KEEP_ON, AdviceReason.TOO_LITTLE_SEEN
    if reading.high <= settings.easier_high and not reading.last_good:
        return Advice.EASIER_DRILL, AdviceReason.HIGH_END_LOW
    if reading.slip >= settings.slip_limit:
        return Advice.EASIER_DRILL, AdviceReason.BAD_REPS_PILED_UP
    if reading.low >= settings.settled_low and reading.n >= settings.settled_n and reading.last_good:
        return Advice.SETTLED, AdviceReason.LOW_END_HIGH
    return Advice.KEEP_ON, AdviceReason.BETWEEN


def advice(state: State, today: date, settings: Settings) -> Advice:
    """The advice alone."""
    return advise(state, today, settings).advice


def says_settled(state: State, settings: Settings) -> bool:
    """Whether the advice is *settled* on the day of the last counted rep, without quantiles where they cannot
    matter."""
    if not state.last_good or state.day is None or state.days < settings.advice_days:
        return False
    if state.good + state.bad < settings.settled_n:
        return False
    return advise(state, state.day, settings).advice is Advice.SETTLED
