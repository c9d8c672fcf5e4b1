"""From the first rep to the touch at the first contact drill, on simulated beginners; and how often the warm-up check
catches what opened too early.

`python -m tests.benchmarks.opening [--quick] [--seed N]`. The progression is the shipped catalogue's, the rules are the
application's own opening fold. A practice is four drills of eight reps along the needs towards the first contact drill:
each time the earliest one that is open, was not done in this practice and still stands in the way (a drill that needs
it is not open, or it is the entry drill and not settled). Figures may open the next drill within the practice. A drill
through which figures opened another is warmed up with three reps a practice while its check runs. Practices are 2 to 4
days apart, 7 % of gaps 14 to 21 days. The head coach touches at the end of the practice in which the figures ask.

By true skill: every rep is good with that share, its logit shifted by the day's effect. Caught too early: learners of
`simulated_learners`, one curve a drill; an opening is too early where a floor drill it went through is truly under .65.
Every book is looked through after each practice for a contact drill that is open without a touch.
"""

import argparse
import secrets
from collections.abc import Callable
from dataclasses import dataclass, field
from datetime import UTC, date, datetime, time, timedelta
from pathlib import Path
from uuid import UUID

import numpy as np
import yaml

from athletes.core.gates import is_open, to_ask
from athletes.core.opening import Item, step
from athletes.core.progression import Drill, Progression, Risk
from athletes.core.readiness import Outcome, Settings
from athletes.core.sequence import Place
from athletes.core.standing import Attempt, Book, Change, ChangeKind, ClosedBy, Decision, DecisionKind, OpenedBy
from drills.core.progression import behind
from tests.benchmarks.report import Figure, Report, at_most
from tests.benchmarks.simulated_learners import simulate

CATALOGUE = Path(__file__).parents[2] / "fixtures" / "catalogue.yaml"
REPS, DRILLS, WARM_UP = 8, 4, 3
SKILLS = (0.6, 0.7, 0.8, 0.9, 1.0)
LIMITS = {1.0: 6, 0.8: 12}
DAY_EFFECTS = (0.35, 0.70)
LONGEST = 60
"""Practices after which a beginner is given up; counted as that many."""
TOO_EARLY = 0.65
FIRST_DAY = date(2025, 1, 6)

Good = Callable[[str, int, float], bool]
"""Whether the rep of that drill, number (from 0) and logit shift of the day is good."""


def shipped() -> Progression:
    found = yaml.safe_load(CATALOGUE.read_text(encoding="utf-8"))["drills"]
    return Progression.of(
        Drill(row["key"], Risk(row["risk"]), tuple(row.get("needs", ())), row.get("entry_drill")) for row in found
    )


@dataclass(slots=True)
class Beginner:
    """One athlete, practice by practice."""

    progression: Progression
    good: Good
    rng: np.random.Generator
    day_sd: float
    settings: Settings = field(default_factory=Settings)
    book: Book = field(default_factory=Book)
    day: date = FIRST_DAY
    number: int = 0
    reps: dict[str, int] = field(default_factory=dict)
    changes: list[tuple[Change, dict[str, int]]] = field(default_factory=list)
    touched: set[str] = field(default_factory=set)
    without_touch: int = 0

    def practise(self, path: list[str]) -> None:
        shift = float(self.rng.normal(0, self.day_sd))
        for key in self.to_warm_up():
            self.do(key, WARM_UP, shift)
        done: set[str] = set()
        while len(done) < DRILLS and (key := self.next_drill(path, done)):
            done.add(key)
            self.do(key, REPS, shift)
        self.day += timedelta(
            days=int(self.rng.integers(14, 22) if self.rng.random() < 0.07 else self.rng.integers(2, 5))
        )
        self.look()

    def to_warm_up(self) -> list[str]:
        return sorted({check.need for track in self.book.tracks.values() for check in track.checks})

    def next_drill(self, path: list[str], done: set[str]) -> str | None:
        for key in path:
            if key not in done and self.is_open(key) and self.stands_in_the_way(key, path):
                return key
        return None

    def stands_in_the_way(self, key: str, path: list[str]) -> bool:
        later = [other for other in self.progression.opens[key] if other in path]
        return any(not self.is_open(other) for other in later) or (
            key == path[-1] and not self.book.track(key).settled_by
        )

    def is_open(self, key: str) -> bool:
        return is_open(self.book.track(key), self.progression.drills[key])

    def do(self, key: str, reps: int, shift: float) -> None:
        for _ in range(reps):
            n = self.reps.get(key, 0)
            outcome = Outcome.GOOD if self.good(key, n, shift) else Outcome.BAD
            self.reps[key] = n + 1
            self.fold(Attempt(self.place(), key, outcome))

    def touch(self, key: str) -> None:
        self.touched.add(key)
        self.fold(Decision(self.place(), key, DecisionKind.TOUCH, by_head_coach=True))

    def fold(self, item: Item) -> None:
        stepped = step(self.book, item, self.progression, self.settings)
        self.book = stepped.book
        self.changes += ((change, dict(self.reps)) for change in stepped.changes)

    def place(self) -> Place:
        self.number += 1
        at = datetime.combine(self.day, time(17), UTC) + timedelta(seconds=self.number)
        return Place(self.day, at, "tablet", self.number, UUID(int=self.number))

    def look(self) -> None:
        contact = (key for key, drill in self.progression.drills.items() if drill.risk is Risk.CONTACT)
        self.without_touch += sum(self.is_open(key) and key not in self.touched for key in contact)

    def asked(self) -> tuple[str, ...]:
        return to_ask(self.book, self.progression, self.settings)


