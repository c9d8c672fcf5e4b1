"""What a summary is made of: day counts and decisions of one athlete. For the duty; no member reads these."""

from dataclasses import dataclass
from datetime import date, timedelta
from typing import Any
from uuid import UUID

from athletes.core.standing import Standing as State
from athletes.models import Athlete, Decision, Standing
from club.models import Club
from drills.models import Checkpoint, Drill
from sessions.summaries.core.facts import PERIOD_DAYS, CheckDay, DrillDay, Facts, first_day, gather
from sessions.summaries.models import Summary
from sessions.trends.models import DayCheckpoint, DayDrill


@dataclass(frozen=True, slots=True)
class Gathered:
    """names: of the drills and checkpoints that the facts name, as ``words.Names.from_row`` reads them."""

    facts: Facts
    names: dict[str, Any]


def facts_of(club: Club, athlete: Athlete, until: date) -> Gathered:
    """The facts of the four weeks that end on ``until``. Six queries."""
    start = first_day(until) - timedelta(days=PERIOD_DAYS)
    done = DayDrill.objects.for_club(club).filter(athlete=athlete, day__range=(start, until))
    checks = DayCheckpoint.objects.for_club(club).filter(athlete=athlete, day__range=(start, until))
    facts = gather(
        done=[DrillDay(*row) for row in done.values_list("drill__key", "day", "done")],
        checks=[
            CheckDay(*row) for row in checks.values_list("drill__key", "checkpoint__key", "day", "watched", "faulty")
        ],
        until=until,
        opened=_opened(club, athlete, until),
        settled=_settled(club, athlete),
    )
    return Gathered(facts, _names(club, facts))


def _opened(club: Club, athlete: Athlete, until: date) -> list[str]:
    """Keys of drills that the head coach opened in the period and that are open still, in order."""
    rows = Decision.objects.for_club(club).filter(
        athlete=athlete, kind=Decision.Kind.TOUCH, taken_back_by=None, day__range=(first_day(until), until)
    )
    stand = Standing.objects.for_club(club).filter(athlete=athlete, state__in=[State.OPEN, State.SETTLED])
    kept = rows.filter(drill__in=stand.values("drill")).order_by("day", "at").values_list("drill__key", flat=True)
    return list(dict.fromkeys(kept))


def _settled(club: Club, athlete: Athlete) -> list[str]:
    """Keys of drills that need no more work, by the head coach's decision."""
    rows = Decision.objects.for_club(club).filter(athlete=athlete, kind=Decision.Kind.SETTLED, taken_back_by=None)
    stand = Standing.objects.for_club(club).filter(athlete=athlete, state=State.SETTLED)
    return list(rows.filter(drill__in=stand.values("drill")).values_list("drill__key", flat=True).distinct())


def _names(club: Club, facts: Facts) -> dict[str, Any]:
    keys = {*(one.drill for one in (*facts.drills, *facts.better)), *facts.opened, *facts.goes_on}
    drills = Drill.objects.for_club(club).filter(key__in=keys)
    points = Checkpoint.objects.for_club(club).filter(key__in=[one.checkpoint for one in facts.better])
    return {
        "drills": dict(drills.values_list("key", "name")),
        "points": {
            row.key: {"name": row.name, "phase": row.phase, "cells": list(map(str, row.cells))} for row in points
        },
    }


def vaulters(club: Club) -> list[UUID]:
    """Ids of those who vault here."""
    return list(Athlete.objects.for_club(club).filter(left_on__isnull=True).order_by("pk").values_list("pk", flat=True))


def next_due(club: Club) -> date | None:
    """The day on which the next summaries end by the calendar; None before anybody practised."""
    last = Summary.objects.for_club(club).filter(asked=False).order_by("-until").values_list("until", flat=True).first()
    if last:
        return last + timedelta(days=PERIOD_DAYS)
    first = DayDrill.objects.for_club(club).order_by("day").values_list("day", flat=True).first()
    return first + timedelta(days=PERIOD_DAYS - 1) if first else None
