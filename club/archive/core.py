"""Lines of an archive: one JSON value each, written always the same way and read strictly. No Django in here.

The first line is the header, the last says how many rows of each kind there were; so a file that was cut off shows.
"""

import json
import math
from collections import Counter
from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass
from typing import Any

FORMAT, VERSION = "sixmark-club", 1
LONGEST = 8 * 1024 * 1024
"""Bytes of a line. The longest that is written, a club's catalogue edition, has some 150,000."""
DEEPEST = 60
"""Lists and objects within each other. What is written nests ten deep at most."""

Plain = Any


class Refused(Exception):
    """Nothing of the file was loaded. line: from 1, 0 for the file as a whole; where: the place within the line."""

    def __init__(self, line: int, where: str, reason: str) -> None:
        self.line, self.where, self.reason = line, where, reason
        place = ", ".join(part for part in (f"line {line}" if line else "", where) if part)
        super().__init__(f"{place}: {reason}" if place else reason)


@dataclass(frozen=True, slots=True)
class Row:
    """One row. model: such as ``drills.drill``; fields: by name, without the club."""

    line: int
    model: str
    fields: Mapping[str, Plain]


def written(value: Plain) -> bytes:
    """A line. The same value gives the same bytes, whatever database it came from."""
    text = json.dumps(value, ensure_ascii=False, sort_keys=True, separators=(",", ":"), allow_nan=False)
    return text.encode() + b"\n"


def lines_of(club: Mapping[str, Plain], rows: Iterable[tuple[str, Mapping[str, Plain]]]) -> Iterator[bytes]:
    """The whole file. rows: model and fields, in the order in which they are to stand."""
    yield written({"club": dict(club), "format": FORMAT, "version": VERSION})
    count: Counter[str] = Counter()
    for model, fields in rows:
        count[model] += 1
        yield written({"fields": dict(fields), "model": model})
    yield written({"rows": dict(count)})


def header_of(line: bytes) -> Mapping[str, Plain]:
    """The club's own fields. Raises Refused: no archive, or of another version."""
    value = parsed(line, 1)
    if not isinstance(value, dict) or value.get("format") != FORMAT:
        raise Refused(1, "format", f"this is no archive of a club: it does not begin with format {FORMAT!r}")
    if type(value.get("version")) is not int or value["version"] != VERSION:
        raise Refused(
            1, "version", f"this server reads version {VERSION}, the file is of {shown(value.get('version'))}"
        )
    only(value, {"club", "format", "version"}, 1, "")
    if not isinstance(value["club"], dict):
        raise Refused(1, "club", "must be an object")
    return value["club"]


def rows_of(lines: Iterable[bytes]) -> Iterator[Row]:
    """Every row after the header. Raises Refused, after the last row too if they are not as many as the file says."""
    count: Counter[str] = Counter()
    end: Mapping[str, Plain] | None = None
    number = 1
    for number, line in enumerate(lines, start=2):
        if end is not None:
            raise Refused(number, "", "stands after the line that ends the file")
        value = parsed(line, number)
        if isinstance(value, dict) and set(value) == {"rows"}:
            end = value["rows"]
            continue
        yield (row := _row(value, number))
        count[row.model] += 1
    if end is None:
        raise Refused(number, "", "the file ends too early: its last line, which counts the rows, is missing")
    if end != count:
        differing = sorted(set(count) ^ set(end) | {key for key in count if count[key] != end.get(key)}) if isinstance(
            end, dict) else []  # fmt: skip
        raise Refused(number, "rows", f"the file does not hold as many rows as it says: {', '.join(differing)}")


def _row(value: Plain, number: int) -> Row:
    if not isinstance(value, dict):
        raise Refused(number, "", "must be an object with model and fields")
    only(value, {"fields", "model"}, number, "")
    model, fields = value["model"], value["fields"]
    if not isinstance(model, str):
        raise Refused(number, "model", "must be a text")
    if not isinstance(fields, dict):
        raise Refused(number, "fields", "must be an object")
    return Row(number, model, fields)


def only(value: Mapping[str, Plain], names: set[str], line: int, where: str) -> None:
    """Just these names, neither more nor fewer."""
    for name in sorted(set(value) - names):
        raise Refused(line, where or shown(name), "is not known here")
    for name in sorted(names - set(value)):
        raise Refused(line, where or name, "is missing")


def parsed(line: bytes, number: int) -> Plain:
    """One line as plain values. Raises Refused."""
    if len(line) > LONGEST:
        raise Refused(number, "", f"is longer than {LONGEST} bytes")
    if not line.endswith(b"\n"):
        raise Refused(number, "", "the file ends in the middle of a line")
    try:
        text = line.decode("utf-8")
    except UnicodeDecodeError as error:
        raise Refused(number, f"byte {error.start + 1}", "is not UTF-8") from error
    try:
        return json.loads(text, object_pairs_hook=_once, parse_constant=_no_number, parse_float=_number)
    except RecursionError as error:
        raise Refused(number, "", f"nests more than {DEEPEST} lists and objects within each other") from error
    except ValueError as error:
        raise Refused(number, "", f"is not JSON: {error}") from error


def _once(pairs: list[tuple[str, Plain]]) -> dict[str, Plain]:
    found = dict(pairs)
    if len(found) != len(pairs):
        raise ValueError("a name stands in one object twice")
    return found


def _no_number(text: str) -> Plain:
    raise ValueError(f"{text} is not a number")


def _number(text: str) -> float:
    value = float(text)
    if not math.isfinite(value):
        raise ValueError("a number is too large")
    return value


def shown(value: Plain) -> str:
    """A value as a message quotes it: short."""
    text = repr(value)
    return text if len(text) <= 60 else f"{text[:57]}..."
