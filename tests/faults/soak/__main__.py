"""The long form on demand: ``python -m tests.faults.soak --seeds 1 2 3 --reps 5000 [--database postgresql]``.

After each run a line of JSON; it ends with 1 if anything is not as it was touched.
"""

import argparse
import json
import os
import sys
import time
from collections.abc import Iterator
from contextlib import ExitStack
from pathlib import Path
from tempfile import TemporaryDirectory

from deploy import services
from tests.faults.kills import AS_ON_A_SERVER, bring_back, kill
from tests.faults.soak.run import Plan, soak


def main(arguments: list[str]) -> int:
    parser = argparse.ArgumentParser(prog="python -m tests.faults.soak", description=__doc__)
    parser.add_argument("--seeds", type=int, nargs="+", default=[1])
    parser.add_argument("--reps", type=int, default=5000, help="reps, sets and looks of all three tablets together")
    parser.add_argument("--minutes", type=float, default=60.0, help="for a seed, however many reps were wished for")
    parser.add_argument("--database", choices=("sqlite", "postgresql"), default="sqlite")
    given = parser.parse_args(arguments)
    plans = [Plan(seed, given.reps, given.minutes) for seed in given.seeds]
    return int(sum(run_all(plans, given.database)) > 0)


def run_all(plans: list[Plan], database: str) -> Iterator[int]:
    """How much was wrong in each."""
    with ExitStack() as stack:
        server = ground = None
        os.environ.pop("SIXMARK_DATABASE_URL", None)
        if database == "postgresql":
            server = stack.enter_context(services.postgresql_server(AS_ON_A_SERVER))
            os.environ["SIXMARK_DATABASE_URL"] = server.url
        else:
            ground = Path(stack.enter_context(TemporaryDirectory())) / "ground"
        for plan in plans:
            faults, said = run(plan, ground, server)
            print(json.dumps({"database": database, **said, "faults": len(faults)}), flush=True)
            yield len(faults)


def run(
    plan: Plan, ground: Path | None = None, server: services.PostgreSQLServer | None = None
) -> tuple[list[str], dict[str, object]]:
    """What was wrong, and what was done. The first of what was wrong goes to the standard error."""

    def strike() -> None:
        if server:
            kill(server)
            bring_back(server)

    began = time.monotonic()
    with (
        TemporaryDirectory(ignore_cleanup_errors=True) as folder,
        soak(plan, Path(folder), ground=ground, strike_database=strike if server else None) as made,
    ):
        made.run()
        faults, said = made.faults(), made.report()
        print(*faults[:20], sep="\n", file=sys.stderr)
        for life in made.lives:
            print(f"tablet {life.tablet.number} lost pages: {dict(life.lost)}", file=sys.stderr)
        if faults:
            print(made.crew.log.read_text()[-3000:], file=sys.stderr)
    return faults, {**said, "seconds": round(time.monotonic() - began)}


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
