"""A practice of six vaulters at a floor and a lane, with two drills of a catalogue, for tests of the room's rows."""

from collections.abc import Callable
from dataclasses import dataclass
from datetime import date, timedelta
from typing import Any

import pytest
from django.test import Client
from django.urls import reverse

from athletes.models import Athlete, Readiness, Standing
from club.members import Member
from club.roles import Permission
from drills.models import Drill, LoadClass
from sessions.practices.models import AdultPresence, Attendance, Block, Practice, Station
from sessions.trends.models import DayDrill
from tests.builders import (
    DAY,
    Cast,
    aware,
    make_area,
    make_athlete,
    make_block,
    make_checkpoint,
    make_drill,
    make_person,
    make_practice,
    make_squad,
    make_station,
    make_venue,
)

NAMES = ("Leif", "Pilar", "Tomasz", "Wren")


@dataclass(frozen=True, slots=True)
class Ground:
    cast: Cast
    practice: Practice
    floor: Station
    lane: Station
    blocks: tuple[Block, Block]
    athletes: tuple[Athlete, ...]
    hold: Drill
    walk: Drill
    run: Drill

    @property
    def planner(self) -> Member:
        return self.cast.head_coach.acting(Permission.PRACTICE_PLAN)

    def url(self, name: str, **more: Any) -> str:
        return reverse(name, kwargs={"club": self.cast.club.slug, "practice": self.practice.pk, **more})


@pytest.fixture
def ground(cast: Cast) -> Ground:
    club = cast.club
    venue = make_venue(club, name="Quarry Track")
    others = [make_athlete(club, make_person(club, "athlete", given_name=name, family_name="Vale")) for name in NAMES]
    athletes = (cast.vaulter, cast.team_mate, *others)
    practice = make_practice(club, venue=venue, squads=[make_squad(club, *athletes, name="Terns")])
    for member in (cast.head_coach, cast.assistant):
        AdultPresence.objects.create(club=club, practice=practice, person=member.person)
    floor = make_station(practice, area=make_area(venue, name="Floor"), run_by=cast.head_coach.person)
    lane_area = make_area(venue, name="Lane", kind="runway", surface="smooth-floor")
    lane = make_station(practice, area=lane_area, run_by=cast.assistant.person)
    blocks = tuple(make_block(practice, number=n, starts=f"17:{(n - 1) * 20:02}", minutes=20) for n in (1, 2))
    load = LoadClass.objects.create(
        club=club, key="run-and-box", name="Plant runs and box work", reps_a_practice=16, reps_a_practice_under_14=8,
        days_a_week=2, rest_days=1,
    )  # fmt: skip
    hold = make_drill(club, (make_checkpoint(club, key="height"),), key="hold", name="Carry hold")
    walk = make_drill(club, (make_checkpoint(club, key="start"),), key="walk", name="Walking drop", needs=[hold])
    run = make_drill(
        club, key="run", name="Plant run", needs=[walk], risk="moving", load=load, seconds_a_turn=45, least_turns=4
    )
    for athlete in athletes:
        came(athlete, DAY - timedelta(days=4))
    return Ground(cast, practice, floor, lane, blocks, athletes, hold, walk, run)  # type: ignore[arg-type]


def came(athlete: Athlete, day: date) -> None:
    past = make_practice(athlete.club, day=day)
    Attendance.objects.create(club=athlete.club, practice=past, athlete=athlete, state="here", at=aware(day))


def state(athlete: Athlete, drill: Drill, recent: str = "11111", **overrides: Any) -> Readiness:
    """Readiness as the last five counted reps leave it, on two days."""
    good = recent.count("1")
    values: dict[str, Any] = {"good": good, "bad": len(recent) - good, "reps": len(recent), "days": 2}
    values |= {"recent": recent, "last_day": DAY - timedelta(days=4)}
    club = athlete.club
    row, _ = Readiness.objects.update_or_create(club=club, athlete=athlete, drill=drill, defaults=values | overrides)
    return row


def stand(athlete: Athlete, drill: Drill, standing: str = "open", **overrides: Any) -> Standing:
    """Where the fold left them; opened by figures where nothing else is said."""
    values: dict[str, Any] = {"state": standing, "opened_by": "figures", "since": DAY - timedelta(days=4)}
    return Standing.objects.create(club=athlete.club, athlete=athlete, drill=drill, **{**values, **overrides})


def did(athlete: Athlete, drill: Drill, day: date, done: int = 8, good: int = 4) -> DayDrill:
    return DayDrill.objects.create(
        club=athlete.club, athlete=athlete, drill=drill, day=day, done=done, counted=done, good=good
    )


@pytest.fixture
def coach(ground: Ground, client: Client) -> Client:
    client.force_login(ground.cast.head_coach.person)
    return client


def text(response: Any) -> str:
    return " ".join(response.content.decode().split())


As = Callable[[Member], Client]
