"""Runs one measurement for each size on SQLite and on a PostgreSQL of its own, each in a process of its own."""

import json
import os
import subprocess
import sys
from collections.abc import Iterator, Sequence
from contextlib import ExitStack
from dataclasses import dataclass
from typing import Any

from deploy.services import postgresql

SIZES = (10_000, 100_000, 1_000_000)
QUICK = (2_000, 10_000)


@dataclass(frozen=True, slots=True)
class Measured:
    """values: what the process printed as its last line."""

    database: str
    reps: int
    values: dict[str, Any]


def measured(module: str, sizes: Sequence[int], databases: Sequence[str]) -> Iterator[Measured]:
    """By database, then by size. Raises CalledProcessError where a process fails."""
    for database in databases:
        with ExitStack() as stack:
            url = stack.enter_context(postgresql()) if database == "postgresql" else ""
            for reps in sizes:
                print(f"{database}, {reps:,} reps", flush=True)
                done = subprocess.run(
                    [sys.executable, "-m", module, "--one", str(reps)],
                    env={**os.environ, "SIXMARK_DATABASE_URL": url},
                    stdout=subprocess.PIPE,
                    text=True,
                    check=True,
                )
                yield Measured(database, reps, json.loads(done.stdout.splitlines()[-1]))
