"""Messages as they stand in source and templates, for laws about translations."""

import ast
import re
from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path

from django.utils.translation import templatize

CALLS = {
    "_": 1,
    "gettext": 1,
    "gettext_lazy": 1,
    "gettext_noop": 1,
    "ngettext": 2,
    "ngettext_lazy": 2,
    "pgettext": 1,
    "pgettext_lazy": 1,
    "npgettext": 2,
}
IN_TEMPLATE = re.compile(r" (_|n?p?gettext)\((.*?)\) (?=\S|\s|$)", re.S)


@dataclass(frozen=True, slots=True)
class Message:
    """one: as asked for; many: its plural, or ""."""

    one: str
    many: str = ""
    context: str = ""


def in_python(source: str) -> Iterator[Message]:
    for node in ast.walk(ast.parse(source)):
        if not isinstance(node, ast.Call):
            continue
        name = getattr(node.func, "id", getattr(node.func, "attr", ""))
        if name in CALLS:
            said = [part.value for part in node.args if isinstance(part, ast.Constant) and isinstance(part.value, str)]
            yield from _message(name, said)


def _message(name: str, said: list[str]) -> Iterator[Message]:
    context = said.pop(0) if "pgettext" in name and said else ""
    if len(said) >= CALLS[name]:
        yield Message(said[0], said[1] if CALLS[name] == 2 else "", context)


def in_template(source: str) -> Iterator[Message]:
    """By Django's own rewriting of a template into calls, each of which is then read as Python."""
    for line in re.findall(
        r"(?<![\w.])(?:_|n?p?gettext)\((?:[^()'\"]|'(?:\\.|[^'\\])*'|\"(?:\\.|[^\"\\])*\")*\)", templatize(source)
    ):
        try:
            yield from in_python(line)
        except SyntaxError as error:
            raise ValueError(line) from error


def in_file(path: Path) -> Iterator[Message]:
    text = path.read_text(encoding="utf-8")
    yield from in_python(text) if path.suffix == ".py" else in_template(text)
