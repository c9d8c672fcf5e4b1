"""One practice as a tablet takes it along: every station in every block, in a fixed number of queries."""

from collections import defaultdict
from dataclasses import dataclass
from datetime import datetime
from uuid import UUID

from athletes.models import Athlete
from club.members import Member
from club.roles import Permission
from drills.core.catalogue import RiskClass
from sessions.practices.core.plan import upward
from sessions.practices.models import Assignment, Block, Practice, Station
from sessions.practices.queries.plan import expected
from sessions.reps.core.clock import FAR
from sessions.reps.core.clock import span as practice_span
from sessions.station.core import called
from sessions.station.queries.adjusting import Adjusting, adjusting
from sessions.station.queries.rows import assigned, excluded, floor_only, full_name, span
from sessions.station.queries.sheet import DrillLine, Sheet, Turn, days_near, drill_lines, holders, turns
from sessions.station.queries.today import drills_without_plan


@dataclass(frozen=True, slots=True)
class Person:
    """Somebody who may be picked. excluded: risk classes that a restriction keeps them from (why is not said here)."""

    athlete: Athlete
    name: str
    excluded: frozenset[RiskClass]


@dataclass(frozen=True, slots=True)
class Along:
    """sheets: a station in a block each. drills: of all of them, and those that may be chosen without a plan (free).

    until: from then on a device keeps none of it.
    """

    practice: Practice
    until: datetime
    sheets: tuple[Sheet, ...]
    drills: tuple[DrillLine, ...]
    free: tuple[str, ...]
    roster: tuple[Person, ...]
    reads_marks: bool
    marks_attendance: bool
    adjusting: Adjusting


def along(member: Member, practice: Practice, now: datetime) -> Along | None:
    """None where the member may not log there now: whoever sees just a station, on its day only."""
    if not member.sees_club and practice.day not in days_near(now, practice):
        return None
    rows = assigned(member).filter(block__practice=practice).select_related("block", "station__area")
    placed = list(rows.order_by("block__number", "order", "pk"))
    people = _people(member, practice, placed)
    free = list(drills_without_plan(member, practice)) if member.may(Permission.PRACTICE_RUN) else []
    places = [(row.athlete, row.drill, row.steps) for row in placed if row.drill]
    hands = [(person.athlete, drill, None) for drill in free for person in people]
    lines = tuple(drill_lines(member, [*places, *hands]))
    reads_marks = member.may(Permission.READINESS_READ)
    faults = {fault.key for line in lines for row in line.offers for fault in row.faults}
    there = [person.athlete for person in people]
    adjusted = adjusting(member, practice, there, faults) if reads_marks and there else Adjusting()
    return Along(
        practice=practice,
        until=practice_span(practice.day, practice.starts, practice.ends, practice.zone)[1] + FAR,
        sheets=tuple(_sheets(member, practice, placed, adjusted)),
        drills=lines,
        free=tuple(drill.key for drill in free),
        roster=tuple(people),
        reads_marks=reads_marks,
        marks_attendance=member.may(Permission.PRACTICE_RUN),
        adjusting=adjusted,
    )


def _people(member: Member, practice: Practice, placed: list[Assignment]) -> list[Person]:
    """Everybody expected; for whoever sees just a station, those who stand at it."""
    there = {row.athlete_id: row.athlete for row in placed}
    if member.sees_club:
        there |= {athlete.pk: athlete for athlete in expected(member, practice)}
    names = called({pk: full_name(athlete) for pk, athlete in there.items()})
    kept = excluded(member, practice.day, there.values())
    people = [Person(there[pk], name, upward(frozenset(kept.get(pk, ())))) for pk, name in names.items()]
    return sorted(people, key=lambda person: (person.name, str(person.athlete.pk)))


def _sheets(member: Member, practice: Practice, placed: list[Assignment], adjusted: Adjusting) -> list[Sheet]:
    """Names are those of the whole practice, so that nobody is called otherwise in the next block."""
    blocks = tuple(Block.objects.for_club(member.club).filter(practice=practice))
    stations = list(Station.objects.for_member(member).filter(practice=practice).select_related("area"))
    reads_marks = member.may(Permission.READINESS_READ)
    found = turns(member, practice, [(row.athlete, row.drill, row.steps) for row in placed if row.drill], reads_marks)
    by_place: dict[tuple[UUID, UUID], list[Turn]] = defaultdict(list)
    for row, turn in zip(placed, found, strict=True):
        by_place[row.station_id, row.block_id].append(turn)
    held, alone = holders(member, stations), floor_only(member, practice)
    return [
        Sheet(
            practice=practice,
            station=station,
            block=block,
            ends=span(practice, block)[1],
            blocks=blocks,
            turns=tuple(there),
            drills=(),
            holder=held.get(station.pk),
            floor_only=alone and any(turn.drill.risk != RiskClass.FLOOR for turn in there),
            reads_marks=reads_marks,
            marks_attendance=member.may(Permission.PRACTICE_RUN),
            adjusting=adjusted,
        )
        for station in stations
        for block in blocks
        if (there := by_place.get((station.pk, block.pk), []))
    ]
