""" "Fill for me" on generated practices: rules kept, time, and value against the best of 20 random restarts.

    python -m tests.benchmarks.fill [--quick]

A restart begins from homes by chance and weighs as many plans as the fill itself. Values are compared tier by tier:
unplaced, worth of the worst-served, total worth, trouble.
"""

import argparse
import time
from dataclasses import dataclass

from sessions.planning.core.problem import Answer, Problem
from sessions.planning.core.search import LIMIT, LocalSearch
from tests.benchmarks.report import Report, at_least, at_most
from tests.sessions.planning.generated import practice
from tests.sessions.planning.validator import broken_rules, could_be_placed

RESTARTS = 20


@dataclass(frozen=True, slots=True)
class Run:
    problem: Problem
    filled: Answer
    seconds: float
    best: Answer
    broken: int


def one(seed: int, limit: int) -> Run:
    problem = practice(seed)
    started = time.process_time()
    filled = LocalSearch().fill(problem, 0, limit)
    seconds = time.process_time() - started
    others = [LocalSearch(random_start=True).fill(problem, restart, limit) for restart in range(RESTARTS)]
    best = min(others, key=lambda answer: answer.value.order())
    broken = len(broken_rules(problem, filled)) + len(could_be_placed(problem, filled))
    return Run(problem, filled, seconds, best, broken)


def share(part: float, whole: float) -> float:
    return part / whole if whole else 1.0


def said(seed: int, run: Run) -> str:
    plan, ours, best = run.problem.plan, run.filled.value, run.best.value
    size = f"{len(plan.vaulters)} athletes, {len(plan.blocks)} blocks, {len(plan.stations)} stations"
    return (
        f"{seed:3} {size}: {run.seconds:.1f} s, {run.broken} broken; unplaced {ours.unplaced} | {best.unplaced},"
        f" worst {ours.worst:.3f} | {best.worst:.3f}, total {ours.total:.2f} | {best.total:.2f},"
        f" trouble {ours.trouble} | {best.trouble}"
    )


def main() -> None:
    parser = argparse.ArgumentParser()
    parser.add_argument("--quick", action="store_true", help="fewer practices and plans weighed")
    quick = parser.parse_args().quick
    report, runs = Report("fill"), []
    for seed in range(8 if quick else 30):
        runs.append(one(seed, 40 if quick else LIMIT))
        print(said(seed, runs[-1]), flush=True)
    count = len(runs)
    report.add("broken_rules", at_most(sum(run.broken for run in runs), 0))
    behind = sum(run.filled.value.unplaced - run.best.value.unplaced for run in runs)
    report.add("unplaced_beyond_the_best_of_20", at_most(behind, 0))
    worst = sum(share(run.filled.value.worst, run.best.value.worst) for run in runs) / count
    report.add("worst_served_of_the_best_of_20", at_least(worst, 0.95))
    total = sum(share(run.filled.value.total, run.best.value.total) for run in runs) / count
    report.add("total_worth_of_the_best_of_20", at_least(total, 0.9))
    better = sum(run.filled.value.order() <= run.best.value.order() for run in runs) / count
    print(f"as good as the best of {RESTARTS}, or better: {better:.0%} of {count} practices", flush=True)
    report.add("seconds_at_most", at_most(max(run.seconds for run in runs), 10))
    report.finish()


if __name__ == "__main__":
    main()
