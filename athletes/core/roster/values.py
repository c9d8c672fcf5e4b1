"""What one cell of a roster says. One that cannot be read raises ``Unreadable`` with a reason; nothing is guessed."""

import enum
import re
import unicodedata
from collections.abc import Iterable
from datetime import date
from decimal import Decimal

from athletes.core.roster.columns import Cell, shown
from club.core.units import NotALength, parse_length_m

FORMULA_STARTS = ("=", "+", "-", "@", "\t", "\r")
LONGEST_NAME = 80


class Reason(enum.Enum):
    NO_NAME = "no name"
    BAD_NAME = "bad name"
    TOO_LONG = "too long"
    BAD_CHARACTERS = "bad characters"
    FORMULA = "formula"
    AMBIGUOUS_DATE = "ambiguous date"
    NO_DATE = "no date"
    TWO_DIGIT_YEAR = "two-digit year"
    NO_SUCH_DAY = "no such day"
    UNLIKELY_DAY = "unlikely day"
    BAD_EMAIL = "bad e-mail"
    BAD_PHONE = "bad phone"
    BAD_HAND = "bad hand"
    BAD_LENGTH = "bad length"
    DUPLICATE = "duplicate"


class Unreadable(ValueError):
    def __init__(self, reason: Reason) -> None:
        super().__init__(reason.value)
        self.reason = reason


class DateOrder(enum.StrEnum):
    DAY_FIRST = "day_first"
    MONTH_FIRST = "month_first"


_NUMBERS = re.compile(r"(\d{1,2})[./\- ](\d{1,2})[./\- ](\d{4}|\d{2})\.?", re.A)
_ISO = re.compile(r"(\d{4})[-/.](\d{1,2})[-/.](\d{1,2})(?:[T ]00:00(?::00)?)?", re.A)
_WORDED = re.compile(r"(?:(\d{1,2})\.?\s+([a-z]{3,9})\.?|([a-z]{3,9})\.?\s+(\d{1,2}),?)\s+(\d{4})", re.I | re.A)
_MONTHS = ("jan", "feb", "mar", "apr", "may", "jun", "jul", "aug", "sep", "oct", "nov", "dec")
_EMAIL = re.compile(r"[^@\s,;<>\"']+@[^@\s,;<>\"']+\.[^@\s,;<>\"'.]{2,}")
_PHONE = re.compile(r"\+?[\d\s()./\-]+", re.A)
_BAD = {"Cc", "Cf", "Co", "Cn", "Cs"}
_ALLOWED = "\n\r\t\ufeff\u200c\u200d"  # joiners are part of names in some scripts
_RIGHT = {"right", "r", "rh", "right-handed", "right handed", "rechts"}
_LEFT = {"left", "l", "lh", "left-handed", "left handed", "links"}


def text(cell: Cell, longest: int = 120) -> str:
    """The cell as clean text, without the apostrophe that keeps a spreadsheet from computing it. Raises Unreadable."""
    if isinstance(cell, str) and any(unicodedata.category(c) in _BAD and c not in _ALLOWED for c in cell):
        raise Unreadable(Reason.BAD_CHARACTERS)
    said = unquoted(unicodedata.normalize("NFC", shown(cell)).strip("\ufeff"))
    if len(said) > longest:
        raise Unreadable(Reason.TOO_LONG)
    return said


def quoted(said: str) -> str:
    """Text that no spreadsheet takes for a formula; ``unquoted`` undoes it."""
    return f"'{said}" if said.startswith((*FORMULA_STARTS, "'")) else said


def unquoted(said: str) -> str:
    return said[1:] if said.startswith("'") and said[1:].startswith((*FORMULA_STARTS, "'")) else said


def name(cell: Cell) -> str:
    """A name or a part of one. Raises Unreadable."""
    said = _no_formula(cell, LONGEST_NAME)
    if any(c.isdigit() or c in "=<>@;:{}[]|\\/" for c in said):
        raise Unreadable(Reason.BAD_NAME)
    return said


def _no_formula(cell: Cell, longest: int) -> str:
    if shown(cell).startswith(FORMULA_STARTS):
        raise Unreadable(Reason.FORMULA)
    return text(cell, longest)


