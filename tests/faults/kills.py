"""The long form on demand: ``python -m tests.faults.kills --kills 100 [--database postgresql]``.

Kills the site, or on PostgreSQL the database server, or both at once, while tablets send late, voided and corrected
events and sets. The last line it prints is JSON; it ends with 1 if anything is not as it was answered for.
"""

import argparse
import json
import os
import random
import sys
import time
from collections import Counter
from collections.abc import Iterator
from contextlib import ExitStack, contextmanager
from functools import partial
from pathlib import Path
from tempfile import TemporaryDirectory

from deploy import services
from deploy.listening import free_port
from tests.deploy.running import until
from tests.faults.forked import Duties
from tests.faults.siege import Siege, installation, site, tablets_of

AS_ON_A_SERVER = ("synchronous_commit=on", "full_page_writes=on")
"""What is answered for must be in the log by then: the rest of the process's memory goes with it."""

ANSWERED = {"accepted", "duplicate"}


def main(arguments: list[str]) -> int:
    given = parse(arguments)
    began = time.monotonic()
    with ExitStack() as stack:
        server = None
        if given.database == "postgresql":
            server = stack.enter_context(services.postgresql_server(AS_ON_A_SERVER))
            os.environ["SIXMARK_DATABASE_URL"] = server.url
        else:
            os.environ.pop("SIXMARK_DATABASE_URL", None)
        siege = stack.enter_context(besieged(Path(stack.enter_context(TemporaryDirectory())), given.seed))
        kills = besiege(siege, given.kills, server, began + given.minutes * 60)
        said = report(siege, kills, strict=server is None)
    print(json.dumps({"database": given.database, **said, "seconds": round(time.monotonic() - began)}))
    return int(bool(said["faults"]))


def parse(arguments: list[str]) -> argparse.Namespace:
    parser = argparse.ArgumentParser(prog="python -m tests.faults.kills", description=__doc__)
    parser.add_argument("--kills", type=int, default=100)
    parser.add_argument("--database", choices=("sqlite", "postgresql"), default="sqlite")
    parser.add_argument("--seed", type=int, default=26)
    parser.add_argument("--minutes", type=float, default=60.0, help="no kill after these, however many were wished for")
    return parser.parse_args(arguments)


@contextmanager
def besieged(folder: Path, seed: int) -> Iterator[Siege]:
    port = free_port()
    with (
        installation(folder) as where,
        site(where, folder / "log", port) as crew,
        tablets_of(crew, port, seed) as tablets,
    ):
        yield Siege(where, crew, tablets, random.Random(seed), Duties(where))


def besiege(siege: Siege, kills: int, server: services.PostgreSQLServer | None, until_s: float) -> Counter[str]:
    """How often what was killed. until_s: of the monotonic clock, when it is enough."""
    kinds = ("site", "database", "both") if server else ("site",)
    done: Counter[str] = Counter()
    siege.begin()
    for number in range(kills):
        if time.monotonic() > until_s:
            break
        kind = kinds[number % len(kinds)]
        siege.round(partial(strike, kind, siege, server))
        done[kind] += 1
        print(f"\r{number + 1} of {kills} kills", end="", file=sys.stderr, flush=True)
    print(file=sys.stderr)
    siege.end()
    return done


def strike(kind: str, siege: Siege, server: services.PostgreSQLServer | None) -> None:
    if server and kind != "site":
        kill(server)
    if kind != "database":
        siege.kill_site()
    if server and kind != "site":
        bring_back(server)


def kill(server: services.PostgreSQLServer) -> None:
    """The head of the server alone, as a system without memory does it; the kernel tells its children."""
    assert server.process
    server.process.kill()
    server.process.wait()


def bring_back(server: services.PostgreSQLServer) -> None:
    """On the same data. It does not start while a child of the dead one still holds their memory."""

    def answers() -> bool:
        assert server.process
        if server.process.poll() is not None:
            server.start()
        return is_up(server.url)

    assert until(answers, 60, pause_s=0.1), server.log


def is_up(url: str) -> bool:
    import psycopg

    try:
        psycopg.connect(url, connect_timeout=5).close()
    except psycopg.OperationalError:
        return False
    return True


def report(siege: Siege, kills: Counter[str], *, strict: bool) -> dict[str, object]:
    """strict: no answer of the site may be an error of its own. While its database is away, 5xx is what it can say."""
    odd = [said for said in siege.odd if strict or not said.startswith("5")]
    unusual = [f"{times} events {state}" for state, times in siege.states.items() if state not in ANSWERED]
    faults = [*odd, *unusual, *siege.wrong(), *siege.misfigured(wait_s=120)]
    for fault in faults[:20]:
        print(fault, file=sys.stderr)
    if faults:
        print(siege.log[-4000:], file=sys.stderr)
    return {
        "kills": dict(kills),
        "in_roll_ups": sum(count > 0 for count in siege.in_hand),
        "events": dict(siege.kinds),
        "late": siege.late,
        "duplicates": siege.states["duplicate"],
        "broken_requests": siege.broken,
        "errors_while_the_database_was_away": len(siege.odd) - len(odd),
        "faults": len(faults),
    }


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
