"""From events to figures in a club of 48 with much history.

`python -m tests.benchmarks.rollup [--quick] [--database sqlite|postgresql]`: how long it takes from a batch of 50 reps
to the last figure of it stored, whether history makes that slower, and how long all counts and readiness take to be
made again, beside the bare GROUP BY of the same counts. How many reps a second the fold of readiness replays in one
process is measured too (`tests.benchmarks.readiness` judges it on its own learners).
"""

import json
import statistics
import time
from datetime import date, timedelta
from typing import Any

from tests.benchmarks.both import asked, grown_club, measured
from tests.benchmarks.report import Report, at_least, at_most

BATCH, BATCHES = 50, 9
BATCH_S, FLAT = 2.0, 1.3
REPLAY_REPS_A_SECOND = 100_000
REBUILD_RATIO, JUDGED_FROM = 40.0, 100_000
"""Not from the design, which asks for the ratio alone: a rebuild that takes longer than this has grown a mistake."""


def one(reps: int) -> None:
    """Prints the measurements as one line of JSON."""
    with grown_club(reps) as (grown, rebuilt_s):
        from django.db import connection

        found = {"reps": grown.reps, "rebuilt_s": rebuilt_s, "group_by_s": _group_by(connection)}
        found["batch_s"] = [_batch(grown, number) for number in range(BATCHES)]
        print(json.dumps({**found, "replay": _replay()}))


def _group_by(connection: Any) -> float:
    """Seconds of the four statements that say what the counts should be."""
    from sessions.trends.bare_counts import TABLES, should_be

    began = time.perf_counter()
    with connection.cursor() as cursor:
        for table in TABLES:
            cursor.execute(f"SELECT count(*) FROM ({should_be(table)}) counted")
            cursor.fetchall()
    return time.perf_counter() - began


def _batch(grown: Any, number: int) -> float:
    """Seconds from a tablet's 50 reps, of eight athletes at a drill each, to their last figure stored."""
    from club import duties
    from club.members import find_member
    from sessions.reps.actions import take_events

    member = find_member(grown.assistant, grown.club.slug)
    batch = grown.batch(number, BATCH)
    began = time.perf_counter()
    answer = take_events(by=member, practice=grown.today, batch=batch)
    duties.drain(duties.QUICK, seconds=60)
    seconds = time.perf_counter() - began
    assert all(result.state == "accepted" for result in answer.results), answer.results[0]
    return seconds


def _replay() -> float:
    from athletes.core.readiness import EMPTY, Outcome, Rep, Settings, fold

    settings, day = Settings(), date(2025, 1, 6)
    reps = [Rep(day + timedelta(days=n // 8), Outcome.BAD if n % 4 == 0 else Outcome.GOOD) for n in range(50_000)]
    began = time.perf_counter()
    state = EMPTY
    for rep in reps:
        state = fold(state, rep, settings)
    return len(reps) / (time.perf_counter() - began)


def main() -> None:
    options = asked("From events to figures.", one)
    if options is None:
        return
    report = Report("rollup")
    first: dict[str, float] = {}
    for run in measured("tests.benchmarks.rollup", options.sizes, options.database):
        key, found = f"{run.database}, {run.reps} reps", run.values
        median = statistics.median(found["batch_s"])
        report.add(f"{key}: batch of {BATCH} to figures, median s", at_most(round(median, 2), BATCH_S))
        ratio = median / first.setdefault(run.database, median)
        report.add(f"{key}: the same, of the smallest", at_most(round(ratio, 2), FLAT))
        ratio = found["rebuilt_s"] / found["group_by_s"]
        print(f"   rebuilt in {found['rebuilt_s']:.1f} s, bare GROUP BY {found['group_by_s']:.1f} s", flush=True)
        said = f"{key}: counts and readiness made again, of the bare GROUP BY"
        # In a small club the thousand pairs of athlete and drill cost more than their reps.
        report.add(said, at_most(round(ratio, 1), REBUILD_RATIO if run.reps >= JUDGED_FROM else float("inf")))
        report.add(f"{key}: readiness replayed, reps/s", at_least(round(found["replay"]), REPLAY_REPS_A_SECOND))
    report.finish()


if __name__ == "__main__":
    main()
