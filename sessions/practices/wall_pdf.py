"""The sheet for the wall as a PDF of one page, landscape: the type is as large as the page has room for."""

from collections.abc import Sequence
from dataclasses import dataclass
from zoneinfo import ZoneInfo

from django.utils.formats import date_format
from fpdf import FPDF

from club.core.run_strip import SIZES, StripSpec, places_of, run_strip
from club.core.svg import Drawing
from club.pdf import Paper, draw, line_mm, new_pdf, wrapped, write
from sessions.practices import sheet_words as words
from sessions.practices.queries.sheet import Box, Line, Part, Sheet

MARGIN, GAP, PAD = 10.0, 3.0, 1.4
FIRST = 30.0
"""Width of the column of stations."""
GLYPH, GLYPH_HIGH = 10.0, 4.6
LARGEST, SMALLEST, STEP = 15.0, 4.5, 0.25
SMALL = 0.72
"""Size of safety words and drills' names against that of athletes' names, never under READABLE unless all is."""
READABLE = 6.5
SAFETY_COLUMNS = 3


@dataclass(frozen=True, slots=True)
class _Text:
    lines: list[str]
    size: float
    style: str = ""
    part: Part | None = None

    @property
    def high(self) -> float:
        beside = GLYPH_HIGH if self.part and self.part.strip else 0.0
        return max(beside, len(self.lines) * line_mm(self.size))


def wall_pdf(sheet: Sheet, *, paper: Paper, club: str, language: str) -> bytes:
    pdf = new_pdf(paper, title=words.title(sheet), language=language, landscape=True)
    size = LARGEST
    while size > SMALLEST and _Layout(pdf, sheet, club, size).high > pdf.h - 2 * MARGIN:
        size -= STEP
    _Layout(pdf, sheet, club, size).write()
    return bytes(pdf.output())


class _Layout:
    """The sheet at one size of type, measured when it is made."""

    def __init__(self, pdf: FPDF, sheet: Sheet, club: str, size: float) -> None:
        self.pdf, self.sheet, self.size = pdf, sheet, size
        self.small = min(size, max(size * SMALL, min(READABLE, size)))
        self.wide = pdf.w - 2 * MARGIN
        self.column = (self.wide - FIRST) / max(1, len(sheet.columns))
        self.head = [
            *([self._text(words.cancelled(), self.wide, size * 1.2, "B")] if sheet.practice.cancelled_at else []),
            self._text(words.title(sheet), self.wide, size * 1.2, "B"),
            self._text(words.about(sheet), self.wide, size * 0.9),
        ]
        self.rows = [self._row(line) for line in sheet.lines] if sheet.columns else []
        third = (self.wide - (SAFETY_COLUMNS - 1) * GAP) / SAFETY_COLUMNS
        self.safety = [self._text(f"{one.title}. {one.text}", third, self.small) for one in sheet.safety]
        last = [words.rules(), words.key(sheet), words.foot(sheet, club, _published(sheet))]
        last = [words.no_plan(), *last] if not sheet.columns else last
        self.foot = [self._text(one, self.wide, self.small) for one in last]
        self.top = line_mm(self.small) + 2 * PAD
        body = (self.top if self.rows else 0) + sum(map(_row_high, self.rows))
        self.high = sum(t.high for t in (*self.head, *self.foot)) + body + self._safety_high() + 4 * PAD

    def _text(self, text: str, width: float, size: float, style: str = "", part: Part | None = None) -> _Text:
        return _Text(wrapped(self.pdf, text, width, size, style), size, style, part)

    def _row(self, line: Line) -> list[list[_Text]]:
        first = [self._text(words.line_name(line.name), FIRST - PAD, self.size * 0.9, "B")]
        first += [self._text(line.adult, FIRST - PAD, self.size * 0.9)] if line.adult else []
        return [first, *(self._box(box) for box in line.boxes)]

    def _box(self, box: Box) -> list[_Text]:
        wide, found = self.column - 2 * PAD, []
        for part in box.parts:
            beside = GLYPH + PAD if part.strip else 0
            found.append(self._text(part.name, wide - beside, self.small, "B", part))
            found.append(self._text(words.names(part), wide, self.size))
        if box.idle:
            found.append(self._text(words.idle_title(), wide, self.small, "B"))
            found.append(self._text(", ".join(box.idle), wide, self.size))
        return found or [self._text("–", wide, self.size)]

    def _safety_columns(self) -> list[list[_Text]]:
        """One after another into the column that is shortest."""
        columns: list[list[_Text]] = [[] for _ in range(SAFETY_COLUMNS)]
        for text in self.safety:
            min(columns, key=_high).append(text)
        return columns

    def _safety_high(self) -> float:
        return max(map(_high, self._safety_columns()))

    # Writing

    def write(self) -> None:
        y = self._stack(self.head, MARGIN, MARGIN) + PAD
        if self.rows:
            y = self._columns(y)
            for row in self.rows:
                y = self._write_row(row, y)
        below = y + PAD
        for place, column in enumerate(self._safety_columns()):
            y = max(y, self._stack(column, MARGIN + place * (self.wide + GAP) / SAFETY_COLUMNS, below))
        self._stack(self.foot, MARGIN, max(y, below) + PAD)

    def _stack(self, texts: Sequence[_Text], x: float, y: float) -> float:
        for text in texts:
            y = write(self.pdf, text.lines, x, y, text.size, text.style)
        return y

    def _rule(self, y: float, width: float) -> None:
        self.pdf.set_line_width(width)
        self.pdf.line(MARGIN, y, MARGIN + self.wide, y)

    def _columns(self, y: float) -> float:
        self._rule(y, 0.7)
        for place, box in enumerate(self.sheet.lines[0].boxes):
            column = box.column
            ends = f"–{column.ends:%H:%M}" if column.ends else ""
            said = f"{words.block_title(box)}  {column.block.starts:%H:%M}{ends}"
            x = MARGIN + FIRST + place * self.column + PAD
            write(self.pdf, wrapped(self.pdf, said, self.column, self.small, "B")[:1], x, y + PAD, self.small, "B")
        self._rule(y + self.top, 0.4)
        return y + self.top

    def _write_row(self, row: list[list[_Text]], y: float) -> float:
        below = y + _row_high(row)
        for place, texts in enumerate(row):
            x = MARGIN + (FIRST + (place - 1) * self.column + PAD if place else 0)
            at = y + PAD
            for text in texts:
                if text.part and text.part.strip:
                    draw(self.pdf, _glyph(text.part), x + self.column - 2 * PAD - GLYPH, at + 0.3, GLYPH)
                write(self.pdf, text.lines, x, at, text.size, text.style)
                at += text.high
            if place:
                self.pdf.set_line_width(0.15)
                self.pdf.line(x - PAD, y, x - PAD, below)
        self._rule(below, 0.15)
        return below


def _high(texts: Sequence[_Text]) -> float:
    return sum(text.high for text in texts)


def _row_high(row: list[list[_Text]]) -> float:
    return max(map(_high, row)) + 2 * PAD


def _glyph(part: Part) -> Drawing:
    assert part.strip is not None
    lit, off = frozenset(places_of(part.strip.lit)), frozenset(places_of(part.strip.off))
    return run_strip(StripSpec(SIZES["glyph"], lit=lit, off=off))


def _published(sheet: Sheet) -> str:
    practice = sheet.practice
    if practice.published_at is None:
        return ""
    return str(date_format(practice.published_at.astimezone(ZoneInfo(practice.zone)), "j F, H:i"))
