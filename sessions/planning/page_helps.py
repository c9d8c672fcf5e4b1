"""What this room adds to the page of a plan; ``sessions.practices.helps`` says where."""

from sessions.planning.queries.beside import last_fill, offers, why_here
from sessions.practices.helps import Asked, Help, register


def _tools(asked: Asked) -> Help | None:
    """The button, for a plan that has something to fill and is not called off."""
    board = asked.board
    if not board.columns or board.practice.cancelled_at:
        return None
    loose = [row for row in board.source.assignments if not row.pinned]
    empty = any(cell.idle for cell in board.rest.cells)
    return Help("planning/parts/fill_button.html", {"loose": len(loose), "empty": empty}) if loose or empty else None


def _head(asked: Asked) -> Help | None:
    found = last_fill(asked.member, asked.board.practice)
    return Help("planning/parts/last_fill.html", found) if found else None


def _cell(asked: Asked) -> Help | None:
    assert asked.cell is not None
    return Help("planning/parts/may_try.html", offers(asked.member, asked.board, asked.cell))


def _picked(asked: Asked) -> Help | None:
    assert asked.picked is not None
    return Help("planning/parts/why_here.html", why_here(asked.member, asked.board, asked.picked))


for place, helper in {"tools": _tools, "head": _head, "cell": _cell, "picked": _picked}.items():
    register(place, helper)
