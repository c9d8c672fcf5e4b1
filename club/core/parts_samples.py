"""Invented values for the page of parts. Nobody here exists, and no figure was measured."""

from dataclasses import dataclass

from club.core.range_bar import Advice

REPS_IN_ALL = 61


@dataclass(frozen=True, slots=True)
class AdviceSample:
    """A likely range as readiness might give it; shares 0 to 1."""

    advice: Advice
    low: float
    estimate: float
    high: float


@dataclass(frozen=True, slots=True)
class Samples:
    advice: tuple[AdviceSample, ...]
    reps: tuple[str, ...]
    many_reps: tuple[str, ...]
    came: tuple[bool, ...]
    synced: tuple[tuple[str, int], ...]
    names: tuple[str, ...]


SAMPLES = Samples(
    advice=(
        AdviceSample(Advice.SETTLED, 0.71, 0.83, 0.93),
        AdviceSample(Advice.KEEP_ON, 0.48, 0.64, 0.80),
        AdviceSample(Advice.EASIER_DRILL, 0.14, 0.28, 0.43),
        AdviceSample(Advice.TOO_LITTLE_SEEN, 0.36, 0.64, 0.88),
        AdviceSample(Advice.NO_REPS_YET, 0.0, 0.0, 0.0),
    ),
    reps=("good", "faulty", "good", "not watched", "good"),
    many_reps=("faulty",) * 3 + ("good",) * 21,
    came=(True, True, False, True, True, True, False, True, True, True),
    synced=(("tablet", 37), ("server", 34), ("look", 1)),
    names=("Oisín", "Leif", "Mireille", "Quyên"),
)
