"""What is wrong with a catalogue file: every problem with its place, in words that a door can translate."""

import re
from collections.abc import Iterable, Sequence
from dataclasses import dataclass

Place = tuple[str | int, ...]
"""Where in the file: names of fields and positions in lists, from the outermost in."""

MOST_SHOWN = 500
"""A file with more problems than this is not a catalogue; the rest is counted, not listed."""


LONGEST = 120
"""Characters of a file's own text that a message repeats."""

SLUG = "^[a-z][a-z0-9]*(-[a-z0-9]+)*$"
"""What a key looks like."""

KEY_LENGTH = 50

FORBIDDEN = r"[\u0000-\u001f\u007f-\u009f\u2028\u2029\u202a-\u202e\u2066-\u2069\ud800-\udfff\ufffe\uffff]"
"""Control characters, line breaks, marks that turn the direction of text, half characters: in no text."""

FORBIDDEN_IN_TEXT = re.compile(FORBIDDEN)


def gettext_noop(message: str) -> str:
    """Mark a message for translation without translating it: a core knows no language."""
    return message


@dataclass(frozen=True, slots=True)
class Problem:
    """One problem. line: from 1, 0 where there is no file. path: `drills[wall-plant].gate[2]`, lists counted from 1.

    message: to be translated, with `%(name)s` for each of values.
    """

    line: int
    path: str
    message: str
    values: tuple[tuple[str, str], ...] = ()

    @property
    def reason(self) -> str:
        return self.message % dict(self.values)

    def __str__(self) -> str:
        return f"line {self.line}, {self.path}: {self.reason}"


class CatalogueProblems(ValueError):
    """The file is refused whole. problems: all of them, in the order of the file."""

    def __init__(self, problems: Sequence[Problem]) -> None:
        self.problems = tuple(problems)
        super().__init__("\n".join(str(problem) for problem in self.problems))


@dataclass(frozen=True, slots=True)
class Found:
    """A problem before its line is known."""

    place: Place
    message: str
    values: tuple[tuple[str, str], ...] = ()


def found(place: Place, message: str, **values: str) -> Found:
    return Found(place, message, tuple((name, shown(value)) for name, value in values.items()))


def shown(text: str) -> str:
    """Text out of a file as a message may repeat it: never long, nothing that does not print."""
    visible = "".join(letter if letter.isprintable() else "\N{REPLACEMENT CHARACTER}" for letter in text[: LONGEST + 1])
    return visible if len(visible) <= LONGEST else visible[:LONGEST] + "…"


def limited(problems: Iterable[Problem]) -> tuple[Problem, ...]:
    """Each problem once, by line; past the limit one line says how many more there are."""
    unique = sorted(dict.fromkeys(problems), key=lambda problem: problem.line)
    if len(unique) <= MOST_SHOWN:
        return tuple(unique)
    more = Problem(
        unique[MOST_SHOWN].line,
        unique[MOST_SHOWN].path,
        gettext_noop("and %(count)s more problems from here on"),
        (("count", str(len(unique) - MOST_SHOWN)),),
    )
    return (*unique[:MOST_SHOWN], more)
