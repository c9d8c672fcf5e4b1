"""The plan as a page shows it: stations by blocks, with what stands in each cell, and what is broken in words."""

from collections.abc import Iterable
from dataclasses import dataclass, field
from datetime import time

from athletes.models import Clearance
from athletes.words import until_words
from club.members import Member
from club.roles import Permission
from drills.core.strip import Strip, drill_strip
from drills.models import SafetyText
from sessions.practices.core.clock import SkippedTime, clock_after
from sessions.practices.core.plan import Plan
from sessions.practices.core.rules import (
    Finding,
    PlanRefusal,
    PlanWarning,
    Rule,
    SafetyRefusal,
    check,
    misfit,
    queues,
    turns,
)
from sessions.practices.models import Assignment, Attendance, Block, Practice, Station
from sessions.practices.queries.plan import PlanRows, as_plan, read, safety_texts, station_place
from sessions.practices.words import said

GONE = {Attendance.State.OUT, Attendance.State.ABSENT}

MORE_THAN_ENOUGH = 3
"""Above so many times the least useful turns a number says nothing more (a reading aid, not a dose)."""


@dataclass(frozen=True, slots=True)
class Chip:
    """An athlete's place, or (assignment None) an athlete without one. cleared: to jump, with which pole and run."""

    label: str
    athlete_id: object
    assignment: Assignment | None = None
    cleared: tuple[Clearance, ...] = ()


@dataclass(frozen=True, slots=True)
class Group:
    """One drill or activity in a cell. strip: None for activities. turns: each, 0 if none.

    enough: more turns than anybody makes use of. everyone: all who may still come are in it.
    """

    name: str
    chips: tuple[Chip, ...]
    strip: Strip | None = None
    turns: int = 0
    enough: bool = False
    everyone: bool = False


@dataclass(frozen=True, slots=True)
class Meant:
    """What a template puts here, while nobody does it. asked: of the page, to open the cell with it chosen."""

    name: str
    asked: str


@dataclass(frozen=True, slots=True)
class Cell:
    block: Block
    station: Station | None
    groups: tuple[Group, ...]
    idle: tuple[Chip, ...] = ()
    refused: tuple[str, ...] = ()
    warned: tuple[str, ...] = ()
    meant: tuple[Meant, ...] = ()


@dataclass(frozen=True, slots=True)
class Row:
    station: Station | None
    adult: str
    cells: tuple[Cell, ...]
    safety: tuple[SafetyText, ...] = ()


@dataclass(frozen=True, slots=True)
class Column:
    """A block with the clock time it ends."""

    block: Block
    ends: time | None


@dataclass(frozen=True, slots=True)
class Held:
    """What a restriction excludes and until when; never why."""

    label: str
    what: str
    until: str


@dataclass(frozen=True, slots=True)
class Board:
    practice: Practice
    columns: tuple[Column, ...]
    rows: tuple[Row, ...]
    rest: Row
    held: tuple[Held, ...]
    adults: tuple[str, ...]
    athletes: int
    unsafe: tuple[str, ...]
    plan: Plan = field(repr=False)
    source: PlanRows = field(repr=False)

    @property
    def somebody_idle(self) -> bool:
        """Whether in some block somebody has no place."""
        return any(cell.idle for cell in self.rest.cells)

    @property
    def safety(self) -> tuple[SafetyText, ...]:
        """Every safety text of the plan once."""
        return tuple({text.key: text for row in self.rows for text in row.safety}.values())


def board(member: Member, practice: Practice) -> Board:
    rows = read(member, practice)
    plan = as_plan(rows)
    maker = _Maker(rows, plan, check(plan), safety_texts(member))
    return Board(
        practice=practice,
        columns=tuple(Column(block, block_end(practice, block)) for block in rows.blocks),
        rows=tuple(maker.row(station) for station in rows.stations),
        rest=maker.row(None),
        held=tuple(_held(member, rows)),
        adults=tuple(adult.name for adult in rows.adults),
        athletes=len(rows.athletes),
        unsafe=maker.words(f for f in maker.findings if isinstance(f, SafetyRefusal)),
        plan=plan,
        source=rows,
    )


@dataclass(frozen=True, slots=True)
class Broken:
    """What the plan breaks as it stands, in words: rules of safety, and rules without which a plan says nothing."""

    unsafe: tuple[str, ...]
    senseless: tuple[str, ...]


def broken(member: Member, practice: Practice) -> Broken:
    plan = as_plan(read(member, practice))
    findings = check(plan)

    def words(kind: type[Finding]) -> tuple[str, ...]:
        return tuple(dict.fromkeys(said(found, plan) for found in findings if isinstance(found, kind)))

    return Broken(words(SafetyRefusal), words(PlanRefusal))


def block_end(practice: Practice, block: Block) -> time | None:
    """What the clock shows when the block ends; None where the day does not have that time."""
    try:
        return clock_after(practice.day, block.starts, block.minutes, practice.zone)
    except SkippedTime:
        return None


def _held(member: Member, rows: PlanRows) -> Iterable[Held]:
    tells = member.may(Permission.RESTRICTION_REASON)
    for restriction in rows.restrictions:
        until = until_words(restriction.ends_on, restriction.needs_clearance, tells)
        yield Held(rows.labels[restriction.athlete_id], restriction.what, until)


