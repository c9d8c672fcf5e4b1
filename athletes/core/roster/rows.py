"""From cells to typed rows, one child a row with the columns of its guardians; or problems that name their place."""

from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from datetime import date
from decimal import Decimal
from typing import TypeVar

from athletes.core.roster import values
from athletes.core.roster.columns import GUARDIANS, Cell, Row, What, headings, shown
from athletes.core.roster.values import DateOrder, Reason, Unreadable
from club.core import names

MOST_ROWS = 500
V = TypeVar("V")


@dataclass(frozen=True, slots=True)
class Choices:
    """How to read a file. header: index of the row of headings. columns: a key of ``MEANINGS`` or "" for each column.

    date_order: None until somebody says it, where the dates themselves do not. imperial: what bare numbers are in.
    measured_on: the day of all heights and reaches, which no row says itself.
    """

    header: int
    columns: tuple[str, ...]
    date_order: DateOrder | None = None
    family_first: bool = False
    imperial: bool = False
    measured_on: date | None = None


@dataclass(frozen=True, slots=True)
class GuardianRow:
    given: str
    family: str
    email: str = ""
    phone: str = ""


@dataclass(frozen=True, slots=True)
class ChildRow:
    """number: of the row in the file, from 1. Empty cells are "" or None and change nothing."""

    number: int
    given: str
    family: str
    born: date | None = None
    hand: str = ""
    squads: tuple[str, ...] = ()
    email: str = ""
    phone: str = ""
    height_m: Decimal | None = None
    standing_reach_m: Decimal | None = None
    guardians: tuple[GuardianRow, ...] = ()

    @property
    def is_measured(self) -> bool:
        return self.height_m is not None or self.standing_reach_m is not None


@dataclass(frozen=True, slots=True)
class Problem:
    """Why a row cannot be taken: row in the file from 1, heading of the column, reason, what stands there.

    earlier: of a duplicate, the row that counts.
    """

    row: int
    column: str
    reason: Reason
    found: str = ""
    earlier: int = 0


@dataclass(frozen=True, slots=True)
class Reading:
    """asks_date_order: dates are in numbers that could be read both ways (or are mixed), and nobody has said how."""

    rows: tuple[ChildRow, ...]
    problems: tuple[Problem, ...]
    asks_date_order: bool = False


def name_key(given: str, family: str) -> str:
    """Names that are the same name whatever their case and blanks."""
    return names.name_key(f"{given} {family}")


def read_rows(cells: Sequence[Row], choices: Choices, today: date) -> Reading:
    """All rows below the headings that hold anything in a column with a meaning."""
    names = headings(cells, choices.header)
    place = {key: n for n, key in enumerate(choices.columns) if key}
    below = cells[choices.header + 1 :]
    order, asks = _date_order(below, place, choices.date_order)
    rows: list[ChildRow] = []
    problems: list[Problem] = []
    seen: dict[tuple[str, date | None], int] = {}
    for number, row in enumerate(below, start=choices.header + 2):
        if not any(shown(_at(row, n)) for n in place.values()) or _is_heading(row, cells[choices.header]):
            continue
        reader = _RowReader(number, row, place, names, choices, order, today)
        child = reader.child()
        again = child and (name_key(child.given, child.family), child.born)
        if child and again and again in seen:
            said = f"{child.given} {child.family}".strip()
            reader.problems.append(Problem(number, names[_first(place)], Reason.DUPLICATE, said, seen[again]))
        problems += reader.problems
        if child and not reader.problems:
            rows.append(child)
            seen[name_key(child.given, child.family), child.born] = number
    return Reading(tuple(rows), tuple(problems), asks)


def _date_order(rows: Sequence[Row], place: Mapping[str, int], said: DateOrder | None) -> tuple[DateOrder | None, bool]:
    column = place.get(What.BORN)
    possible = values.orders(_at(row, column) for row in rows) if column is not None else {DateOrder.DAY_FIRST}
    if len(possible) == 1:
        return next(iter(possible)), False
    return said, said is None


def _at(row: Row, n: int) -> Cell:
    return row[n] if n < len(row) else None


def _is_heading(row: Row, header: Row) -> bool:
    return [shown(cell) for cell in row] == [shown(cell) for cell in header]


def _first(place: Mapping[str, int]) -> int:
    return next(place[key] for key in (What.NAME, What.GIVEN, What.FAMILY) if key in place)


class _RowReader:
    """Reads one row; every cell is read, so that all problems of a row are told at once."""

    def __init__(
        self,
        number: int,
        row: Row,
        place: Mapping[str, int],
        names: Sequence[str],
        choices: Choices,
        order: DateOrder | None,
        today: date,
    ) -> None:
        self.number, self.row, self.place, self.names = number, row, place, names
        self.choices, self.order, self.day = choices, order, today
        self.problems: list[Problem] = []

    def read(self, key: str, how: Callable[[Cell], V], empty: V) -> V:
        column = self.place.get(key)
        if column is None:
            return empty
        cell = _at(self.row, column)
        try:
            return how(cell)
        except Unreadable as error:
            self.problems.append(Problem(self.number, self.names[column], error.reason, shown(cell)[:60]))
            return empty

    def name(self, before: str = "") -> tuple[str, str]:
        given = self.read(f"{before}given", values.name, "")
        family = self.read(f"{before}family", values.name, "")
        whole = self.read(f"{before}name", values.name, "")
        return values.split_name(whole, self.choices.family_first) if whole and not given else (given, family)

    def child(self) -> ChildRow | None:
        given, family = self.name()
        imperial = self.choices.imperial
        found = ChildRow(
            number=self.number,
            given=given,
            family=family,
            born=self.read(What.BORN, lambda cell: values.born(cell, self.order, self.day), None),
            hand=self.read(What.HAND, values.hand, ""),
            squads=self.read(What.SQUADS, values.squads, ()),
            email=self.read(What.EMAIL, values.email, ""),
            phone=self.read(What.PHONE, values.phone, ""),
            height_m=self.read(What.HEIGHT, lambda cell: values.length_m(cell, imperial), None),
            standing_reach_m=self.read(What.STANDING_REACH, lambda cell: values.length_m(cell, imperial), None),
            guardians=tuple(self.guardians()),
        )
        if not given and not self.said("name", "given"):
            self.problem((What.NAME, What.GIVEN, What.FAMILY), Reason.NO_NAME)
        return found if given else None

    def guardians(self) -> Iterator[GuardianRow]:
        for n in range(1, GUARDIANS + 1):
            first, last = self.name(f"g{n}.")
            email = self.read(f"g{n}.email", values.email, "")
            phone = self.read(f"g{n}.phone", values.phone, "")
            keys = (f"g{n}.name", f"g{n}.given", f"g{n}.family")
            if not first and (last or email or phone) and not self.said(*keys[:2]):
                self.problem((*keys, f"g{n}.phone", f"g{n}.email"), Reason.NO_NAME)
            elif first:
                yield GuardianRow(first, last, email, phone)

    def said(self, *keys: str) -> bool:
        """Whether a problem was found in one of these columns already."""
        columns = {self.names[self.place[key]] for key in keys if key in self.place}
        return any(problem.column in columns for problem in self.problems)

    def problem(self, keys: Sequence[str], reason: Reason) -> None:
        column = next((self.names[self.place[key]] for key in keys if key in self.place), "")
        self.problems.append(Problem(self.number, column, reason))
