"""The whole invented club: how long its weeks take to enter and to count up, and whether it is what was said.

`python -m tests.benchmarks.demo`. On a database of its own, made for it and thrown away, of the kind that the
environment names (SQLite if it names none).
"""

import os
import time
from io import StringIO

import django

os.environ.setdefault("DJANGO_SETTINGS_MODULE", "tests.settings")
django.setup()

from django.core.management import call_command  # noqa: E402
from django.db import connection  # noqa: E402
from django.db.models import F, Sum  # noqa: E402

from athletes.models import Decision  # noqa: E402
from club.models import Club, Duty  # noqa: E402
from sessions.demo import actions  # noqa: E402
from sessions.reps.models import Rep  # noqa: E402
from sessions.trends.models import DayDrill, DayPair, Signal  # noqa: E402
from tests.benchmarks.report import Report, at_least, at_most, near  # noqa: E402

LINKED = (("drop-start", "plant-start"), ("plant-start", "full-reach"), ("tip-at-landing-2", "plant-start"))
"""Pairs that gates watch together, one of which leads to the other by the shipped catalogue."""


def odds(one: str, other: str) -> float:
    """Of the one being faulty with the other, over being so without it."""
    rows = DayPair.objects.filter(earlier__key__in=(one, other), later__key__in=(one, other))
    n = rows.aggregate(both=Sum("both"), first=Sum("earlier_only"), second=Sum("later_only"), neither=Sum("neither"))
    left = {key: (value or 0) + 0.5 for key, value in n.items()}
    return left["both"] * left["neither"] / (left["first"] * left["second"])


def printed(command: str) -> float:
    said = StringIO()
    call_command(command, stdout=said)
    return float(said.getvalue())


def build(report: Report) -> Club:
    began, busy = time.perf_counter(), time.process_time()
    club = actions.make_demo_club()
    report.add("entered and counted up, s", at_most(round(time.perf_counter() - began, 1), 60))
    report.add("of which this process was busy, s", at_most(round(time.process_time() - busy, 1), 60))
    return club


def look(report: Report, club: Club) -> None:
    sums = DayDrill.objects.for_club(club).aggregate(done=Sum("done"), counted=Sum("counted"), good=Sum("good"))
    report.add("reps", near(Rep.objects.for_club(club).count(), 6000, 600))
    report.add("good, of those that count", near(round(sums["good"] / sums["counted"], 3), 0.72, 0.10))
    report.add("reps at contact", at_most(Rep.objects.for_club(club).filter(drill__risk="contact").count(), 0))
    report.add("unsafe reps", near(Rep.objects.for_club(club).filter(unsafe=True).count(), 2, 1))
    report.add("worth a look", at_least(Signal.objects.for_club(club).count(), 1))
    sides = Decision.objects.for_club(club).exclude(kind=Decision.Kind.PLACE).values_list("side", flat=True)
    for side in ("with", "against"):
        report.add(f"decisions {side} the advice", at_least(list(sides).count(side), 3))
    for one, other in LINKED:
        report.add(f"odds of {one} and {other}", at_least(round(odds(one, other), 1), 1.5))
    report.add(
        "duties still open", at_most(Duty.objects.filter(done__lt=F("asked")).exclude(kind="summary_mail").count(), 0)
    )
    for command in ("check_counts", "check_club"):
        report.add(command, at_most(printed(command), 0))


def main() -> None:
    report = Report("demo")
    connection.creation.create_test_db(verbosity=0)
    try:
        look(report, build(report))
    finally:
        connection.creation.destroy_test_db(connection.settings_dict["NAME"], verbosity=0)
    report.finish()


if __name__ == "__main__":
    main()