@dataclass(frozen=True, slots=True)
class Picked:
    """An athlete's place that was chosen, with the cell it is in."""

    chip: Chip
    group: Group
    cell: Cell


def chosen_chip(shown: Board, assignment: str | None) -> Picked | None:
    for row in (*shown.rows, shown.rest):
        for cell in row.cells:
            for group in cell.groups:
                for chip in group.chips:
                    if chip.assignment and str(chip.assignment.pk) == assignment:
                        return Picked(chip, group, cell)
    return None


@dataclass(frozen=True, slots=True)
class Misfits:
    """Names of drills that are not offered at a place: for the kind of place, or for its surface."""

    area: tuple[str, ...]
    surface: tuple[str, ...]


def misfits(shown: Board, station: Station | None) -> Misfits | None:
    """Why some drills are not in the list; None where nothing is left out for the place's sake."""
    if station is None:
        return None
    place = station_place(station)
    reasons = {work.name: misfit(work, place) for work in shown.plan.works if work.kind == "drill"}
    area = tuple(name for name, reason in reasons.items() if reason is Rule.AREA)
    surface = tuple(name for name, reason in reasons.items() if reason is Rule.SURFACE)
    return Misfits(area, surface) if area or surface else None


class _Maker:
    """Lays the assignments out over stations and blocks. Nobody outside sees it half done."""

    def __init__(self, rows: PlanRows, plan: Plan, findings: tuple[Finding, ...], texts: dict[str, SafetyText]) -> None:
        self.rows, self.plan, self.findings, self.texts = rows, plan, findings, texts
        gone = {pk for pk, state in rows.attendances.items() if state in GONE}
        self.coming = {athlete.pk for athlete in rows.athletes} - gone - rows.away
        self.turns = {(q.block, q.station.key if q.station else None): turns(q) for q in queues(plan)}

    def row(self, station: Station | None) -> Row:
        cells = tuple(self.cell(block, station) for block in self.rows.blocks)
        adult = self.plan.adult(str(station.run_by_id)) if station else None
        name = adult.name if adult else station.run_by.given_name if station and station.run_by else ""
        return Row(station, name, cells, self.safety(station))

    def cell(self, block: Block, station: Station | None) -> Cell:
        here = [row for row in self.rows.assignments if row.block_id == block.pk and row.station_id == _pk(station)]
        found = [f for f in self.findings if (f.block, f.station) == (block.number, _text(station))]
        return Cell(
            block,
            station,
            tuple(self.groups(here, self.turns.get((block.number, _text(station)), 0))),
            () if station else self.idle(block),
            self.words(f for f in found if not isinstance(f, PlanWarning)),
            self.words(f for f in found if isinstance(f, PlanWarning)),
            tuple(self.meant(block, station, {(row.drill_id, row.activity_id) for row in here})),
        )

    def meant(self, block: Block, station: Station | None, done: set[tuple[object, object]]) -> Iterable[Meant]:
        for one in self.rows.planned:
            at = one.block_id == block.pk and one.station_id == _pk(station)
            if at and (one.drill_id, one.activity_id) not in done:
                work = f"drill:{one.drill.key}" if one.drill else f"activity:{one.activity.key}"
                yield Meant(str(one), f"&work={work}" + (f"&steps={one.steps}" if one.steps else ""))

    def groups(self, here: list[Assignment], each: int) -> Iterable[Group]:
        kinds: dict[tuple[object, object, int | None], list[Assignment]] = {}
        for row in here:
            kinds.setdefault((row.drill_id, row.activity_id, row.steps), []).append(row)
        for (_drill, _activity, steps), placed in kinds.items():
            drill = placed[0].drill
            chips = tuple(map(self.chip, placed))
            strip = drill_strip(drill, steps) if drill else None
            everyone = {chip.athlete_id for chip in chips} >= self.coming
            enough = bool(drill) and each > MORE_THAN_ENOUGH * drill.least_turns
            yield Group(str(drill or placed[0].activity), chips, strip, each if drill else 0, enough, everyone)

    def chip(self, row: Assignment) -> Chip:
        known = self.rows.cleared.get(row.athlete_id, []) if row.activity_id else []
        cleared = tuple(one.row for one in known if one.holds and one.row.activity_id == row.activity_id)
        return Chip(self.rows.labels[row.athlete_id], row.athlete_id, row, cleared)

    def idle(self, block: Block) -> tuple[Chip, ...]:
        """Those without a place in the block who may still come."""
        placed = {row.athlete_id for row in self.rows.assignments if row.block_id == block.pk}
        free = [a for a in self.rows.athletes if a.pk in self.coming - placed]
        return tuple(Chip(self.rows.labels[athlete.pk], athlete.pk) for athlete in free)

    def safety(self, station: Station | None) -> tuple[SafetyText, ...]:
        here = [row for row in self.rows.assignments if row.station_id == _pk(station)]
        keys = [key for row in here for key in (row.drill or row.activity).safety]
        return tuple(self.texts[key] for key in dict.fromkeys(keys) if key in self.texts)

    def words(self, findings: Iterable[Finding]) -> tuple[str, ...]:
        return tuple(dict.fromkeys(said(finding, self.plan) for finding in findings))


def _pk(station: Station | None) -> object:
    return station.pk if station else None


def _text(station: Station | None) -> str | None:
    return str(station.pk) if station else None
