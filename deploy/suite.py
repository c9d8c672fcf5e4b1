"""Runs every check in parts, shows what failed, counts, and tears down whatever it started.

Two parts run side by side (two cores); those that start real processes or a browser run alone,
because they hold times against the clock.
"""

import argparse
import os
import secrets
import shutil
import signal
import subprocess
import sys
import time
from collections import defaultdict
from collections.abc import Iterator, Sequence
from concurrent.futures import ThreadPoolExecutor
from contextlib import ExitStack, contextmanager
from dataclasses import dataclass
from pathlib import Path
from tempfile import mkdtemp
from types import FrameType
from xml.etree import ElementTree

from deploy import Refused, services
from deploy.data_folder import APPS, ROOT

NO_TESTS = 5  # pytest's exit code when it collected none
PYTHON = sys.executable
SMALL_CHECKS: tuple[tuple[str, ...], ...] = (
    ("ruff", "check", "."),
    ("ruff", "format", "--check", "."),
    ("mypy", "--follow-imports=silent"),  # the paths of what must be typed follow
    ("lint-imports",),
)


@dataclass(frozen=True, slots=True)
class Part:
    """marks: pytest's -m; empty for the style checks, which are no pytest run. grown_up: on PostgreSQL and Redis."""

    name: str
    marks: str = ""
    grown_up: bool = False
    alone: bool = False


PARTS = (
    Part("style"),
    Part("sqlite", "not browser and not processes"),
    Part("postgresql", "database and not browser and not processes", grown_up=True),
    Part("processes-sqlite", "processes and not browser", alone=True),
    Part("processes-postgresql", "processes and not browser", grown_up=True, alone=True),
    Part("browser", "browser", alone=True),
)


@dataclass(frozen=True, slots=True)
class Outcome:
    name: str
    passed: int
    failed: int
    skipped: int
    minutes: float
    printed: str
    ran_none: bool = False


@dataclass(frozen=True, slots=True)
class Surroundings:
    """folder: temporary, for all parts. database_url, redis_url: of the run's own servers, empty when not started."""

    folder: Path
    database_url: str
    redis_url: str

    def variables(self, part: Part) -> dict[str, str]:
        """The environment of a part: the caller's, without any setting of a real site."""
        data = self.folder / part.name
        data.mkdir(mode=0o700)
        kept = {key: value for key, value in os.environ.items() if not key.startswith("SIXMARK_")}
        grown_up = {"SIXMARK_DATABASE_URL": self.database_url, "SIXMARK_REDIS_URL": self.redis_url}
        own = {"SIXMARK_DATA": str(data), "SIXMARK_SECRET_KEY": secrets.token_urlsafe(48), "PYTHONUNBUFFERED": "1"}
        path = f"{Path(PYTHON).parent}{os.pathsep}{kept.get('PATH', '')}"
        return kept | {"PATH": path} | own | (grown_up if part.grown_up else {})


def main(arguments: list[str]) -> int:
    parser = argparse.ArgumentParser(
        prog="deploy/test",
        description="Runs all checks, or some. Other arguments go to pytest: deploy/test --only sqlite -k pole",
    )
    names = [part.name for part in PARTS]
    parser.add_argument("--only", action="append", choices=names, metavar="PART", help=", ".join(names))
    given, for_pytest = parser.parse_known_args(arguments)
    chosen = [part for part in PARTS if part.name in (given.only or names) and (part.marks or not for_pytest)]
    signal.signal(signal.SIGTERM, _leave)
    try:
        return _report(run(chosen, for_pytest), some_may_be_empty=bool(for_pytest))
    except Refused as refusal:
        print(refusal, file=sys.stderr)
        return 1
    except KeyboardInterrupt:
        print("\nStopped.", file=sys.stderr)
        return 130


def _leave(number: int, frame: FrameType | None) -> None:
    raise KeyboardInterrupt


def run(parts: Sequence[Part], for_pytest: Sequence[str]) -> list[Outcome]:
    services.install_missing()
    outcomes = []
    with _surroundings(parts) as around, _Lanes(around, for_pytest) as lanes:
        for outcome in lanes.side_by_side([part for part in parts if not part.alone]):
            outcomes.append(_shown(outcome))
        for part in parts:
            if part.alone:
                outcomes.append(_shown(lanes.run(part)))
    return outcomes


@contextmanager
def _surroundings(parts: Sequence[Part]) -> Iterator[Surroundings]:
    folder = Path(mkdtemp(prefix="sixmark-test-"))
    with ExitStack() as stack:
        stack.callback(shutil.rmtree, folder, ignore_errors=True)
        if any(part.grown_up for part in parts):
            yield Surroundings(
                folder, stack.enter_context(services.postgresql()), stack.enter_context(services.redis())
            )
        else:
            yield Surroundings(folder, "", "")


