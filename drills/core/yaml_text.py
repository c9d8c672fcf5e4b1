"""YAML text to plain values and their lines, for files that strangers may have written.

A narrow YAML: text, whole numbers, true and false, nothing, lists and mappings with text keys. What makes YAML
dangerous or surprising is refused: anchors and aliases (a few lines can unfold to gigabytes), tags (they name types),
several documents, deep nesting, sheer size. `yes`, `no`, `on`, `off` and dates are text, as a coach would read them.
"""

import re
from collections.abc import Iterator
from dataclasses import dataclass, field
from typing import NoReturn

import yaml

from drills.core.problems import (
    KEY_LENGTH,
    SLUG,
    CatalogueProblems,
    Found,
    Place,
    Problem,
    found,
    gettext_noop,
    limited,
    shown,
)

MOST_BYTES = 512 * 1024
MOST_VALUES = 40_000
DEEPEST = 10
LONGEST_NUMBER = 9

Plain = str | int | bool | None | list["Plain"] | dict[str, "Plain"]

_WHOLE_NUMBER = re.compile(r"-?(0|[1-9][0-9]*)")
_TRUTH = {"true": True, "True": True, "TRUE": True, "false": False, "False": False, "FALSE": False}
_NOTHING = ("", "~", "null", "Null", "NULL")


@dataclass(frozen=True, slots=True)
class Document:
    """What was read. lines: of every value, from 1. found: what is wrong with the YAML itself."""

    value: Plain
    lines: dict[Place, int]
    found: tuple[Found, ...]

    def line(self, place: Place) -> int:
        """The line of a value, or of the nearest thing around it that is in the file."""
        while place not in self.lines and place:
            place = place[:-1]
        return self.lines.get(place, 1)

    def problem(self, what: Found) -> Problem:
        return Problem(self.line(what.place), path_text(self.value, what.place), what.message, what.values)


def path_text(value: Plain, place: Place) -> str:
    """`drills[wall-plant].gate[2]`: list items go by their key where it is one, else by position from 1."""
    text = ""
    for part in place:
        value = _inside(value, part)
        if isinstance(part, int):
            text += f"[{_key_of(value) or part + 1}]"
        else:
            text += f".{shown(part)}" if text else shown(part)
    return text or "file"


def _key_of(value: Plain) -> str | None:
    key = value.get("key") if isinstance(value, dict) else None
    return key if isinstance(key, str) and len(key) <= KEY_LENGTH and re.fullmatch(SLUG, key) else None


def _inside(value: Plain, part: str | int) -> Plain:
    if isinstance(value, dict) and isinstance(part, str):
        return value.get(part)
    if isinstance(value, list) and isinstance(part, int) and part < len(value):
        return value[part]
    return None


def read_yaml(data: bytes) -> Document:
    """Parse a whole file. Raises CatalogueProblems where the text cannot be read to its end."""
    text = _decoded(data)
    reader = _Reader(yaml.parse(text, Loader=yaml.SafeLoader))
    try:
        return reader.document()
    except yaml.MarkedYAMLError as error:
        mark = error.problem_mark or error.context_mark
        what = str(error.problem or error.context)
        reader.refuse(mark.line + 1 if mark else 1, gettext_noop("not readable as YAML: %(what)s"), what=what)
    except yaml.reader.ReaderError as error:
        line = text.count("\n", 0, error.position) + 1
        message = gettext_noop("contains a character that no text may have (%(code)s)")
        reader.refuse(line, message, code=_code(error.character))


def _code(character: str | bytes | int) -> str:
    return f"U+{character if isinstance(character, int) else ord(character):04X}"


