"""What is wrong with a catalogue file: every problem with its place, in words that a door can translate."""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass

Place = tuple[str | int, ...]
"""Where in the file: names of fields and positions in lists, from the outermost in."""

MOST_SHOWN = 500
"""A file with more problems than this is not a catalogue; the rest is counted, not listed."""


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
    return Found(place, message, tuple(values.items()))


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
