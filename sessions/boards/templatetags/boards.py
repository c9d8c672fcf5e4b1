"""Cells of the squad board. There can be a thousand on a page, so each is one tag and equal bars are drawn once."""

from functools import lru_cache
from uuid import UUID

from django import template
from django.utils.html import format_html
from django.utils.safestring import SafeString, mark_safe

from athletes.queries import SETTINGS
from club.templatetags.look import range_bar
from sessions.boards.core import Cell, CellState

register = template.Library()
DIAMOND = mark_safe('<span class="diamond" aria-hidden="true"></span>')
NOTHING = SafeString("")


@register.simple_tag
def squad_cell(cell: Cell, athlete: UUID, board_url: str) -> SafeString:
    """What stands in the cell: a link that opens it where there is something to open, all of it said in words."""
    if cell.figures is None and cell.state is not CellState.NO_REPS:
        return format_html('<span class="vh">{}</span>', cell.words) if cell.words else NOTHING
    url = f"{board_url}{athlete}/{cell.drill}/"
    return format_html(
        '<a id="cell-{}-{}" href="{}" hx-get="{}" hx-target="#board_cell">{}<span class="vh">{}</span></a>',
        athlete,
        cell.drill,
        url,
        url,
        _picture(cell),
        cell.words,
    )


def _picture(cell: Cell) -> SafeString:
    if cell.has_bar and cell.figures:
        shown = cell.figures
        return _bar(shown.advice, round(shown.low, 2), round(shown.estimate, 2), round(shown.high, 2))
    return DIAMOND if cell.state is CellState.NO_REPS else NOTHING


@lru_cache(maxsize=4096)
def _bar(advice: str, low: float, estimate: float, high: float) -> SafeString:
    """The bar to the nearest hundredth, finer than its 62 px can show; hidden, because the words say the same."""
    lines = {"settle_at": SETTINGS.settled_low, "easier_at": SETTINGS.easier_high}
    return range_bar(advice, low, estimate, high, size="cell", label="", **lines)
