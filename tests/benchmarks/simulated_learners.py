"""Learners with a known truth: the simulator against which the readiness rule was measured, vectorised over learners.

Written from the words of the design, not from the application. Choices where the words leave room:
- a learner's *truth* is the share of good reps without the session's day effect, as it stood at the rep just made;
- experience e counts the reps made outside plateaus, the present one among them;
- 0, 1 or 2 plateaus are equally likely; reps are numbered from 1; a plateau's length is in reps;
- what a gap takes is a share of the logit gain that comes on top of what was still missing from earlier gaps, and is
  multiplied by .8 after each rep;
- session lengths and gaps are whole numbers, each equally likely within its bounds.
"""

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

Floats = NDArray[np.float64]
Ints = NDArray[np.int64]
Bools = NDArray[np.bool_]


@dataclass(frozen=True, slots=True)
class World:
    """Arrays of reps × learners: true share of good reps, whether the rep was good, and its day (from 0)."""

    truth: Floats
    good: Bools
    day: Ints


@dataclass(slots=True)
class _Learners:
    start: Floats
    gain: Floats
    tau: Floats
    plateaus: Ints
    bounds: Floats

    @classmethod
    def drawn(cls, rng: np.random.Generator, learners: int) -> "_Learners":
        kind = rng.random(learners)
        low = np.select([kind < 0.60, kind < 0.85], [0.87, 0.58], 0.40)
        high = np.select([kind < 0.60, kind < 0.85], [0.97, 0.72], 0.58)
        start = _logit(rng.uniform(0.15, 0.45, learners))
        first = rng.uniform(10, 60, learners)
        first_end = first + rng.uniform(15, 40, learners)
        second = first_end + rng.uniform(10, 40, learners)
        second_end = second + rng.uniform(10, 30, learners)
        return cls(
            start=start,
            gain=_logit(rng.uniform(low, high)) - start,
            tau=rng.uniform(12, 50, learners),
            plateaus=rng.integers(0, 3, learners),
            bounds=np.stack([first, first_end, second, second_end]),
        )

    def stuck(self, rep: int) -> Bools:
        first, first_end, second, second_end = self.bounds
        in_first = (self.plateaus >= 1) & (rep >= first) & (rep < first_end)
        in_second = (self.plateaus >= 2) & (rep >= second) & (rep < second_end)
        return np.asarray(in_first | in_second)


def simulate(rng: np.random.Generator, learners: int, reps: int, day_sd: float) -> World:
    """`reps` reps of `learners` learners whose sessions' logits are shifted by N(0, `day_sd`), for the outcome only."""
    who = _Learners.drawn(rng, learners)
    e, missing = np.zeros(learners), np.zeros(learners)
    day, left = np.zeros(learners, np.int64), rng.integers(4, 11, learners)
    shift = rng.normal(0, day_sd, learners)
    world = World(np.empty((reps, learners)), np.empty((reps, learners), bool), np.empty((reps, learners), np.int64))
    for rep in range(reps):
        over = left == 0
        gap = np.where(over, _gaps(rng, learners), 0)
        missing += (1 - missing) * 0.6 * (1 - 2.0 ** (-gap / 60))
        e = np.maximum(0, e - 0.5 * 0.25 * (1 - 2.0 ** (-gap / 60)) * who.tau)
        day += gap
        left = np.where(over, rng.integers(4, 11, learners), left) - 1
        shift = np.where(over, rng.normal(0, day_sd, learners), shift)
        e += ~who.stuck(rep + 1)
        logit = who.start + who.gain * (1 - np.exp(-e / who.tau)) * (1 - missing)
        world.truth[rep], world.day[rep] = _share(logit), day
        world.good[rep] = rng.random(learners) < _share(logit + shift)
        missing *= 0.8
    return world


def _gaps(rng: np.random.Generator, learners: int) -> Ints:
    return np.where(rng.random(learners) < 0.07, rng.integers(14, 22, learners), rng.integers(2, 5, learners))


def _logit(share: Floats) -> Floats:
    return np.asarray(np.log(share / (1 - share)))


def _share(logit: Floats) -> Floats:
    return np.asarray(1 / (1 + np.exp(-logit)))