def _decoded(data: bytes) -> str:
    if len(data) > MOST_BYTES:
        message = gettext_noop("the file is larger than %(limit)s KiB")
        raise CatalogueProblems([Problem(1, "file", message, (("limit", str(MOST_BYTES // 1024)),))])
    try:
        return data.decode("utf-8-sig")
    except UnicodeDecodeError as error:
        line = data.count(b"\n", 0, error.start) + 1
        message = gettext_noop("not UTF-8 text: save the file with the encoding UTF-8")
        raise CatalogueProblems([Problem(line, "file", message)]) from error


@dataclass(slots=True)
class _Reader:
    """Builds values from the parser's events, so that nothing is unfolded before it was looked at."""

    events: Iterator[yaml.Event]
    lines: dict[Place, int] = field(default_factory=dict)
    found: list[Found] = field(default_factory=list)
    values: int = 0

    def document(self) -> Document:
        value: Plain = None
        seen = 0
        for event in self.events:
            if isinstance(event, yaml.DocumentStartEvent):
                seen += 1
                if seen > 1:
                    self.refuse(_line(event), gettext_noop("holds several documents: only one is allowed"))
            elif isinstance(event, yaml.NodeEvent):
                value = self.value(event, ())
        return Document(value, self.lines, tuple(self.found))

    def refuse(self, line: int, message: str, **values: str) -> NoReturn:
        """Give up here, with what was found before."""
        document = Document(None, self.lines, ())
        before = [document.problem(what) for what in self.found]
        raise CatalogueProblems(limited([*before, Problem(line, "file", message, tuple(values.items()))]))

    def value(self, event: yaml.Event, place: Place) -> Plain:
        self.lines.setdefault(place, _line(event))
        self._guard(event, place)
        if isinstance(event, yaml.ScalarEvent):
            return self._scalar(event, place)
        if isinstance(event, yaml.SequenceStartEvent):
            return self._list(place)
        if isinstance(event, yaml.MappingStartEvent):
            return self._mapping(place)
        self.found.append(found(place, gettext_noop("aliases are not allowed: write the value out")))
        return None

    def _guard(self, event: yaml.Event, place: Place) -> None:
        self.values += 1
        if self.values > MOST_VALUES:
            self.refuse(_line(event), gettext_noop("holds more values than a catalogue can have"))
        if len(place) > DEEPEST:
            self.refuse(_line(event), gettext_noop("is nested too deeply"))
        if getattr(event, "anchor", None) and not isinstance(event, yaml.AliasEvent):
            self.found.append(found(place, gettext_noop("anchors are not allowed: write the value out")))
        tag = getattr(event, "tag", None)
        if tag:
            self.found.append(found(place, gettext_noop("tags are not allowed: remove %(tag)s"), tag=str(tag)))

    def _scalar(self, event: yaml.ScalarEvent, place: Place) -> Plain:
        text = str(event.value)
        if event.style:  # quoted or block: always text
            return text
        if text in _NOTHING:
            return None
        if text in _TRUTH:
            return _TRUTH[text]
        if not _WHOLE_NUMBER.fullmatch(text):
            return text
        if len(text) > LONGEST_NUMBER:
            self.found.append(found(place, gettext_noop("the number is too long")))
            return 0
        return int(text)

    def _list(self, place: Place) -> list[Plain]:
        items: list[Plain] = []
        for event in self.events:
            if isinstance(event, yaml.SequenceEndEvent):
                break
            items.append(self.value(event, (*place, len(items))))
        return items

    def _mapping(self, place: Place) -> dict[str, Plain]:
        entries: dict[str, Plain] = {}
        for event in self.events:
            if isinstance(event, yaml.MappingEndEvent):
                break
            key = self._key(event, place)
            if key in entries:
                self._twice(key, _line(event), place)
                continue
            self.lines[(*place, key)] = _line(event)
            entries[key] = self.value(next(self.events), (*place, key))
        return entries

    def _key(self, event: yaml.Event, place: Place) -> str:
        if isinstance(event, yaml.ScalarEvent):
            self._guard(event, place)
            return str(event.value)
        self.refuse(_line(event), gettext_noop("the name of a field must be plain text"))

    def _twice(self, key: str, line: int, place: Place) -> None:
        """Report at the second place, and read past its value without keeping it."""
        aside = (*place, f"{key} (again)")
        self.lines[aside] = line
        self.found.append(found(aside, gettext_noop("the field stands here a second time")))
        self.value(next(self.events), aside)


def _line(event: yaml.Event) -> int:
    return event.start_mark.line + 1 if event.start_mark else 1
