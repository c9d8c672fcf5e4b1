"""Catalogue ⇄ plain values (what YAML and JSON hold), led by the dataclasses, so that the two cannot drift apart.

What may be left out reads as no, none or empty: a flag, an optional key, a list, a text. `surfaces` is written as a
mapping (surface: verdict) and steps of the run strip as numbers, because coaches read the file.
"""

from dataclasses import MISSING, fields, is_dataclass
from enum import StrEnum
from functools import cache
from types import NoneType, UnionType
from typing import Any, get_args, get_origin, get_type_hints

from drills.core.catalogue import FORMAT, Catalogue, SurfaceRule
from drills.core.yaml_text import Plain


def types_of(kind: Any) -> dict[str, Any]:
    """Field name → type of a dataclass, in its order."""
    return _types_of(kind)


@cache
def _types_of(kind: Any) -> dict[str, Any]:
    hints = get_type_hints(kind)
    return {entry.name: hints[entry.name] for entry in fields(kind)}


def item_of(kind: Any) -> Any:
    """X of `tuple[X, ...]`; None for any other type."""
    return get_args(kind)[0] if get_origin(kind) is tuple else None


def optional_of(kind: Any) -> Any:
    """X of `X | None`; None for any other type."""
    if get_origin(kind) is not UnionType:
        return None
    return next(part for part in get_args(kind) if part is not NoneType)


def blank(kind: Any) -> Any:
    """What a field of this type is when the file leaves it out; MISSING where it must be given."""
    if item_of(kind):
        return ()
    if optional_of(kind):
        return None
    return {bool: False, str: ""}.get(kind, MISSING)


def catalogue_from_plain(value: Plain) -> Catalogue:
    """Build from values that have passed the schema and the checks."""
    if not isinstance(value, dict):
        raise TypeError("a catalogue is a mapping")
    built = _build(Catalogue, {key: part for key, part in value.items() if key != "format"})
    assert isinstance(built, Catalogue)
    return built


def catalogue_to_plain(catalogue: Catalogue) -> dict[str, Plain]:
    return {"format": FORMAT, **_fields_to_plain(catalogue)}


def _build(kind: Any, value: Any) -> Any:
    if item := item_of(kind):
        return _build_items(item, value)
    if inner := optional_of(kind):
        return None if value is None else _build(inner, value)
    if is_dataclass(kind) and isinstance(kind, type):
        return kind(**{name: _field(kind, name, inner, value) for name, inner in types_of(kind).items()})
    if isinstance(kind, type) and issubclass(kind, StrEnum):
        return kind(str(value))
    return value


def _build_items(item: Any, value: Any) -> tuple[Any, ...]:
    if item is SurfaceRule:
        names = types_of(SurfaceRule)
        return tuple(
            SurfaceRule(names["surface"](surface), names["verdict"](verdict)) for surface, verdict in value.items()
        )
    return tuple(_build(item, part) for part in value)


def _field(kind: type[Any], name: str, inner: Any, value: dict[str, Plain]) -> Any:
    if name in value and value[name] is not None:
        return _build(inner, value[name])
    default = next(entry.default for entry in fields(kind) if entry.name == name)
    return blank(inner) if default is MISSING else default


def _fields_to_plain(part: Any) -> dict[str, Plain]:
    """In the order of the dataclass, without what would be read back the same if left out."""
    plain: dict[str, Plain] = {}
    for entry in fields(part):
        value = getattr(part, entry.name)
        kind = types_of(type(part))[entry.name]
        left_out = blank(kind) if entry.default is MISSING else entry.default
        if value != left_out:
            plain[entry.name] = _to_plain(value)
    return plain


def _to_plain(value: Any) -> Plain:
    if isinstance(value, tuple):
        if value and isinstance(value[0], SurfaceRule):
            return {str(rule.surface): str(rule.verdict) for rule in value}
        return [_to_plain(item) for item in value]
    if is_dataclass(value):
        return _fields_to_plain(value)
    if isinstance(value, StrEnum):
        return int(value) if value.isdigit() else str(value)
    assert isinstance(value, str | int)
    return value