def split_name(said: str, family_first: bool) -> tuple[str, str]:
    """Given and family name of a whole one. "Kestrel, Nandi" says it itself; else the last word is the family name, or
    the first where the club writes it first."""
    if "," in said:
        family, _, given = (part.strip() for part in said.partition(","))
        return (given, family) if given else (family, "")
    words = said.split()
    if len(words) < 2:
        return said, ""
    return (" ".join(words[1:]), words[0]) if family_first else (" ".join(words[:-1]), words[-1])


def born(cell: Cell, order: DateOrder | None, today: date) -> date | None:
    """The date of birth, None for an empty cell. order: of days and months in numbers. Raises Unreadable."""
    if isinstance(cell, date):
        return _likely(cell, today)
    if isinstance(cell, Decimal):
        raise Unreadable(Reason.NO_DATE)
    said = text(cell)
    if not said:
        return None
    if found := _ISO.fullmatch(said):
        return _likely(_day(*map(int, found.groups())), today)
    if found := _WORDED.fullmatch(said):
        day, month = found[1] or found[4], (found[2] or found[3])[:3].lower()
        if month not in _MONTHS:
            raise Unreadable(Reason.NO_DATE)
        return _likely(_day(int(found[5]), _MONTHS.index(month) + 1, int(day)), today)
    found = _NUMBERS.fullmatch(said)
    if not found:
        raise Unreadable(Reason.NO_DATE)
    first, second, year = found.groups()
    if len(year) == 2:
        raise Unreadable(Reason.TWO_DIGIT_YEAR)
    return _likely(_ordered(int(first), int(second), int(year), order), today)


def _ordered(first: int, second: int, year: int, order: DateOrder | None) -> date:
    if order is None and first != second:
        raise Unreadable(Reason.AMBIGUOUS_DATE)
    return _day(year, first, second) if order is DateOrder.MONTH_FIRST else _day(year, second, first)


def _day(year: int, month: int, day: int) -> date:
    try:
        return date(year, month, day)
    except ValueError as error:
        raise Unreadable(Reason.NO_SUCH_DAY) from error


def _likely(day: date, today: date) -> date:
    if not date(1900, 1, 1) <= day <= today:
        raise Unreadable(Reason.UNLIKELY_DAY)
    return day


def orders(cells: Iterable[Cell]) -> set[DateOrder]:
    """Orders in which every date in numbers of a column exists: one tells the order, two leave it open, none means that
    the column mixes them."""
    found = [match for cell in cells if isinstance(cell, str) and (match := _NUMBERS.fullmatch(shown(cell)))]
    pairs = [(int(match[1]), int(match[2])) for match in found if match[1] != match[2]]
    if not pairs:
        return {DateOrder.DAY_FIRST}
    left = set()
    if all(month <= 12 for _, month in pairs):
        left.add(DateOrder.DAY_FIRST)
    if all(month <= 12 for month, _ in pairs):
        left.add(DateOrder.MONTH_FIRST)
    return left


def email(cell: Cell) -> str:
    said = text(cell, 200)
    if said and not _EMAIL.fullmatch(said):
        raise Unreadable(Reason.BAD_EMAIL)
    return said


def phone(cell: Cell) -> str:
    said = text(cell, 40)
    if said and (not _PHONE.fullmatch(said) or sum(c.isdigit() for c in said) < 5):
        raise Unreadable(Reason.BAD_PHONE)
    return said


def hand(cell: Cell) -> str:
    """``right``, ``left``, or "" for an empty cell. Raises Unreadable."""
    said = text(cell).casefold()
    if said in _RIGHT:
        return "right"
    if said in _LEFT:
        return "left"
    if said:
        raise Unreadable(Reason.BAD_HAND)
    return ""


def squads(cell: Cell) -> tuple[str, ...]:
    """Names of squads, apart by commas, semicolons or slashes."""
    said = _no_formula(cell, 240)
    names = tuple(dict.fromkeys(part.strip() for part in re.split(r"[,;/]", said) if part.strip()))
    if any(len(one) > 60 for one in names):
        raise Unreadable(Reason.TOO_LONG)
    return names


def length_m(cell: Cell, imperial: bool) -> Decimal | None:
    """Metres, of a body: from half a metre to three. Raises Unreadable."""
    said = text(cell)
    if not said:
        return None
    try:
        found = parse_length_m(said, imperial=imperial)
    except NotALength as error:
        raise Unreadable(Reason.BAD_LENGTH) from error
    if not Decimal("0.5") <= found <= 3:
        raise Unreadable(Reason.BAD_LENGTH)
    return found
