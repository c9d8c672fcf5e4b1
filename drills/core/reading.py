"""A catalogue file: read it whole or refuse it with every problem at once; write it so that it reads back the same."""

from collections.abc import Iterable

import yaml

from drills.core.catalogue import Catalogue
from drills.core.checks import cross_problems
from drills.core.plain import catalogue_from_plain, catalogue_to_plain
from drills.core.problems import CatalogueProblems, Found, Problem, limited
from drills.core.shape import shape_problems
from drills.core.yaml_text import Document, Plain, read_yaml

_HEADING = """\
# A drill catalogue. The shape of this file is described in catalogue.schema.json.
# Keys are stable: old records refer to them. An item that was used is retired, never taken out.
"""

_ABOUT = {
    "stages": "The columns of the progression.",
    "load_classes": "Reps that are counted together, and their limits.",
    "safety": "Words shown where the risk is. The rules sentence is added by the page.",
    "adjustments": "Remedies that keep the drill and change how it is done.",
    "checkpoints": "What is watched, in the order of the run, and how it goes wrong.",
    "causes": "Reasons outside of what is watched.",
    "links": "What leads to what; the first link mends the rest.",
    "drills": "The drills, in the order one learns them.",
    "activities": "Planned like drills, without checkpoints.",
}


def read_catalogue(data: bytes) -> Catalogue:
    """Parse a catalogue file. Raises CatalogueProblems with all of its problems; then nothing is returned."""
    document = read_yaml(data)
    problems = problems_of(document)
    if problems:
        raise CatalogueProblems(problems)
    return catalogue_from_plain(document.value)


def problems_of(document: Document) -> tuple[Problem, ...]:
    """Every problem of a file that could be read to its end, by line."""
    every = [*document.found, *wrong_with(document.value)]
    return limited(document.problem(what) for what in every)


def validate(catalogue: Catalogue) -> tuple[Problem, ...]:
    """Every problem of a catalogue put together in the app; their lines are 0."""
    document = Document(catalogue_to_plain(catalogue), {(): 0}, ())
    return problems_of(document)


def wrong_with(value: Plain) -> Iterable[Found]:
    """Everything that keeps plain values from being a catalogue, each with its place."""
    yield from shape_problems(value)
    yield from cross_problems(value)


def write_catalogue(catalogue: Catalogue) -> str:
    """A file that `read_catalogue` reads back as the same catalogue. Comments of an earlier file are not kept."""
    parts = [_HEADING]
    for name, value in catalogue_to_plain(catalogue).items():
        about = f"\n# {_ABOUT[name]}\n" if name in _ABOUT else ""
        parts.append(about + yaml.safe_dump({name: value}, sort_keys=False, allow_unicode=True, width=110))
    return "".join(parts)
