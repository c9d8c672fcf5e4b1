"""What the tests of archives share: a club's archive as bytes, an empty installation, a file that was changed."""

import io
import json
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import Any

from django.apps import apps
from django.db import connection, transaction

from club import archive
from club.models import Club
from tests.laws.source import APPS

Line = dict[str, Any]


def taken(club: Club) -> bytes:
    file = io.BytesIO()
    archive.write(club, file)
    return file.getvalue()


@contextmanager
def installation_without_a_club() -> Iterator[None]:
    """Inside, every table of ours is empty; afterwards all is as it was."""
    with transaction.atomic():
        with connection.cursor() as cursor:
            for model in apps.get_models(include_auto_created=True):
                if model.__module__.split(".")[0] in APPS:
                    cursor.execute(f"DELETE FROM {connection.ops.quote_name(model._meta.db_table)}")
        yield
        transaction.set_rollback(True)


def lines_of(source: bytes) -> list[Line]:
    return [json.loads(line) for line in source.splitlines()]


def text_of(lines: list[Line]) -> bytes:
    return b"".join(json.dumps(line).encode() + b"\n" for line in lines)


def saved(folder: Path, source: bytes) -> Path:
    path = folder / "club.jsonl"
    path.write_bytes(source)
    return path


def changed(source: bytes, change: Callable[[list[Line]], Any]) -> bytes:
    lines = lines_of(source)
    change(lines)
    return text_of(lines)
