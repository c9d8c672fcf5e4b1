"""Writes reps, late ones, corrections and voids into a real database until a file says stop; prints how many steps.

Started by the tests of this folder as a process of its own: ``python -m tests.faults.feed_rows SEED STOP-FILE``.
"""

import sys
import time
from datetime import timedelta
from pathlib import Path

import django

django.setup()

from django.db import transaction  # noqa: E402

from tests.builders import DAY  # noqa: E402
from tests.sessions.trends.generated_club import GeneratedClub  # noqa: E402

DAYS = tuple(DAY + timedelta(days=2 * n) for n in range(30))


def feed(seed: int, stop: Path) -> int:
    generated = GeneratedClub(seed)
    chance = generated.random
    steps = 0
    while not stop.exists():
        with transaction.atomic():  # as an action does it: rows and duties together
            step(generated)
        steps += 1
        time.sleep(chance.random() * 0.02)
    return steps


def step(generated: GeneratedClub) -> None:
    """One thing that happens at a practice, or afterwards."""
    chance, day = generated.random, generated.random.choice(DAYS)
    what = chance.choices(("rep", "correction", "void"), (15, 4, 1))[0]
    if what == "rep":
        generated.practise(day, reps=1)
    elif what == "correction":
        generated.correct(day)
    else:
        generated.take_back(chance.choice(generated.athletes), chance.choice(generated.drills), day)


if __name__ == "__main__":
    print(feed(int(sys.argv[1]), Path(sys.argv[2])))
