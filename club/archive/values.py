"""A field's value as JSON, and back: the same text whatever the database, and nothing else is taken."""

from collections.abc import Callable
from datetime import UTC, date, datetime, time, timedelta
from decimal import Decimal, InvalidOperation
from typing import Any
from uuid import UUID

from django.core.exceptions import ValidationError
from django.db import models

from club.archive.core import DEEPEST, Plain, shown

Field = models.Field


class Wrong(ValueError):
    """The value does not fit the field; the text says why."""


def kind_of(field: Field) -> str:
    """Which of the kinds below a field is. Raises TypeError for a kind of field that no archive knows."""
    field = target_of(field)
    for classes, kind in KINDS:
        if isinstance(field, classes):
            return kind
    raise TypeError(f"an archive cannot hold {field.model._meta.label}.{field.name}, a {type(field).__name__}")


def target_of(field: Field) -> Field:
    """The field whose values a foreign key holds."""
    while field.is_relation:
        field = field.target_field  # type: ignore[attr-defined]
    return field


KINDS: tuple[tuple[tuple[type, ...], str], ...] = (
    ((models.JSONField,), "json"),
    ((models.BooleanField,), "truth"),
    ((models.UUIDField,), "uuid"),
    ((models.DateTimeField,), "moment"),
    ((models.DateField,), "date"),
    ((models.TimeField,), "time"),
    ((models.DurationField,), "span"),
    ((models.DecimalField,), "decimal"),
    ((models.FloatField,), "float"),
    ((models.IntegerField,), "whole"),
    ((models.CharField, models.TextField), "text"),
)


def encoded(field: Field, value: Any) -> Plain:
    """value: as the model holds it."""
    if value is None:
        return None
    kind = kind_of(field)
    if kind == "decimal":
        return f"{value:.{target_of(field).decimal_places}f}"  # type: ignore[attr-defined]
    if kind == "moment":
        return value.astimezone(UTC).isoformat(timespec="microseconds").replace("+00:00", "Z")
    if kind == "span":
        return value // timedelta(microseconds=1)
    if kind in ("date", "time"):
        return value.isoformat()
    return str(value) if kind == "uuid" else value


def decoded(field: Field, value: Plain) -> Any:
    """What the model is to hold. Raises Wrong."""
    if value is None:
        if field.null:
            return None
        raise Wrong("must not be null")
    found = READ[kind_of(field)](value)
    if field.choices and found not in ("", *dict(field.flatchoices)):
        raise Wrong(f"{shown(value)} is not one of {', '.join(str(key) for key, _label in field.flatchoices)}")
    try:
        if found != "":
            target_of(field).run_validators(found)
    except ValidationError as error:
        raise Wrong("; ".join(error.messages)) from error
    return found


def _of(*types: type) -> Callable[[Plain], Any]:
    def read(value: Plain) -> Any:
        if type(value) not in types:
            raise Wrong(f"{shown(value)} is not {NAMES[types[0]]}")
        return value

    return read


NAMES = {bool: "true or false", int: "a whole number", float: "a number", str: "a text"}


def _text(value: Plain) -> str:
    text: str = _of(str)(value)
    if "\0" in text or any("\ud800" <= sign <= "\udfff" for sign in text):
        raise Wrong("holds a sign that no text has")
    return text


def _json(value: Plain, depth: int = DEEPEST) -> Plain:
    """A value that every database keeps: no text in it with signs that are none, and not too deep."""
    if not depth:
        raise Wrong(f"nests more than {DEEPEST} lists and objects within each other")
    if isinstance(value, str):
        return _text(value)
    if isinstance(value, dict):
        return {_text(key): _json(item, depth - 1) for key, item in value.items()}
    return [_json(item, depth - 1) for item in value] if isinstance(value, list) else value


def _parsed(make: Callable[[str], Any], what: str) -> Callable[[Plain], Any]:
    """Takes the one way in which such a value is written."""

    def read(value: Plain) -> Any:
        text = _text(value)
        try:
            return make(text)
        except (ValueError, InvalidOperation) as error:
            raise Wrong(f"{shown(value)} is not {what}") from error

    return read


def _decimal(text: str) -> Decimal:
    value = Decimal(text)
    if not value.is_finite() or "e" in text.lower():
        raise ValueError
    return value


def _span(microseconds: int) -> timedelta:
    """A span that the database holds, too."""
    if abs(microseconds) >= 2**63:
        raise Wrong(f"{shown(microseconds)} is too long a time")
    return timedelta(microseconds=microseconds)


def _moment(text: str) -> datetime:
    value = datetime.fromisoformat(text)
    if not text.endswith("Z"):
        raise ValueError
    return value


READ: dict[str, Callable[[Plain], Any]] = {
    "json": _json,
    "truth": _of(bool),
    "whole": _of(int),
    "span": lambda value: _span(_of(int)(value)),
    "float": lambda value: float(_of(float, int)(value)),
    "text": _text,
    "uuid": _parsed(UUID, "an id"),
    "moment": _parsed(_moment, "a moment in UTC such as 2026-03-02T17:30:00.000000Z"),
    "date": _parsed(date.fromisoformat, "a date such as 2026-03-02"),
    "time": _parsed(time.fromisoformat, "a time such as 17:30:00"),
    "decimal": _parsed(_decimal, "a decimal number"),
}
