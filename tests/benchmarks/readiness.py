"""The readiness rules on simulated learners: how often they are wrong, against the measured shares; and replay speed.

`python -m tests.benchmarks.readiness [--quick] [--seed N]`. Learners come in draws of 8,000, each with its own fresh
seed. The full run judges the mean of six draws in each world, so that chance moves a share by about a quarter of a
point; the quick one judges one draw of 3,000 and widens each limit by 3.3 standard errors of that draw's own share: a
rule at the very limit would then fail by chance once in about 2,000 runs.

The rules are folded here in NumPy over all learners at once. On a sample of learners the application's own `fold`,
`advice` and opening fold must make the same calls at the same reps.

Choices: a rule calls at the first rep at which it holds, tested after each rep; shares are of those called within 240
reps; the cost of *settled* is the reps from the first one truly at .80 to the call, for learners who came to both (a
call before .80 costs less than nothing).
"""

import argparse
import secrets
import time
from collections.abc import Callable, Iterator
from dataclasses import dataclass
from datetime import UTC, date, datetime, timedelta
from uuid import UUID

import numpy as np
from scipy.special import betaincinv

from athletes.core.opening import replay as replay_book
from athletes.core.progression import Drill, Progression, Risk
from athletes.core.readiness import EMPTY, Advice, Outcome, Rep, Settings, advice, fold
from athletes.core.sequence import Place
from athletes.core.standing import Attempt, ChangeKind
from tests.benchmarks.report import Report, at_least, at_most, near
from tests.benchmarks.simulated_learners import Bools, Floats, Ints, World, simulate

REPS = 240
WORLDS = (0.35, 0.70)
# Shares of those called, in percent, by day effect .35 / .70: the project's readiness design.
UNDER_65 = {
    "floor": (82, 83),
    "moving": (26, 31),
    "settled": (3.2, 6.0),
    "3 in a row": (84, 85),
    "8 of the last 10": (53, 56),
    "9 of the last 10": (37, 43),
    "18 of the last 20": (6.8, 11.4),
}
UNDER_50 = {"moving": (1.8, 4.3), "settled": (0.1, 0.3)}
POINTS = 2.0
MEDIAN_COST_REPS = 19
COST_WITHIN_REPS = 2.0
REPLAY_REPS_A_SECOND = 100_000
FIRST_DAY = date(2025, 1, 6)


@dataclass(frozen=True, slots=True)
class Calls:
    """For each rule: rep at which each learner was called (-1 never). truth: as in the world."""

    at: dict[str, Ints]
    truth: Floats

    def truth_at_call(self, rule: str) -> Floats:
        at = self.at[rule]
        called = np.flatnonzero(at >= 0)
        return self.truth[at[called], called]

    def cost(self) -> Ints:
        able = self.truth >= 0.80
        both = able.any(axis=0) & (self.at["settled"] >= 0)
        return self.at["settled"][both] - able.argmax(axis=0)[both]


class _Fold:
    """The state of all learners, written from the words of the rule."""

    def __init__(self, learners: int) -> None:
        self.good, self.bad = np.zeros(learners), np.zeros(learners)
        self.days, self.last = np.zeros(learners, np.int64), np.full(learners, -1)

    def add(self, good: Bools, day: Ints) -> None:
        gap = np.where(self.last < 0, 0, day - self.last)
        fade = 2.0 ** (-1 / 15) * 2.0 ** (-gap / 42)
        self.good, self.bad = fade * self.good + good, fade * self.bad + ~good
        self.days += day != self.last
        self.last = day

    def low_end_reaches(self, least: float, of: Bools) -> Bools:
        """Weight of evidence at least 8 and low end at least `least`; worked out only for learners in `of`."""
        ask = np.flatnonzero(of & (self.good + self.bad >= 8))
        reached = np.zeros(of.shape, bool)
        reached[ask] = betaincinv(2 + self.good[ask], 2 + self.bad[ask], 0.10) >= least
        return reached


def call(world: World) -> Calls:
    reps, learners = world.good.shape
    at = {rule: np.full(learners, -1) for rule in UNDER_65}
    state = _Fold(learners)
    total = np.vstack([np.zeros(learners, np.int64), np.cumsum(world.good, axis=0)])
    for rep in range(reps):
        good = world.good[rep]
        state.add(good, world.day[rep])
        for rule, holds in _holding(rep, good, state, total, at):
            at[rule][holds & (at[rule] < 0)] = rep
    return Calls(at, world.truth)


def _holding(rep: int, good: Bools, state: _Fold, total: Ints, at: dict[str, Ints]) -> Iterator[tuple[str, Bools]]:
    yield "settled", state.low_end_reaches(0.65, good & (state.days >= 2) & (at["settled"] < 0))
    yield "moving", state.low_end_reaches(0.55, at["moving"] < 0)
    for rule, least, of in (("3 in a row", 3, 3), ("8 of the last 10", 8, 10), ("9 of the last 10", 9, 10),
                            ("18 of the last 20", 18, 20), ("floor", 4, 5)):  # fmt: skip
        if rep + 1 >= of:
            enough = total[rep + 1] - total[rep + 1 - of] >= least
            yield rule, enough & good if rule == "floor" else enough


