"""Figures of the boards: where a day stands on the week line, who was not seen, what a cell of the squad board shows.

Pure: no Django, no clock. Their words are in `sessions.boards.words`.
"""

from collections import Counter
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from datetime import date, datetime, time, timedelta
from enum import StrEnum
from hashlib import sha256
from uuid import UUID
from zoneinfo import ZoneInfo

from athletes.core.standing import Standing
from drills.core.strip import Strip

LONG_AWAY_DAYS = 10
"""Not seen for so many days is worth saying on the week page (common practice, from memory)."""
SHOWN_PRACTICES = 12
SHOWN_NOTICES = 6
"""On the week page, of unsafe reps and the like, and of openings that were lost, until all are asked for."""
RECENT_REPS = 15
"""Reps that "the last …" looks back on at least: the half-life of the fold (readiness.md)."""


# The week line


class Plan(StrEnum):
    """How far a practice is. HELD and NOT_HELD lie behind today."""

    HELD = "held"
    NOT_HELD = "not held"
    PUBLISHED = "published"
    DRAFT = "draft"
    NO_PLAN = "no plan"
    CANCELLED = "cancelled"


def plan_of(day: date, today: date, *, cancelled: bool, published: bool, blocks: int, came: int, done: int) -> Plan:
    """A practice without a plan can be held all the same: somebody came, or a rep was logged."""
    if cancelled:
        return Plan.CANCELLED
    if day < today:
        return Plan.HELD if published or came or done else Plan.NOT_HELD
    if published:
        return Plan.PUBLISHED
    return Plan.DRAFT if blocks else Plan.NO_PLAN


def week_of(day: date) -> tuple[date, ...]:
    """The seven days of its week, Monday first."""
    monday = day - timedelta(days=day.weekday())
    return tuple(monday + timedelta(days=n) for n in range(7))


@dataclass(frozen=True, slots=True)
class WeekFigures:
    """practices: by plan; today: of them, those of today; ahead, easier: drills on the advice list; away: athletes;
    worth_a_look: signals."""

    plans: Mapping[Plan, int]
    today: int
    ahead: int
    easier: int
    away: int
    worth_a_look: int = 0

    @property
    def practices(self) -> int:
        return sum(self.plans.values())


def count_plans(plans: Iterable[Plan]) -> Mapping[Plan, int]:
    return dict(Counter(plans))


def is_over(day: date, ends: time, zone: str, now: datetime) -> bool:
    """Whether a practice of that local date, wall time and zone has ended. now: aware."""
    return datetime.combine(day, ends, ZoneInfo(zone)) <= now


# Who was not seen


@dataclass(frozen=True, slots=True)
class Absence:
    """came: practices they were expected at, oldest first, the last `SHOWN_PRACTICES`; days: None if never seen."""

    athlete: UUID
    name: str
    came: tuple[bool, ...]
    days: int | None


def is_long_away(last_seen: date | None, joined: date, last_expected: date | None, today: date) -> bool:
    """Not seen for `LONG_AWAY_DAYS` or more although a practice of theirs was held since."""
    since = last_seen or joined
    return last_expected is not None and last_expected > since and (today - since).days >= LONG_AWAY_DAYS


# Reps of late


@dataclass(frozen=True, slots=True)
class DayFigures:
    """One athlete, one drill, one day."""

    day: date
    counted: int
    good: int


@dataclass(frozen=True, slots=True)
class RecentReps:
    good: int
    counted: int
    days: int
    last: date | None


def recent_reps(newest_first: Iterable[DayFigures], at_least: int = RECENT_REPS) -> RecentReps:
    """The last whole days of counted reps that hold at least so many; all of them if there are fewer."""
    good = counted = days = 0
    last = None
    for figures in newest_first:
        if counted >= at_least:
            break
        if figures.counted:
            good, counted, days = good + figures.good, counted + figures.counted, days + 1
            last = last or figures.day
    return RecentReps(good, counted, days, last)


# The squad board


class CellState(StrEnum):
    """What a cell shows. UNTRIED: not open, and nothing was counted. NO_REPS: open, and no rep counted yet. AHEAD:
    settled, leads to other drills, and none of them has been begun: there is something to decide."""

    UNTRIED = "untried"
    NO_REPS = "no reps yet"
    TOO_LITTLE_SEEN = "too little seen"
    KEEP_ON = "keep on"
    EASIER_DRILL = "easier drill"
    AHEAD = "ahead"
    SETTLED = "settled"
    HELD = "held"


