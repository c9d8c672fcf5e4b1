"""All that the page of one station needs, in a fixed number of queries.

A station comes through the door; what stands at it is read through the stations that the member may see, so that a
helper gets the names at their own station and nobody else's.
"""

from collections import defaultdict
from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date, datetime, timedelta
from uuid import UUID

from django.db.models import Prefetch

from athletes.models import Athlete
from athletes.queries.standing import log_stands
from club.members import Member
from club.roles import Permission
from drills.core.catalogue import Cell, RiskClass
from drills.models import Drill, DrillCheckpoint, Fault, SafetyText
from drills.queries import lit_places
from sessions.practices.core.plan import upward
from sessions.practices.models import Attendance, Block, CannotCome, Departure, Practice, Station
from sessions.reps.models import Hold
from sessions.station.core import BlockSpan, block_now, called
from sessions.station.queries.adjusting import Adjusting, adjusting
from sessions.station.queries.marks import Done, done_today, usual_faults
from sessions.station.queries.rows import assigned, excluded, floor_only, full_name, span, zone

Place = tuple[Athlete, Drill, int | None]
"""Who does which drill there, over how many steps."""


@dataclass(frozen=True, slots=True)
class OfferLine:
    """A checkpoint that a drill offers, with its faults."""

    offer: DrillCheckpoint
    faults: tuple[Fault, ...]


@dataclass(frozen=True, slots=True)
class DrillLine:
    """A drill as it is logged. hands: of the athletes who do it here; each has a strip of their own."""

    drill: Drill
    offers: tuple[OfferLine, ...]
    safety: tuple[SafetyText, ...]
    hands: tuple[str, ...]

    @property
    def off(self) -> list[str]:
        return [cell.value for cell in Cell if cell.value not in lit_places(self.drill)]

    @property
    def end(self) -> str:
        return "wall" if "wall" in self.drill.areas else "box"


@dataclass(frozen=True, slots=True)
class Turn:
    """An athlete in the queue. held: a restriction excludes the drill (why is not said here).

    Where the member may know: shut: the drill is not open to them yet; stand: how they stand with it; usual: how
    often they lately showed each fault.
    """

    athlete: Athlete
    name: str
    drill: Drill
    steps: int | None
    state: str
    held: bool
    shut: bool
    done: Done
    stand: str = ""
    usual: tuple[tuple[str, int], ...] = ()


@dataclass(frozen=True, slots=True)
class Holder:
    device: UUID
    name: str
    since: datetime


@dataclass(frozen=True, slots=True)
class Sheet:
    """One page of logging. station None: a practice without a plan. block None: it has none.

    floor_only: fewer than two adults are checked in, and somebody here would do more than floor drills.
    """

    practice: Practice
    station: Station | None
    block: Block | None
    ends: datetime | None
    blocks: tuple[Block, ...]
    turns: tuple[Turn, ...]
    drills: tuple[DrillLine, ...]
    holder: Holder | None
    floor_only: bool
    reads_marks: bool
    marks_attendance: bool
    adjusting: Adjusting = Adjusting()

    @property
    def unopened(self) -> list[str]:
        """Names of those who stand at a contact drill that the head coach has not opened for them."""
        return [turn.name for turn in self.turns if turn.shut and turn.drill.risk == RiskClass.CONTACT]

    @property
    def name(self) -> str:
        return self.station.area.name if self.station else self.practice.venue.name


def station_sheet(member: Member, station: Station, now: datetime, number: int | None = None) -> Sheet | None:
    """The station in the block of that number, else in the one that runs now, else in the first.

    None where the member may not log there now: whoever sees just a station, on its day only.
    """
    practice = Practice.objects.for_club(member.club).select_related("venue").get(pk=station.practice_id)
    if not member.sees_club and practice.day not in days_near(now, practice):
        return None
    blocks = tuple(Block.objects.for_club(member.club).filter(practice=practice))
    block = _block(practice, blocks, now, number)
    placed = list(assigned(member).filter(station=station, block=block).order_by("order", "pk"))
    places = [(row.athlete, row.drill, row.steps) for row in placed]
    return _sheet(member, practice, places, station=station, block=block, blocks=blocks)


def free_sheet(member: Member, practice: Practice, drill: Drill, athletes: Iterable[Athlete]) -> Sheet:
    """A practice without a plan: one drill, and whoever is there for it."""
    return _sheet(member, practice, [(athlete, drill, None) for athlete in athletes])


def days_near(now: datetime, practice: Practice) -> set[date]:
    """The day it is where the practice is; a practice that ends at midnight may be logged a little longer."""
    here = now.astimezone(zone(practice))
    return {here.date(), (here - timedelta(hours=2)).date()}


