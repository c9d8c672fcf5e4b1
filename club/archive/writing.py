"""Writes a club's archive row by row, as it stood at one moment, without holding up whoever writes meanwhile."""

from collections.abc import Iterator
from contextlib import contextmanager
from tempfile import TemporaryFile
from typing import IO, Any

from django.db import connection, models, transaction
from django.utils.translation import gettext_noop

from club import audit
from club.archive import contents, core, values
from club.archive.core import Plain
from club.members import Member
from club.models import Club

CHUNK = 2000
"""Rows that are in memory at a time."""


def write(club: Club, file: IO[bytes]) -> dict[str, int]:
    """Writes all of it; how many rows of each model. Nothing in it tells when: the same club gives the same file."""
    count: dict[str, int] = {}
    with _one_moment():
        own = _fields(contents.club_fields(), Club.objects.values(*_names(contents.club_fields())).get(pk=club.pk))
        for line in core.lines_of(own, _rows(club, count)):
            file.write(line)
    return count


def take_out(*, by: Member) -> IO[bytes]:
    """The archive as a file to be sent, at its beginning. Who took it out is in the record of changes, and so in it."""
    audit.note(by, gettext_noop("took the whole club out as a file"), by.club)
    file = TemporaryFile()  # noqa: SIM115 (the answer closes it)
    write(by.club, file)
    file.seek(0)
    return file


def _rows(club: Club, count: dict[str, int]) -> Iterator[tuple[str, dict[str, Plain]]]:
    for model in contents.kept_models():
        name, fields = contents.name_of(model), contents.kept_fields(model)
        for row in contents.rows(club, model).values(*_names(fields)).iterator(chunk_size=CHUNK):
            count[name] = count.get(name, 0) + 1
            yield name, _fields(fields, row)


def _names(fields: tuple[models.Field, ...]) -> list[str]:
    return [field.attname for field in fields]


def _fields(fields: tuple[models.Field, ...], row: dict[str, Any]) -> dict[str, Plain]:
    return {field.name: values.encoded(field, row[field.attname]) for field in fields}


@contextmanager
def _one_moment() -> Iterator[None]:
    """Every query inside sees the database as it was at the first. SQLite reads beside a writer as long as nobody asks
    for the write lock, which ``atomic`` would."""
    if connection.in_atomic_block:
        yield
    elif connection.vendor == "sqlite":
        with connection.cursor() as cursor:
            cursor.execute("BEGIN DEFERRED")
            try:
                yield
            finally:
                cursor.execute("COMMIT")
    else:
        with transaction.atomic():
            with connection.cursor() as cursor:
                cursor.execute("SET TRANSACTION ISOLATION LEVEL REPEATABLE READ, READ ONLY")
            yield
