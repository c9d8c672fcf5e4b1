"""What rooms above this one add to the page of a plan, handed down by name because this room imports none of them.

A helper is asked with what the page shows and answers with a template and its values, or with nothing.
"""

from collections.abc import Callable
from dataclasses import dataclass
from typing import Any

from club.members import Member
from sessions.practices.queries.board import Board, Cell, Picked


@dataclass(frozen=True, slots=True)
class Help:
    """template is rendered with the page's own variables and ``help`` = values."""

    template: str
    values: Any


@dataclass(frozen=True, slots=True)
class Asked:
    """What the page shows. cell: the one that is open; picked: the place that was chosen."""

    member: Member
    board: Board
    cell: Cell | None = None
    picked: Picked | None = None


Helper = Callable[[Asked], Help | None]
PLACES = ("tools", "head", "cell", "picked")
_helpers: dict[str, Helper] = {}


def register(place: str, helper: Helper) -> None:
    """place: tools (the page's buttons), head (under its first line), cell, picked. Raises ValueError for others."""
    if place not in PLACES:
        raise ValueError(place)
    _helpers[place] = helper


def helps(asked: Asked, hidden: bool = False) -> dict[str, Help]:
    """By place; only those that have something to say. hidden: children can see the screen, so nothing of anybody."""
    wanted = {
        "tools": True,
        "head": True,
        "cell": asked.cell is not None and not hidden,
        "picked": asked.picked is not None and not hidden,
    }
    found = {place: helper(asked) for place, helper in _helpers.items() if wanted[place]}
    return {place: one for place, one in found.items() if one is not None}
