"""The words of the sheet for the wall, so that the page says what the PDF says."""

from django import template

from sessions.practices import sheet_words as words
from sessions.practices.queries.sheet import Line, Part, Turn

register = template.Library()


@register.simple_tag(name="sheet_words")
def sheet_words(of: Line | Part | Turn, what: str) -> str:
    """name of a line, names of a part, or turn: one name with hand and pole."""
    if isinstance(of, Line):
        return words.line_name(of.name)
    return words.names(of) if isinstance(of, Part) else words.turn(of)