def _block(practice: Practice, blocks: tuple[Block, ...], now: datetime, number: int | None) -> Block | None:
    asked = next((block for block in blocks if block.number == number), None)
    if asked:
        return asked
    spans = [BlockSpan(block.number, *span(practice, block)) for block in blocks]
    running = block_now(spans, now)
    return next((block for block in blocks if block.number == running), None)


def _sheet(
    member: Member,
    practice: Practice,
    places: list[Place],
    station: Station | None = None,
    block: Block | None = None,
    blocks: tuple[Block, ...] = (),
) -> Sheet:
    athletes = [athlete for athlete, _drill, _steps in places]
    reads_marks = member.may(Permission.READINESS_READ)
    lines = tuple(drill_lines(member, places))
    faults = {fault.key for line in lines for row in line.offers for fault in row.faults}
    return Sheet(
        practice=practice,
        station=station,
        block=block,
        ends=span(practice, block)[1] if block else None,
        blocks=blocks,
        turns=tuple(turns(member, practice, places, reads_marks)),
        drills=lines,
        holder=_holder(member, station) if station and athletes else None,
        floor_only=any(drill.risk != RiskClass.FLOOR for _a, drill, _s in places) and floor_only(member, practice),
        reads_marks=reads_marks,
        marks_attendance=member.may(Permission.PRACTICE_RUN),
        adjusting=adjusting(member, practice, athletes, faults) if reads_marks and athletes else Adjusting(),
    )


def turns(member: Member, practice: Practice, places: list[Place], reads_marks: bool) -> Iterable[Turn]:
    athletes = [athlete for athlete, _drill, _steps in places]
    names = called({athlete.pk: full_name(athlete) for athlete in athletes})
    rows = Attendance.objects.for_club(member.club).filter(practice=practice, athlete__in=athletes)
    said = CannotCome.objects.for_club(member.club).filter(practice=practice, athlete__in=athletes)
    states = dict.fromkeys(said.values_list("athlete_id", flat=True), Attendance.State.ABSENT.value)
    states |= dict(rows.values_list("athlete_id", "state")) | _left(member, practice, athletes)
    kept = excluded(member, practice.day, athletes)
    done = done_today(member, practice, athletes, reads_marks)
    standing = log_stands(member, athletes) if reads_marks else None
    usual = usual_faults(member, practice, athletes) if reads_marks else {}
    for athlete, drill, steps in places:
        yield Turn(
            athlete=athlete,
            name=names[athlete.pk],
            drill=drill,
            steps=steps,
            state=states.get(athlete.pk, ""),
            held=RiskClass(drill.risk) in upward(frozenset(kept.get(athlete.pk, ()))),
            shut=standing is not None and not standing.of(athlete.pk, drill).is_open,
            done=done.get((athlete.pk, drill.pk), Done()),
            stand=standing.of(athlete.pk, drill).state.value if standing else "",
            usual=tuple(usual.get((athlete.pk, drill.pk), {}).items()),
        )


LEFT = "left"


def _left(member: Member, practice: Practice, athletes: list[Athlete]) -> dict[UUID, str]:
    """Who has gone home: nobody waits for their turn."""
    rows = Departure.objects.for_club(member.club).filter(practice=practice, athlete__in=athletes)
    return dict.fromkeys(rows.filter(taken_back_at__isnull=True).values_list("athlete_id", flat=True), LEFT)


def drill_lines(member: Member, places: list[Place]) -> Iterable[DrillLine]:
    drills = list({drill.pk: drill for _athlete, drill, _steps in places}.values())
    faults = Prefetch("checkpoint__faults", Fault.objects.for_club(member.club).filter(retired=False))
    rows = DrillCheckpoint.objects.for_club(member.club).filter(drill__in=drills).select_related("checkpoint")
    offers: dict[int, list[OfferLine]] = defaultdict(list)
    for offer in rows.prefetch_related(faults):
        offers[offer.drill_id].append(OfferLine(offer, tuple(offer.checkpoint.faults.all())))
    named = {key for drill in drills for key in drill.safety}
    texts = {text.key: text for text in SafetyText.objects.for_club(member.club).filter(key__in=named)}
    for drill in drills:
        hands = sorted({athlete.hand for athlete, done, _steps in places if done.pk == drill.pk})
        safety = tuple(texts[key] for key in drill.safety if key in texts)
        yield DrillLine(drill, tuple(offers[drill.pk]), safety, tuple(hands))


def _holder(member: Member, station: Station) -> Holder | None:
    return holders(member, [station]).get(station.pk)


def holders(member: Member, stations: Iterable[Station]) -> dict[UUID, Holder]:
    """By station, the device that took it last and has not let go."""
    rows = Hold.objects.for_club(member.club).filter(station__in=list(stations), until__isnull=True)
    return {
        row.station_id: Holder(row.device.uuid, row.person.given_name, row.since)
        for row in rows.select_related("device", "person").order_by("since", "pk")
    }