class _Lanes:
    """Runs parts as processes of their own, and ends those when the run is stopped."""

    def __init__(self, around: Surroundings, for_pytest: Sequence[str]) -> None:
        self.around, self.for_pytest = around, for_pytest
        self.running: set[subprocess.Popen[str]] = set()
        self.stopped = False

    def __enter__(self) -> "_Lanes":
        return self

    def __exit__(self, *exception: object) -> None:
        self._stop()

    def _stop(self) -> None:
        self.stopped = True
        for process in list(self.running):
            process.send_signal(signal.SIGINT)  # pytest then tears its fixtures down

    def side_by_side(self, parts: Sequence[Part]) -> Iterator[Outcome]:
        """Outcomes in the parts' order; the long ones start first."""
        with ThreadPoolExecutor(max_workers=2) as pool:
            started = {part: pool.submit(self.run, part) for part in sorted(parts, key=lambda part: not part.marks)}
            try:
                for part in parts:
                    yield started[part].result()
            except BaseException:
                self._stop()
                raise

    def run(self, part: Part) -> Outcome:
        began = time.monotonic()
        environment = self.around.variables(part)
        passed, failed, skipped, printed, none = (
            self._pytest(part, environment) if part.marks else self._small_checks(environment)
        )
        return Outcome(part.name, passed, failed, skipped, (time.monotonic() - began) / 60, printed, none)

    def _pytest(self, part: Part, environment: dict[str, str]) -> tuple[int, int, int, str, bool]:
        report = self.around.folder / f"{part.name}.xml"
        command = [PYTHON, "-m", "pytest", "-m", part.marks, f"--junitxml={report}", *self.for_pytest]
        code, printed = self._output(command, environment)
        if code == NO_TESTS:
            return 0, 0, 0, printed, True
        passed, failed, skipped = _counts(report)
        printed = f"{printed.rstrip()}\n{_slowest(report)}"
        # A run that broke off counts as one failure even if each test that it reached had passed.
        return passed, max(failed, int(code != 0)), skipped, printed, False

    def _small_checks(self, environment: dict[str, str]) -> tuple[int, int, int, str, bool]:
        passed, failed, pieces = 0, 0, []
        scripts = [("bash", "-n", str(script)) for script in _shell_scripts()]
        for check in (*SMALL_CHECKS, *scripts):
            command = [*check, *(_typed() if check[0] == "mypy" else [])]
            code, printed = self._output(command, environment)
            passed, failed = passed + (code == 0), failed + (code != 0)
            if code:
                pieces.append(f"$ {' '.join(check)}\n{printed}")
        return passed, failed, 0, "\n".join(pieces), False

    def _output(self, command: Sequence[str], environment: dict[str, str]) -> tuple[int, str]:
        if self.stopped:
            return 1, "stopped"
        process = subprocess.Popen(
            command,
            cwd=ROOT,
            env=environment,
            stdin=subprocess.DEVNULL,
            stdout=subprocess.PIPE,
            stderr=subprocess.STDOUT,
            text=True,
            errors="replace",
            process_group=0,  # Ctrl-C reaches the parts once, through _stop
        )
        self.running.add(process)
        try:
            printed, _ = process.communicate()
        finally:
            self.running.discard(process)
        return process.returncode, printed


def _counts(report: Path) -> tuple[int, int, int]:
    """Passed, failed (errors among them) and skipped, from pytest's JUnit file; a missing file is one failure."""
    if not report.exists():
        return 0, 1, 0
    totals = {"tests": 0, "failures": 0, "errors": 0, "skipped": 0}
    for suite in ElementTree.parse(report).getroot().iter("testsuite"):
        for name in totals:
            totals[name] += int(suite.get(name, "0"))
    failed = totals["failures"] + totals["errors"]
    return max(0, totals["tests"] - failed - totals["skipped"]), failed, totals["skipped"]


def _slowest(report: Path, how_many: int = 8) -> str:
    """Where the minutes went: the files whose tests took longest, in seconds."""
    seconds: defaultdict[str, float] = defaultdict(float)
    for case in ElementTree.parse(report).getroot().iter("testcase") if report.exists() else ():
        seconds[case.get("classname", "")] += float(case.get("time", "0"))
    said = [
        f"{name.removeprefix('tests.')} {spent:.0f} s"
        for name, spent in sorted(seconds.items(), key=lambda one: -one[1])[:how_many]
    ]
    return f"longest: {', '.join(said)}"


def _typed() -> list[str]:
    """Every pure core, the two files that who-may-what rests on, and what starts and saves the site."""
    found = [path for app in APPS for path in (*(ROOT / app).glob("**/core.py"), *(ROOT / app).glob("**/core"))]
    named = [ROOT / "club" / "roles.py", ROOT / "club" / "scope.py", ROOT / "deploy"]
    return [str(path.relative_to(ROOT)) for path in (*sorted(found), *named) if path.exists()]


def _shell_scripts() -> list[Path]:
    return [
        file
        for file in (*sorted((ROOT / "deploy").iterdir()), ROOT / ".ci" / "run")
        if file.is_file() and (file.suffix == ".sh" or file.read_bytes()[:19] == b"#!/usr/bin/env bash")
    ]


def _shown(outcome: Outcome) -> Outcome:
    print(f"\n=== {outcome.name} ({outcome.minutes:.1f} min) ===\n{outcome.printed.rstrip()}", flush=True)
    return outcome


def _report(outcomes: Sequence[Outcome], *, some_may_be_empty: bool) -> int:
    passed = sum(outcome.passed for outcome in outcomes)
    failed = sum(outcome.failed for outcome in outcomes)
    skipped = sum(outcome.skipped for outcome in outcomes)
    empty = [outcome.name for outcome in outcomes if outcome.ran_none]
    if empty and not (some_may_be_empty and len(empty) < len(outcomes)):
        print(f"\nNo test was found for: {', '.join(empty)}")
        failed += len(empty)
    print(f"\n{'part':<24}{'passed':>8}{'failed':>8}{'skipped':>9}{'minutes':>9}")
    for each in outcomes:
        print(f"{each.name:<24}{each.passed:>8}{each.failed:>8}{each.skipped:>9}{each.minutes:>9.1f}")
    print(f"\n{passed} passed, {failed} failed" + (f", {skipped} skipped" if skipped else ""), flush=True)
    return 1 if failed or not passed else 0


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
