"""Runs one measurement for each size on SQLite and on a PostgreSQL of its own, each in a process of its own."""

import argparse
import json
import os
import subprocess
import sys
from collections.abc import Callable, Iterator, Sequence
from contextlib import ExitStack, contextmanager
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


def asked(description: str, one: Callable[[int], None]) -> argparse.Namespace | None:
    """What the command line says: sizes, database. None where this process was to measure one size, and has."""
    parser = argparse.ArgumentParser(description=description)
    parser.add_argument("--quick", action="store_true", help="two small sizes")
    parser.add_argument("--database", choices=("sqlite", "postgresql"), action="append")
    parser.add_argument("--sizes", type=int, nargs="+", help="other sizes, in reps")
    parser.add_argument("--one", type=int, help=argparse.SUPPRESS)
    options = parser.parse_args()
    if options.one:
        one(options.one)
        return None
    options.sizes = options.sizes or (QUICK if options.quick else SIZES)
    options.database = options.database or ["sqlite", "postgresql"]
    return options


@contextmanager
def grown_club(reps: int) -> Iterator[tuple[Any, float]]:
    """A club with so many reps in a database of its own, thrown away afterwards, and in how many seconds its figures
    were made."""
    os.environ.setdefault("DJANGO_SETTINGS_MODULE", "tests.settings")
    import django

    django.setup()
    from django.db import connection

    from tests.benchmarks.grown_club import grow, rolled_up

    connection.creation.create_test_db(verbosity=0)
    try:
        grown = grow(reps)
        yield grown, rolled_up(grown)
    finally:
        connection.creation.destroy_test_db(connection.settings_dict["NAME"], verbosity=0)


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
