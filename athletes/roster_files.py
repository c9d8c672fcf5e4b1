"""A file that a coach has, as rows of cells: CSV in its many shapes, or XLSX. What is neither, or a bomb, is refused.

Not a core, because it reads files; it still touches neither the database nor the disk.
"""

import csv
import enum
import io
import warnings
import zipfile
from datetime import date, datetime
from decimal import Decimal
from typing import Any

from openpyxl import load_workbook

from athletes.core.roster.columns import HEADER_SEARCH, Cell, Row
from athletes.core.roster.rows import MOST_ROWS

MOST_BYTES = 1024 * 1024
MOST_UNPACKED = 20 * 1024 * 1024
MOST_PARTS = 200
MOST_COLUMNS = 80
MOST_LINES = MOST_ROWS + HEADER_SEARCH
LONGEST_CELL = 2000
DELIMITERS = ",;\t|"


class FileReason(enum.Enum):
    EMPTY = "empty"
    TOO_LARGE = "too large"
    TOO_MANY_ROWS = "too many rows"
    TOO_MANY_COLUMNS = "too many columns"
    CELL_TOO_LONG = "cell too long"
    UNPACKS_TOO_LARGE = "unpacks too large"
    OLD_SPREADSHEET = "old spreadsheet"
    NOT_READABLE = "not readable"
    NO_TABLE = "no table"


class FileRefused(Exception):
    """line: where in the file, from 1; 0 where it is the file as a whole."""

    def __init__(self, reason: FileReason, line: int = 0) -> None:
        super().__init__(reason.value)
        self.reason, self.line = reason, line


def read_file(data: bytes) -> list[Row]:
    """The rows of the first sheet, or of the text. What it is shows in its first bytes, not in its name.

    Raises FileRefused.
    """
    if len(data) > MOST_BYTES:
        raise FileRefused(FileReason.TOO_LARGE)
    if not data.strip(b"\x00\r\n\t "):
        raise FileRefused(FileReason.EMPTY)
    if data.startswith(b"\xd0\xcf\x11\xe0"):
        raise FileRefused(FileReason.OLD_SPREADSHEET)
    rows = _xlsx(data) if data.startswith(b"PK") else _csv(data)
    return _checked(rows)


def _checked(rows: list[Row]) -> list[Row]:
    while rows and not any(cell not in (None, "") for cell in rows[-1]):
        rows.pop()
    if len(rows) > MOST_LINES:
        raise FileRefused(FileReason.TOO_MANY_ROWS)
    for line, row in enumerate(rows, start=1):
        if len(row) > MOST_COLUMNS:
            raise FileRefused(FileReason.TOO_MANY_COLUMNS, line)
        if any(isinstance(cell, str) and len(cell) > LONGEST_CELL for cell in row):
            raise FileRefused(FileReason.CELL_TOO_LONG, line)
    if not any(sum(cell not in (None, "") for cell in row) >= 2 for row in rows):
        raise FileRefused(FileReason.NO_TABLE)
    return rows


def _csv(data: bytes) -> list[Row]:
    text = _decoded(data)
    delimiter = max(DELIMITERS, key=lambda sign: _fits(text, sign))
    return [tuple(row) for row in _lines(text, delimiter)]


def _decoded(data: bytes) -> str:
    """UTF-8 with or without a BOM, UTF-16 with one, else the old Western code page, which has holes and says so."""
    encoding = "utf-16" if data.startswith((b"\xff\xfe", b"\xfe\xff")) else "utf-8-sig"
    line = 0
    for name in (encoding, "cp1252"):
        try:
            text = data.decode(name)
        except UnicodeDecodeError as error:
            line = data.count(b"\n", 0, error.start) + 1
            continue
        if "\x00" not in text:
            return text
        line = line or text.count("\n", 0, text.index("\x00")) + 1
    raise FileRefused(FileReason.NOT_READABLE, line)


def _lines(text: str, delimiter: str) -> list[list[str]]:
    reader = csv.reader(io.StringIO(text, newline=""), delimiter=delimiter, skipinitialspace=True, strict=True)
    try:
        return list(reader)
    except csv.Error as error:
        raise FileRefused(FileReason.NOT_READABLE, reader.line_num) from error


def _fits(text: str, delimiter: str) -> tuple[int, int]:
    """How many of the first lines have the most common number of cells, above one; then that number."""
    try:
        widths = [len(row) for row in _lines(text, delimiter)[: 3 * HEADER_SEARCH] if any(row)]
    except FileRefused:
        return (0, 0)
    common = max(set(widths), key=lambda width: (widths.count(width), width), default=0)
    return (widths.count(common), common) if common > 1 else (0, 0)


def _xlsx(data: bytes) -> list[Row]:
    """Values as computed when the file was saved; formulas are not run.

    The unpacked size is checked before anything is unpacked: what an archive declares is the most that is ever read.
    """
    try:
        with zipfile.ZipFile(io.BytesIO(data)) as archive:
            parts = archive.infolist()
    except (zipfile.BadZipFile, NotImplementedError, ValueError, OSError) as error:
        raise FileRefused(FileReason.NOT_READABLE) from error
    if len(parts) > MOST_PARTS or sum(part.file_size for part in parts) > MOST_UNPACKED:
        raise FileRefused(FileReason.UNPACKS_TOO_LARGE)
    try:
        with warnings.catch_warnings():
            warnings.simplefilter("ignore")  # of styles and extensions that do not matter here
            return _sheet_rows(data)
    except FileRefused:
        raise
    except Exception as error:  # openpyxl raises whatever its XML parser, zlib or a converter of values raises
        raise FileRefused(FileReason.NOT_READABLE) from error


def _sheet_rows(data: bytes) -> list[Row]:
    book = load_workbook(io.BytesIO(data), read_only=True, data_only=True, keep_links=False)
    try:
        if not book.worksheets:
            raise FileRefused(FileReason.NO_TABLE)
        found = []
        for row in book.worksheets[0].iter_rows(max_row=MOST_LINES + 1, max_col=MOST_COLUMNS + 1, values_only=True):
            cells = [_cell(value) for value in row]
            while cells and cells[-1] is None:
                cells.pop()
            found.append(tuple(cells))
        return found
    finally:
        book.close()


def _cell(value: Any) -> Cell:
    if value is None or value == "":
        return None
    if isinstance(value, datetime):
        return value.date()
    if isinstance(value, date):
        return value
    if isinstance(value, bool):
        return str(value)
    if isinstance(value, int | float):
        return Decimal(repr(value)) if value == value and abs(value) < 1e15 else str(value)
    return str(value)


def stored(rows: list[Row]) -> list[list[Any]]:
    """Rows for a JSON column: text as itself, a date and a number as a list of their kind and text."""
    return [[_stored(cell) for cell in row] for row in rows]


def _stored(cell: Cell) -> Any:
    if isinstance(cell, Decimal):
        return ["number", str(cell)]
    return ["date", cell.isoformat()] if isinstance(cell, date) else cell


def loaded(rows: list[list[Any]]) -> list[Row]:
    """What ``stored`` made of them, back."""
    return [tuple(_loaded(cell) for cell in row) for row in rows]


def _loaded(cell: Any) -> Cell:
    if not isinstance(cell, list):
        return cell  # type: ignore[no-any-return]
    kind, text = cell
    return Decimal(text) if kind == "number" else date.fromisoformat(text)
