"""The coaches' pages of a club of 48 with much history: how long they take, and whether history makes them slower.

`python -m tests.benchmarks.pages [--quick] [--database sqlite|postgresql]`. Times are those of whole requests through
all middleware, after one to warm up. The flatness is judged on medians, which a busy machine disturbs least.
"""

import json
import statistics
import time

from tests.benchmarks.both import asked, grown_club, measured
from tests.benchmarks.report import Report, at_most

P95_MS, FLAT = 150.0, 1.3
ASKED = 40


def one(reps: int) -> None:
    """Prints for each page its times in ms and how many queries it takes, as one line of JSON."""
    with grown_club(reps) as (grown, _seconds):
        from django.db import connection
        from django.test import Client
        from django.test.utils import CaptureQueriesContext

        client = Client()
        client.force_login(grown.head_coach, backend="allauth.account.auth_backends.AuthenticationBackend")
        found = {}
        for name, address in grown.pages().items():
            client.get(address)
            with CaptureQueriesContext(connection) as queries:
                answer = client.get(address)
            assert answer.status_code == 200, (address, answer.status_code)
            found[name] = {"queries": len(queries), "ms": [_timed(client, address) for _ in range(ASKED)]}
        print(json.dumps(found))


def _timed(client, address: str) -> float:  # type: ignore[no-untyped-def]
    began = time.perf_counter()
    client.get(address)
    return 1000 * (time.perf_counter() - began)


def main() -> None:
    options = asked("Speed of the coaches' pages.", one)
    if options is None:
        return
    report = Report("pages")
    first: dict[tuple[str, str], tuple[float, int]] = {}
    for run in measured("tests.benchmarks.pages", options.sizes, options.database):
        for name, page in run.values.items():
            key = f"{name}, {run.database}, {run.reps} reps"
            p95, median = statistics.quantiles(page["ms"], n=20)[-1], statistics.median(page["ms"])
            report.add(f"{key}: p95, ms", at_most(round(p95, 1), P95_MS))
            before, queries = first.setdefault((name, run.database), (median, page["queries"]))
            report.add(f"{key}: median, of the smallest", at_most(round(median / before, 2), FLAT))
            report.add(f"{key}: queries more than at the smallest", at_most(page["queries"] - queries, 0))
    report.finish()


if __name__ == "__main__":
    main()
