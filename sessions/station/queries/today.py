"""Today's practices and their stations."""

from collections import defaultdict
from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date
from typing import Any

from django.db.models import QuerySet

from athletes.models import Athlete
from club.clock import club_now
from club.members import Member
from club.roles import Permission
from drills.core.catalogue import RiskClass
from drills.models import Drill
from sessions.practices.core.plan import upward
from sessions.practices.models import Assignment, Attendance, Block, Practice, Station
from sessions.practices.queries.cards import in_charge
from sessions.practices.queries.plan import expected
from sessions.station.core import called
from sessions.station.queries.rows import assigned, excluded, floor_only, full_name

CAME = (Attendance.State.HERE, Attendance.State.LATE)


@dataclass(frozen=True, slots=True)
class StationLine:
    """A station on the list of today's: what is done there in each block, and by whom."""

    station: Station
    run_by: str
    mine: bool
    blocks: tuple["BlockLine", ...]


@dataclass(frozen=True, slots=True)
class BlockLine:
    block: Block
    drills: tuple[str, ...]
    names: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class PracticeLine:
    practice: Practice
    stations: tuple[StationLine, ...]
    may_log_without_plan: bool
    in_charge: bool = False


def todays_practices(member: Member, today: date) -> list[PracticeLine]:
    """Practices of the day with the stations that the member may log at; their own first. Six queries at most."""
    stations = _stations(member, Station.objects.for_member(member).filter(practice__day=today))
    free = member.may(Permission.PRACTICE_RUN)
    rows = Practice.objects.for_club(member.club).filter(day=today, cancelled_at__isnull=True).select_related("venue")
    if not free:
        rows = rows.filter(pk__in=[line.station.practice_id for line in stations])
    return [
        PracticeLine(
            row,
            tuple(line for line in stations if line.station.practice_id == row.pk),
            free,
            free and in_charge(member.acting(Permission.CARD_READ), row, club_now(member.club)),
        )
        for row in rows.order_by("starts", "pk")
    ]


def _stations(member: Member, rows: QuerySet[Station]) -> list[StationLine]:
    found = list(rows.select_related("area", "run_by"))
    places = assigned(member).filter(station__in=found).select_related("block")
    by_station: dict[object, list[Assignment]] = defaultdict(list)
    for row in places.order_by("block__number", "order", "pk"):
        by_station[row.station_id].append(row)
    lines = [
        StationLine(
            station=row,
            run_by=row.run_by.given_name if row.run_by else "",
            mine=row.run_by_id == member.person.pk,
            blocks=tuple(_block_lines(by_station[row.pk])),
        )
        for row in found
    ]
    return sorted(lines, key=lambda line: not line.mine)


def _block_lines(rows: list[Assignment]) -> Iterable[BlockLine]:
    names = called({row.athlete_id: full_name(row.athlete) for row in rows})
    for block in dict.fromkeys(row.block for row in rows):
        here = [row for row in rows if row.block_id == block.pk]
        drills = tuple(dict.fromkeys(row.drill.name for row in here))
        yield BlockLine(block, drills, tuple(names[row.athlete_id] for row in here))


# --- a practice without a plan ---------------------------------------------------------------


def drills_without_plan(member: Member, practice: Practice) -> QuerySet[Drill]:
    """Drills that may be chosen on the spot: floor drills, and with two adults checked in moving ones.

    Never contact drills: who may do them, who runs them and what the place needs is checked in a plan.
    """
    risks = [RiskClass.FLOOR] if floor_only(member, practice) else [RiskClass.FLOOR, RiskClass.MOVING]
    rows = Drill.objects.for_member(member).filter(retired=False, risk__in=risks)
    return rows.select_related("stage").order_by("stage__order", "order")


def athletes_without_plan(member: Member, practice: Practice) -> QuerySet[Athlete]:
    """Whoever is expected at the practice; everybody in the club where it names no squad."""
    rows = Athlete.objects.for_member(member).select_related("person").order_by("person__given_name", "pk")
    there = [athlete.pk for athlete in expected(member, practice)]
    return rows.filter(pk__in=there) if there else rows.filter(left_on__isnull=True)


def noted_as_here(member: Member, practice: Practice) -> list[Any]:
    """Ids of the athletes whom somebody noted as here or late at this practice."""
    came = Attendance.objects.for_member(member).filter(practice=practice, state__in=CAME)
    return list(came.values_list("athlete", flat=True))


def held_back(member: Member, practice: Practice, drill: Drill, athletes: Iterable[Athlete]) -> list[str]:
    """First names of those whom a restriction keeps from this drill on the practice's day."""
    there = list(athletes)
    kept = excluded(member, practice.day, there)
    names = called({athlete.pk: full_name(athlete) for athlete in there})
    risk = RiskClass(drill.risk)
    return [names[a.pk] for a in there if risk in upward(frozenset(kept.get(a.pk, ())))]
