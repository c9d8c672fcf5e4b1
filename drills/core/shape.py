"""Shape of a catalogue: what the JSON Schema finds, said in words for whoever wrote the file."""

from collections.abc import Callable, Iterator
from typing import Any

import jsonschema  # type: ignore[import-untyped]  # ships no types

from drills.core.problems import FORBIDDEN, SLUG, Found, found, gettext_noop
from drills.core.schema import schema
from drills.core.yaml_text import Plain

_VALIDATOR = jsonschema.Draft202012Validator(schema())

_TYPES = {
    "string": gettext_noop("must be text (put numbers and the like in quotes)"),
    "integer": gettext_noop("must be a whole number"),
    "boolean": gettext_noop("must be true or false"),
    "array": gettext_noop("must be a list"),
    "object": gettext_noop("must be a group of named fields"),
}


def shape_problems(value: Plain) -> Iterator[Found]:
    """Everything in which the value differs from the schema; one finding for each field that is at fault."""
    for error in _VALIDATOR.iter_errors(value):
        yield from _SAYINGS.get(error.validator, _other)(error)


def _place(error: Any) -> tuple[str | int, ...]:
    return tuple(error.absolute_path)


def _type(error: Any) -> Iterator[Found]:
    yield found(_place(error), _TYPES[error.validator_value])


def _required(error: Any) -> Iterator[Found]:
    # jsonschema reports one missing field at a time and names it only in its message
    missing = next(name for name in error.validator_value if error.message.startswith(f"{name!r} "))
    yield found((*_place(error), missing), gettext_noop("is missing"))


def _unknown(error: Any) -> Iterator[Found]:
    for name in error.instance:
        if name not in error.schema["properties"]:
            yield found((*_place(error), name), gettext_noop("no such field"))


def _one_of(error: Any) -> Iterator[Found]:
    choices = ", ".join(str(choice) for choice in error.validator_value)
    yield found(_place(error), gettext_noop("must be one of: %(choices)s"), choices=choices)


def _constant(error: Any) -> Iterator[Found]:
    yield found(_place(error), gettext_noop("must be %(value)s"), value=str(error.validator_value))


def _pattern(error: Any) -> Iterator[Found]:
    if error.validator_value == SLUG:
        yield found(_place(error), gettext_noop("must be a key: small letters and digits, joined by hyphens"))
    else:
        yield found(_place(error), gettext_noop("is empty"))


def _not(error: Any) -> Iterator[Found]:
    assert error.validator_value == {"pattern": FORBIDDEN}
    yield found(_place(error), gettext_noop("contains a line break or a control character"))


def _bound(message: str) -> Callable[[Any], Iterator[Found]]:
    def say(error: Any) -> Iterator[Found]:
        yield found(_place(error), message, limit=str(error.validator_value))

    return say


def _other(error: Any) -> Iterator[Found]:
    yield found(_place(error), gettext_noop("does not fit the schema (%(rule)s)"), rule=str(error.validator))


_SAYINGS: dict[str, Callable[[Any], Iterator[Found]]] = {
    "type": _type,
    "required": _required,
    "additionalProperties": _unknown,
    "enum": _one_of,
    "const": _constant,
    "pattern": _pattern,
    "not": _not,
    "maxLength": _bound(gettext_noop("is longer than %(limit)s characters")),
    "minimum": _bound(gettext_noop("must be at least %(limit)s")),
    "maximum": _bound(gettext_noop("must be at most %(limit)s")),
    "minItems": _bound(gettext_noop("needs at least %(limit)s entries")),
    "maxItems": _bound(gettext_noop("has more than %(limit)s entries")),
    "minProperties": _bound(gettext_noop("needs at least %(limit)s entries")),
}
