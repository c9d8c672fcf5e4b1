"""Holds the stored figures against what the reps say, by code that shares nothing with what made them."""

import time
from argparse import ArgumentParser
from collections.abc import Callable
from dataclasses import dataclass
from importlib import import_module
from typing import Any

from django.core.management.base import BaseCommand, CommandError
from django.db.models import F, Sum

from club.models import Duty
from sessions.trends import bare_counts

KINDS = ("day_counts", "pair_counts", "drill_counts", "standing", "progression")
ORACLES = ("tests.sessions.trends.fold_oracle", "tests.sessions.trends.standing_oracle")
SHOWN = 20
Oracle = Callable[[], list[str]]


@dataclass(frozen=True, slots=True)
class Moment:
    """How the duties of the roll-up stand. asked: how often anybody ever asked for one that is still kept."""

    due: int
    asked: int


class Command(BaseCommand):
    help = "Counts differences between the stored counts, readiness and standings and what the reps say. 0 is well."

    def add_arguments(self, parser: ArgumentParser) -> None:
        parser.add_argument("--wait", type=float, default=0.0, help="seconds to wait until no roll-up is due")

    def handle(self, *args: Any, **options: Any) -> None:
        oracles = [oracle for name in ORACLES if (oracle := _oracle(name))]
        if len(oracles) < len(ORACLES):
            self.stderr.write("Readiness and standing were not checked: their oracles come with the tests.")
        found, moment = self._look(oracles, time.monotonic() + options["wait"])
        for line in found[:SHOWN]:
            self.stderr.write(line)
        if moment.due:
            self.stderr.write(f"{moment.due} duties still due")
        self.stdout.write(str(len(found)))
        if found or moment.due:
            raise CommandError("The stored figures are not what the reps say." if found else "The roll-up is behind.")

    def _look(self, oracles: list[Oracle], until: float) -> tuple[list[str], Moment]:
        """A difference stands if nobody asked for a roll-up, and none was due, while we looked; or if time is up."""
        while True:
            before = _moment()
            found = [line for table in bare_counts.TABLES for line in bare_counts.differences(table)]
            found += [line for oracle in oracles for line in oracle()]
            if (not before.due and _moment() == before) or time.monotonic() >= until:
                return found, before
            while _moment().due and time.monotonic() < until:
                time.sleep(0.2)


def _moment() -> Moment:
    duties = Duty.objects.filter(kind__in=KINDS)
    asked = duties.aggregate(asked=Sum("asked"))["asked"] or 0
    return Moment(due=duties.filter(done__lt=F("asked")).count(), asked=asked)


def _oracle(name: str) -> Oracle | None:
    """A plain fold of the tests, where they are installed."""
    try:
        differences: Oracle = import_module(name).differences
    except ModuleNotFoundError as missing:
        if missing.name is None or not name.startswith(missing.name):
            raise
        return None
    return differences
