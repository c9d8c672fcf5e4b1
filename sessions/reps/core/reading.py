"""Strict readers of JSON values: each returns the value or raises ``Refused`` with the field and what was wrong."""

import re
from collections.abc import Callable, Mapping
from dataclasses import dataclass, field
from datetime import UTC, datetime
from typing import Any, TypeVar
from uuid import UUID

T = TypeVar("T")
Reader = Callable[[Any], T]

_UUID = re.compile(r"[0-9a-f]{8}(-[0-9a-f]{4}){3}-[0-9a-f]{12}", re.IGNORECASE | re.ASCII)
_TIME = re.compile(r"\d{4}-\d\d-\d\d[Tt ]\d\d:\d\d(:\d\d(\.\d{1,6}\d*)?)?([Zz]|[+-]\d\d:?\d\d)", re.ASCII)
_KEY = re.compile(r"[A-Za-z0-9_-]{1,60}", re.ASCII)
FIRST_YEAR, LAST_YEAR = 2000, 2099


@dataclass(frozen=True, slots=True)
class Problem:
    """Why something cannot be used. reason: a code of ``sessions.reps.words``; field: where; limit: what is allowed."""

    reason: str
    field: str = ""
    limit: str = ""


class Refused(Exception):
    """Carries a Problem to whoever answers."""

    def __init__(self, reason: str, field: str = "", limit: object = "") -> None:
        super().__init__(reason, field, limit)
        self.problem = Problem(reason, field, str(limit))


@dataclass(slots=True)
class Fields:
    """The fields of one JSON object. Each is taken once; ``done`` refuses what nobody took."""

    values: Mapping[str, Any]
    taken: set[str] = field(default_factory=set)

    def need(self, name: str, read: Reader[T]) -> T:
        if name not in self.values:
            raise Refused("missing", name)
        return self._read(name, read)

    def maybe(self, name: str, read: Reader[T]) -> T | None:
        """None if the field is absent; null is not a way to leave it out."""
        return self._read(name, read) if name in self.values else None

    def _read(self, name: str, read: Reader[T]) -> T:
        self.taken.add(name)
        try:
            return read(self.values[name])
        except Refused as refused:
            raise Refused(refused.problem.reason, name, refused.problem.limit) from None

    def done(self) -> None:
        for name in self.values:
            if name not in self.taken:
                raise Refused("unknown_field", shown(name))


def shown(value: object) -> str:
    """A stranger's text made fit for a message."""
    return str(value).encode("ascii", "replace").decode("ascii").replace("\x00", "?")[:60]


def an_object(value: Any) -> Fields:
    if not isinstance(value, dict):
        raise Refused("not_an_object")
    return Fields(value)


def a_bool(value: Any) -> bool:
    if not isinstance(value, bool):
        raise Refused("not_true_or_false")
    return value


def a_number(low: int, high: int) -> Reader[int]:
    def read(value: Any) -> int:
        if isinstance(value, bool) or not isinstance(value, int):
            raise Refused("not_a_number")
        if not low <= value <= high:
            raise Refused("out_of_range", limit=f"{low} … {high}")
        return value

    return read


def a_uuid(value: Any) -> UUID:
    if not isinstance(value, str) or not _UUID.fullmatch(value):
        raise Refused("not_an_id")
    return UUID(value)


def a_key(value: Any) -> str:
    if not isinstance(value, str) or not _KEY.fullmatch(value):
        raise Refused("not_a_key")
    return value


def one_of(*words: str) -> Reader[str]:
    def read(value: Any) -> str:
        if not isinstance(value, str) or value not in words:
            raise Refused("not_one_of", limit=", ".join(words))
        return value

    return read


def a_text(longest: int, empty: bool = False) -> Reader[str]:
    """Text that every database keeps: no NUL, no half of a surrogate pair."""

    def read(value: Any) -> str:
        if not isinstance(value, str):
            raise Refused("not_text")
        if len(value) > longest:
            raise Refused("too_long", limit=longest)
        if "\x00" in value or any("\ud800" <= char <= "\udfff" for char in value):
            raise Refused("bad_characters")
        if not empty and not value.strip():
            raise Refused("empty")
        return value

    return read


def a_time(value: Any) -> datetime:
    """An ISO 8601 moment with its offset, as UTC."""
    if not isinstance(value, str) or not _TIME.fullmatch(value):
        raise Refused("not_a_time")
    try:
        moment = datetime.fromisoformat(value.upper()).astimezone(UTC)
    except (ValueError, OverflowError):
        raise Refused("not_a_time") from None
    if not FIRST_YEAR <= moment.year <= LAST_YEAR:
        raise Refused("not_a_time")
    return moment


def keys(most: int) -> Reader[frozenset[str]]:
    """A list of different keys."""

    def read(value: Any) -> frozenset[str]:
        if not isinstance(value, list):
            raise Refused("not_a_list")
        if len(value) > most:
            raise Refused("too_many", limit=most)
        found = frozenset(a_key(item) for item in value)
        if len(found) < len(value):
            raise Refused("repeated")
        return found

    return read


def counts(most: int, highest: int) -> Reader[tuple[tuple[str, int], ...]]:
    """An object of key → how often, by key."""

    def read(value: Any) -> tuple[tuple[str, int], ...]:
        if not isinstance(value, dict):
            raise Refused("not_an_object")
        if len(value) > most:
            raise Refused("too_many", limit=most)
        number = a_number(1, highest)
        return tuple(sorted((a_key(key), number(times)) for key, times in value.items()))

    return read
