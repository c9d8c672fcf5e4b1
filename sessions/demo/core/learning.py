"""How true skill grows: the learners on whom the readiness rule was measured, one a checkpoint.

An approach on the logit scale that plateaus hold up and gaps set back. A good rep needs every checkpoint of its
drill's gate, mostly two, so the shares here are about the square roots of those a whole rep was measured with.
"""

import math
from dataclasses import dataclass

from sessions.demo.core.dice import Dice

START = (0.42, 0.70)
Ends = tuple[float, float]
ENDS: dict[Ends, float] = {(0.93, 0.985): 0.60, (0.78, 0.86): 0.25, (0.58, 0.74): 0.15}
"""Where learners end, and how many of them."""
TAU_REPS = (12.0, 50.0)
HALF_LIFE_DAYS = 60
LOST, LOST_FOR_GOOD = 0.6, 0.125
RELEARNED_A_REP = 0.8


def logit(share: float) -> float:
    return math.log(share / (1 - share))


def share(value: float) -> float:
    return 1 / (1 + math.exp(-value))


@dataclass(slots=True)
class Skill:
    """One vaulter's at one checkpoint. start, gain: logits; tau: reps; plateaus: from rep, to rep."""

    start: float
    gain: float
    tau: float
    plateaus: tuple[tuple[float, float], ...] = ()
    reps: float = 0.0
    experience: float = 0.0
    missing: float = 0.0

    @property
    def logit(self) -> float:
        """Without the day's effect."""
        return self.start + self.gain * (1 - math.exp(-self.experience / self.tau)) * (1 - self.missing)

    def practise(self, amount: float) -> None:
        """A rep, or a part of one where nobody looked at this."""
        self.reps += amount
        if not any(begins <= self.reps < ends for begins, ends in self.plateaus):
            self.experience += amount
        self.missing *= RELEARNED_A_REP**amount

    def away(self, days: int) -> None:
        gone = 1 - 2.0 ** (-days / HALF_LIFE_DAYS)
        self.missing += (1 - self.missing) * LOST * gone
        self.experience = max(0.0, self.experience - LOST_FOR_GOOD * gone * self.tau)


def new_skill(dice: Dice, ends: Ends) -> Skill:
    start = logit(dice.uniform(*START))
    return Skill(start, logit(dice.uniform(*ends)) - start, dice.uniform(*TAU_REPS), _plateaus(dice))


def _plateaus(dice: Dice) -> tuple[tuple[float, float], ...]:
    first = dice.uniform(10, 60)
    first_ends = first + dice.uniform(15, 40)
    second = first_ends + dice.uniform(10, 40)
    both = ((first, first_ends), (second, second + dice.uniform(10, 30)))
    return both[: dice.randint(0, 2)]
