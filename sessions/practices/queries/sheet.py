"""The sheet for the wall and the running order as values: who does what where, in the order of turns.

No reasons, no figures, nobody who is held, no rating: a pole is its tag. The page and the PDF are drawn from the same.
"""

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import timedelta
from uuid import UUID

from athletes.models import Athlete
from athletes.queries.profile import last_poles
from club.members import Member
from drills.core.catalogue import PoleNeed
from drills.core.strip import Strip
from drills.models import SafetyText
from sessions.practices.models import Assignment, Practice
from sessions.practices.queries.board import Board, Cell, Chip, Column, Group, Row

LATELY = timedelta(days=180)
"""A pole that was last noted longer ago is not named."""
BRINGS_OWN = {PoleNeed.ANY, PoleNeed.RATED}
FEW = 3
"""Up to so many names "everyone" is not shorter."""


@dataclass(frozen=True, slots=True)
class Turn:
    """One athlete in the queue. place: from 1. pole: the tag of the one they bring, empty if none is known."""

    place: int
    label: str
    left: bool
    pole: str
    assignment: Assignment | None


@dataclass(frozen=True, slots=True)
class Part:
    """One drill or activity in a block, with its queue. everyone: all who may still come, so nobody is named."""

    name: str
    strip: Strip | None
    turns: tuple[Turn, ...]
    everyone: bool = False


@dataclass(frozen=True, slots=True)
class Box:
    """What happens at one station in one block. idle: who watches and helps, at no station."""

    column: Column
    parts: tuple[Part, ...]
    idle: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class Line:
    """A station, or (name empty) what is done at none."""

    name: str
    adult: str
    boxes: tuple[Box, ...]


@dataclass(frozen=True, slots=True)
class Sheet:
    practice: Practice
    adults: tuple[str, ...]
    columns: tuple[Column, ...]
    lines: tuple[Line, ...]
    safety: tuple[SafetyText, ...]

    @property
    def left_handers(self) -> bool:
        """Whether the mark of a left-hander stands on it, which then is explained."""
        return any(turn.left for line in self.lines for box in line.boxes for part in box.parts for turn in part.turns)

    @property
    def poles(self) -> bool:
        return any(turn.pole for line in self.lines for box in line.boxes for part in box.parts for turn in part.turns)


def sheet(member: Member, board: Board) -> Sheet:
    """One query beside the board's own."""
    rows = board.source
    poles = last_poles(member, [athlete.pk for athlete in rows.athletes], board.practice.day, LATELY)
    hands = {athlete.pk for athlete in rows.athletes if athlete.hand == Athlete.Hand.LEFT}
    known = _Known({pk: pole.tag for pk, pole in poles.items()}, hands)
    lines = [_line(board, row, known) for row in (*board.rows, board.rest)]
    return Sheet(board.practice, board.adults, board.columns, tuple(lines), board.safety)


@dataclass(frozen=True, slots=True)
class _Known:
    tags: dict[UUID, str]
    left: set[UUID]


def _line(board: Board, row: Row, known: _Known) -> Line:
    boxes = tuple(_box(column, cell, known) for column, cell in zip(board.columns, row.cells, strict=True))
    return Line(row.station.area.name if row.station else "", row.adult, boxes)


def _box(column: Column, cell: Cell, known: _Known) -> Box:
    parts = tuple(_part(cell, group, known) for group in cell.groups)
    return Box(column, parts, tuple(chip.label for chip in cell.idle))


def _part(cell: Cell, group: Group, known: _Known) -> Part:
    drill = group.chips[0].assignment.drill if group.chips[0].assignment else None
    own_poles = drill is not None and PoleNeed(drill.poles) in BRINGS_OWN
    everyone = cell.station is None and group.everyone and len(group.chips) > FEW
    return Part(group.name, group.strip, tuple(_turns(group.chips, bool(drill), own_poles, known)), everyone)


def _turns(chips: Iterable[Chip], drill: bool, own_poles: bool, known: _Known) -> Iterable[Turn]:
    """Hand and pole only where one holds a pole."""
    for place, chip in enumerate(chips, 1):
        pole = known.tags.get(chip.athlete_id, "") if own_poles else ""  # type: ignore[call-overload]
        yield Turn(place, chip.label, drill and chip.athlete_id in known.left, pole, chip.assignment)