SETTLED_STATES = frozenset({CellState.AHEAD, CellState.SETTLED})
IN_WORK = frozenset({CellState.TOO_LITTLE_SEEN, CellState.KEEP_ON, CellState.EASIER_DRILL, CellState.AHEAD})
_CSS = {CellState.AHEAD: "inv", CellState.EASIER_DRILL: "bk", CellState.SETTLED: "done", CellState.HELD: "held"}


@dataclass(frozen=True, slots=True)
class Figures:
    """One athlete at one drill as a board draws it. Shares 0 to 1; reps and days: counted ones.

    advice: one of `CellState`'s too little seen, keep on, easier drill, settled, no reps yet.
    """

    advice: str
    low: float
    estimate: float
    high: float
    reps: int
    days: int


def cell_state(figures: Figures | None, standing: Standing, *, held: bool, leads_on: bool) -> CellState:
    """figures: None where the athlete never tried the drill. held: a restriction excludes it. leads_on: other drills
    need this one, and none of them has counted reps. Figures of a drill that is not open are shown as they are."""
    if held:
        return CellState.HELD
    settled = CellState.AHEAD if leads_on else CellState.SETTLED
    if figures is None or not figures.reps:
        if standing is Standing.SETTLED:
            return settled
        return CellState.NO_REPS if standing is Standing.OPEN else CellState.UNTRIED
    if figures.advice == CellState.EASIER_DRILL:
        return CellState.EASIER_DRILL
    if figures.advice == CellState.SETTLED or standing is Standing.SETTLED:
        return settled
    return CellState(figures.advice)


@dataclass(frozen=True, slots=True)
class Column:
    """A drill. number, stage: of its stage; first: it opens the stage."""

    key: str
    name: str
    short: str
    strip: Strip
    stage: str
    number: int
    first: bool


@dataclass(frozen=True, slots=True)
class StageHead:
    number: int
    name: str
    drills: int


@dataclass(frozen=True, slots=True)
class Cell:
    """words: all that the cell says, for those who do not see it. shut: reps were counted, and it is not open."""

    drill: str
    state: CellState
    figures: Figures | None
    first: bool
    words: str
    shut: bool = False

    @property
    def has_bar(self) -> bool:
        return self.state in IN_WORK

    @property
    def css(self) -> str:
        return f"{_CSS.get(self.state, '')}{' shut' if self.shut else ''}".strip()


@dataclass(frozen=True, slots=True)
class Row:
    athlete: UUID
    name: str
    squads: str
    cells: tuple[Cell, ...]


@dataclass(frozen=True, slots=True)
class Board:
    """rows: furthest first. counts: cells by state. in_work: athletes at work on each column."""

    stages: tuple[StageHead, ...]
    columns: tuple[Column, ...]
    rows: tuple[Row, ...]
    counts: Mapping[CellState, int]
    in_work: tuple[int, ...]


def stage_heads(columns: Sequence[Column]) -> tuple[StageHead, ...]:
    heads: dict[int, StageHead] = {}
    for column in columns:
        before = heads.get(column.number)
        heads[column.number] = StageHead(column.number, column.stage, (before.drills if before else 0) + 1)
    return tuple(heads.values())


def furthest(row: Row) -> tuple[int, int, str]:
    """Sort key: most settled, then practised furthest along, then by name."""
    settled = sum(cell.state in SETTLED_STATES for cell in row.cells)
    reached = max((place for place, cell in enumerate(row.cells) if cell.figures and cell.figures.reps), default=-1)
    return -settled, -reached, row.name


def assemble(columns: Sequence[Column], rows: Iterable[Row]) -> Board:
    ordered = tuple(sorted(rows, key=furthest))
    counts = Counter(cell.state for row in ordered for cell in row.cells)
    in_work = tuple(sum(row.cells[place].state in IN_WORK for row in ordered) for place in range(len(columns)))
    return Board(stage_heads(columns), tuple(columns), ordered, dict(counts), in_work)


def stamp(*shown: object) -> str:
    """A short name of what a page shows: the same words and figures give the same stamp."""
    return sha256(repr(shown).encode()).hexdigest()[:20]


def board_stamp(board: Board, *shown: object) -> str:
    """The same of a board. Its cells' words and looks say all that is drawn, at a fifth of the work."""
    cells = [
        (row.athlete, row.squads, [(cell.drill, cell.words, cell.css) for cell in row.cells]) for row in board.rows
    ]
    return stamp(board.columns, cells, *shown)
