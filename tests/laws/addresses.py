"""Every address of the site, read from the resolver."""

from collections.abc import Iterator
from dataclasses import dataclass
from typing import Any

from django.urls import URLPattern, URLResolver, get_resolver

from club.doors import Door


@dataclass(frozen=True, slots=True)
class Address:
    name: str
    pattern: str
    arguments: tuple[str, ...]
    door: Door | None


def addresses() -> list[Address]:
    return list(_walk(get_resolver(), "", ()))


def _walk(resolver: URLResolver, before: str, arguments: tuple[str, ...]) -> Iterator[Address]:
    for part in resolver.url_patterns:
        pattern = before + str(part.pattern)
        names = (*arguments, *part.pattern.converters)
        if isinstance(part, URLResolver):
            yield from _walk(part, pattern, names)
        elif isinstance(part, URLPattern):
            yield Address(part.name or pattern, pattern, names, door_of(part.callback))


def door_of(view: Any) -> Door | None:
    return getattr(view, "door", None) or getattr(getattr(view, "cls", None), "door", None)