# The application's own code on one learner


def _reps(world: World, learner: int) -> list[Rep]:
    return [
        Rep(FIRST_DAY + timedelta(days=int(day)), Outcome.GOOD if good else Outcome.BAD)
        for day, good in zip(world.day[:, learner], world.good[:, learner], strict=True)
    ]


def app_settled_at(reps: list[Rep], settings: Settings) -> int:
    state = EMPTY
    for index, rep in enumerate(reps):
        state = fold(state, rep, settings)
        if advice(state, rep.day, settings) is Advice.SETTLED:
            return index
    return -1


def app_opened_at(reps: list[Rep], risk: Risk, settings: Settings) -> int:
    """The rep of a drill of this risk at which the opening fold opens the drill that needs it."""
    progression = Progression.of([Drill("this", risk), Drill("next", Risk.MOVING, ("this",))])
    items = [Attempt(_place(index, rep), "this", rep.outcome) for index, rep in enumerate(reps)]
    changes = replay_book({}, FIRST_DAY, items, progression, settings).changes
    opened = [c.cause.sequence for c in changes if c.drill == "next" and c.kind is ChangeKind.OPENED]
    return opened[0] if opened else -1


def _place(index: int, rep: Rep) -> Place:
    at = datetime(rep.day.year, rep.day.month, rep.day.day, 17, tzinfo=UTC)
    return Place(rep.day, at, "device", index, UUID(int=index))


def differing_calls(world: World, calls: Calls, sample: int, settings: Settings) -> int:
    """Calls of the first `sample` learners at which the application and the vectorised fold differ."""
    rules: dict[str, Callable[[list[Rep]], int]] = {
        "settled": lambda reps: app_settled_at(reps, settings),
        "floor": lambda reps: app_opened_at(reps, Risk.FLOOR, settings),
        "moving": lambda reps: app_opened_at(reps, Risk.MOVING, settings),
    }
    wrong = 0
    for learner in range(sample):
        reps = _reps(world, learner)
        wrong += sum(rule(reps) != int(calls.at[name][learner]) for name, rule in rules.items())
    return wrong


def replay_speed(world: World, learners: int) -> float:
    """Reps a second of the application's fold alone, in one process."""
    settings = Settings()
    histories = [_reps(world, learner) for learner in range(learners)]
    began = time.perf_counter()
    for reps in histories:
        state = EMPTY
        for rep in reps:
            state = fold(state, rep, settings)
    return learners * REPS / (time.perf_counter() - began)


# Judging


def _add_share(report: Report, key: str, truths: Floats, below: float, published: float, quick: bool) -> None:
    share = float((truths < below).mean())
    # The error of the published share stands in for a share that happened to be 0 in a small draw.
    spread = max(share * (1 - share), published / 100 * (1 - published / 100))
    chance = 3.3 * 100 * (spread / len(truths)) ** 0.5 if quick else 0.0
    report.add(key, near(round(100 * share, 2), published, POINTS + chance))


def _add_world(report: Report, index: int, drawn: list[Calls], quick: bool) -> None:
    for below, published in ((0.65, UNDER_65), (0.50, UNDER_50)):
        for rule, figures in published.items():
            truths = np.concatenate([calls.truth_at_call(rule) for calls in drawn])
            key = f"{rule}, truly under {below:.2f}, day effect {WORLDS[index]:.2f}, %"
            _add_share(report, key, truths, below, figures[index], quick)
    cost = float(np.median(np.concatenate([calls.cost() for calls in drawn])))
    key = f"settled, median reps after truly .80, day effect {WORLDS[index]:.2f}"
    report.add(key, near(cost, MEDIAN_COST_REPS, COST_WITHIN_REPS + (1.0 if quick else 0.0)))


def main() -> None:
    parser = argparse.ArgumentParser(description="Readiness rules on simulated learners.")
    parser.add_argument("--quick", action="store_true", help="one small draw, wider limits")
    parser.add_argument("--seed", type=int, default=None, help="repeat a run (else fresh, and printed)")
    options = parser.parse_args()
    seed = secrets.randbits(48) if options.seed is None else options.seed
    draws, learners, sample = (1, 3_000, 60) if options.quick else (6, 8_000, 400)
    print(f"seed {seed}: {draws} × {learners} learners × {REPS} reps in each of {len(WORLDS)} worlds", flush=True)
    report = Report("readiness")
    wrong = 0
    for index, day_sd in enumerate(WORLDS):
        drawn = []
        for child in np.random.SeedSequence([seed, index]).spawn(draws):
            world = simulate(np.random.default_rng(child), learners, REPS, day_sd)
            drawn.append(call(world))
        wrong += differing_calls(world, drawn[-1], sample, Settings())
        _add_world(report, index, drawn, options.quick)
    report.add(f"calls of {2 * sample} learners that the application makes otherwise", at_most(wrong, 0))
    report.add("replay, reps/s", at_least(round(replay_speed(world, 200)), REPLAY_REPS_A_SECOND))
    report.finish()


if __name__ == "__main__":
    main()
