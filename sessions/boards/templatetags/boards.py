"""Cells of the squad board. There can be a thousand on a page, so a row is one tag and equal bars are drawn once."""

from functools import lru_cache

from django import template
from django.utils.html import escape
from django.utils.safestring import SafeString, mark_safe

from athletes.queries import SETTINGS
from club.core.svg import Drawing
from club.templatetags.look import range_bar
from sessions.boards.core import Cell, CellState, Row

register = template.Library()
DIAMOND = '<span class="diamond" aria-hidden="true"></span>'


@register.simple_tag
def drawn(drawing: Drawing, label: str = "") -> SafeString:
    """A drawing that a query made. Safe: ``Drawing.markup`` escapes every value itself."""
    return mark_safe(drawing.markup(label))


@register.simple_tag
def squad_cells(row: Row, board_url: str) -> SafeString:
    """The cells of one athlete. Safe: keys and ids are slugs and uuids, and the words are escaped."""
    return mark_safe("".join(_cell(cell, str(row.athlete), board_url) for cell in row.cells))


def _cell(cell: Cell, athlete: str, board_url: str) -> str:
    """A link that opens the drill where there is something to open, all of it said in words."""
    css = f"s0 {cell.css}".rstrip() if cell.first else cell.css
    words = f'<span class="vh">{escape(cell.words)}</span>' if cell.words else ""
    if cell.figures is None and cell.state is not CellState.NO_REPS:
        return f'<td class="{css}">{words}</td>'
    url = f"{board_url}{athlete}/{cell.drill}/"
    link = f'<a id="cell-{athlete}-{cell.drill}" href="{url}" hx-get="{url}">'
    return f'<td class="{css}">{link}{_picture(cell)}{words}</a></td>\n'


def _picture(cell: Cell) -> str:
    if cell.has_bar and cell.figures:
        shown = cell.figures
        return _bar(shown.advice, round(shown.low, 2), round(shown.estimate, 2), round(shown.high, 2))
    return DIAMOND if cell.state is CellState.NO_REPS else ""


@lru_cache(maxsize=4096)
def _bar(advice: str, low: float, estimate: float, high: float) -> SafeString:
    """The bar to the nearest hundredth, finer than its 62 px can show; hidden, because the words say the same."""
    lines = {"settle_at": SETTINGS.settled_low, "easier_at": SETTINGS.easier_high}
    return range_bar(advice, low, estimate, high, size="cell", label="", **lines)