def way_up(progression: Progression) -> list[str]:
    """The floor and moving drills on the way to the first contact drill's entry drill, earliest first."""
    first = next(drill for drill in progression.drills.values() if drill.risk is Risk.CONTACT)
    assert first.entry
    needed = behind(first.entry, {key: drill.needs for key, drill in progression.drills.items()})
    return [key for key in progression.drills if key in needed and key != first.entry] + [first.entry]


def practices_to_contact(beginner: Beginner, path: list[str]) -> int:
    """Practices until the touch; ``LONGEST`` if it never comes."""
    for practice in range(1, LONGEST + 1):
        beginner.practise(path)
        if asked := beginner.asked():
            beginner.touch(asked[0])
            beginner.look()
            return practice
    return LONGEST


def of_skill(skill: float, rng: np.random.Generator) -> Good:
    if skill >= 1:
        return lambda key, n, shift: True
    logit = np.log(skill / (1 - skill))
    return lambda key, n, shift: bool(rng.random() < 1 / (1 + np.exp(-(logit + shift))))


def learning(truth: dict[str, np.ndarray], rng: np.random.Generator) -> Good:
    def good(key: str, n: int, shift: float) -> bool:
        share = truth[key][min(n, len(truth[key]) - 1)]
        return bool(rng.random() < 1 / (1 + np.exp(-(np.log(share / (1 - share)) + shift))))

    return good


@dataclass(slots=True)
class Caught:
    """Openings through floor drills by figures: how many were too early or not, and how many of each were closed."""

    early: int = 0
    early_closed: int = 0
    ripe: int = 0
    ripe_closed: int = 0


def count_caught(beginner: Beginner, truth: dict[str, np.ndarray], caught: Caught) -> None:
    opened: dict[str, bool] = {}
    for change, reps in beginner.changes:
        drill = beginner.progression.drills[change.drill]
        if change.kind is ChangeKind.OPENED and change.by is OpenedBy.FIGURES:
            floor = [n for n in drill.needs if beginner.progression.drills[n].risk is Risk.FLOOR]
            if floor:
                least = min(truth[n][min(max(0, reps[n] - 1), len(truth[n]) - 1)] for n in floor)
                opened[change.drill] = bool(least < TOO_EARLY)
                caught.early += opened[change.drill]
                caught.ripe += not opened[change.drill]
        elif change.kind is ChangeKind.CLOSED and change.by is ClosedBy.WARM_UP_CHECK and change.drill in opened:
            early = opened.pop(change.drill)
            caught.early_closed += early
            caught.ripe_closed += not early


def printed(value: float) -> Figure:
    return Figure(float(value), "printed", True)


def main() -> None:
    parser = argparse.ArgumentParser(description="From the first rep to contact, on simulated beginners.")
    parser.add_argument("--quick", action="store_true", help="fewer beginners")
    parser.add_argument("--seed", type=int, default=None, help="repeat a run (else fresh, and printed)")
    options = parser.parse_args()
    seed = secrets.randbits(48) if options.seed is None else options.seed
    beginners, learners, practices = (25, 25, 12) if options.quick else (200, 300, 20)
    print(f"seed {seed}: {beginners} beginners a skill, {learners} learners, in each of 2 worlds", flush=True)
    progression, report, without_touch = shipped(), Report("opening"), 0
    path = way_up(progression)
    for world, day_sd in enumerate(DAY_EFFECTS):
        rng = np.random.default_rng([seed, world])
        for skill in SKILLS:
            took = []
            for _ in range(1 if skill == 1 else beginners):
                beginner = Beginner(progression, of_skill(skill, rng), rng, day_sd)
                took.append(practices_to_contact(beginner, path))
                without_touch += beginner.without_touch
            key = f"true {skill:.1f}, day effect {day_sd:.2f}, median practices to the touch"
            median = float(np.median(took))
            report.add(key, at_most(median, LIMITS[skill]) if skill in LIMITS else printed(median))
            never = 100 * float(np.mean([n == LONGEST for n in took]))
            report.add(f"true {skill:.1f}, day effect {day_sd:.2f}, not within {LONGEST} practices, %", printed(never))
        caught = Caught()
        for _ in range(learners):
            curves = simulate(rng, len(progression.drills), 160, 0.0).truth
            truth = {key: curves[:, place] for place, key in enumerate(progression.drills)}
            beginner = Beginner(progression, learning(truth, rng), rng, day_sd)
            for _ in range(practices):
                beginner.practise(path)
                for asked in beginner.asked():
                    beginner.touch(asked)
            without_touch += beginner.without_touch
            count_caught(beginner, truth, caught)
        for name, closed, of in (
            (f"opened truly under {TOO_EARLY}", caught.early_closed, caught.early),
            ("opened in time", caught.ripe_closed, caught.ripe),
        ):
            share = 100 * closed / max(1, of)
            report.add(f"{name}, day effect {day_sd:.2f}, closed by the warm-up check, %", printed(round(share, 1)))
        share = 100 * caught.early / max(1, caught.early + caught.ripe)
        key = f"openings through floor drills truly under {TOO_EARLY}, day effect {day_sd:.2f}, %"
        report.add(key, printed(round(share, 1)))
    report.add("contact drills open without the head coach's touch", at_most(without_touch, 0))
    report.finish()


if __name__ == "__main__":
    main()
