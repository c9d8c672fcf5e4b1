"""Puts an archive into an installation that holds no club yet: all of it in one transaction, or nothing.

Whatever does not fit is refused with its line and place. Foreign keys are looked at when all rows are there, so their
order is no matter; ids within the file are the only ones that a row can name.
"""

from collections.abc import Iterable, Iterator, Mapping
from itertools import groupby, islice
from pathlib import Path
from typing import IO, Any

from django.core.management.color import no_style
from django.db import DataError, IntegrityError, connection, models, transaction

from club import erasure
from club.archive import contents, core, values
from club.archive.core import Refused, Row
from club.crossings import crossings
from club.models import Club, Person
from club.scope import ClubOwned

BATCH = 500
"""Rows that are in memory at a time."""


def load(path: Path, erased: Iterable[str] = ()) -> Club:
    """Loads the club and has its figures worked out again. erased: lines of a ledger of erasures, applied before
    anybody sees anything. Raises Refused, having changed nothing."""
    with transaction.atomic():
        if Club.objects.exists() or Person.objects.exists():
            raise Refused(0, "", "there is a club in this installation already; an archive needs an empty one")
        with open(path, "rb") as file:
            club = _club(_first(file))
            for model, rows in _by_model(_models_known(core.rows_of(_lines(file)))):
                _store(club, model, rows)
        _references(path)
        for fault in (*_crossing(), *contents.faults(club)):
            raise Refused(0, "", fault)
        _go_on_counting()
        learn_sizes()
        _erase(list(erased))
        contents.finish(club)
    return club


def learn_sizes() -> None:
    """PostgreSQL plans by statistics that it gathers a while after a commit: what is erased in the same transaction
    that loaded thousands of rows would be looked for row by row, for minutes."""
    if connection.vendor == "postgresql":
        with connection.cursor() as cursor:
            cursor.execute("ANALYZE")


def _erase(lines: list[str]) -> None:
    """The ledger keeps them last: a line too many in it does no harm."""
    try:
        erasure.apply_ledger(iter(lines))
    except (KeyError, TypeError, ValueError) as error:
        raise Refused(0, "the ledger of erasures", f"cannot be read: {error}") from error
    erasure.remember(lines)


def _first(file: IO[bytes]) -> bytes:
    return next(_lines(file), b"\n")


def _lines(file: IO[bytes]) -> Iterator[bytes]:
    """Never more of a line than is taken."""
    while line := file.readline(core.LONGEST + 1):
        yield line


def _club(line: bytes) -> Club:
    club = Club(**_decoded(1, contents.club_fields(), core.header_of(line), "club."))
    club.save(force_insert=True)
    return club


# ── rows ─────────────────────────────────────────────────────────────────────────────────────────────────────────────

Known = tuple[type[models.Model], Row]


def _models_known(rows: Iterable[Row]) -> Iterator[Known]:
    known = {contents.name_of(model): model for model in contents.kept_models()}
    for row in rows:
        if row.model not in known:
            raise Refused(row.line, "model", f"{core.shown(row.model)} is not known here")
        yield known[row.model], row


def _by_model(rows: Iterable[Known]) -> Iterator[tuple[type[models.Model], list[Row]]]:
    """Batches of rows of one model, in the order of the file."""
    for model, group in groupby(rows, key=lambda known: known[0]):
        while batch := [row for _model, row in islice(group, BATCH)]:
            yield model, batch


def _store(club: Club, model: type[models.Model], rows: list[Row]) -> None:
    made = [_made(club, model, row) for row in rows]
    try:
        with transaction.atomic():
            _insert(model, made)
    except (IntegrityError, DataError):
        _name_the_line(model, rows, made)
        raise


def _name_the_line(model: type[models.Model], rows: list[Row], made: list[models.Model]) -> None:
    """One row after the other, to say which of them the database does not take."""
    for row, one in zip(rows, made, strict=True):
        try:
            with transaction.atomic():
                _insert(model, [one])
        except (IntegrityError, DataError) as error:
            said = str(error).splitlines()[0]
            raise Refused(row.line, row.model, f"does not go with the rows before it: {said}") from error


def _insert(model: type[models.Model], made: list[models.Model]) -> None:
    model._default_manager.bulk_create(made)


def _made(club: Club, model: type[models.Model], row: Row) -> models.Model:
    fields = _decoded(row.line, contents.kept_fields(model), row.fields, f"{row.model}.")
    made = model(**fields, **({"club": club} if issubclass(model, ClubOwned) else {}))
    if isinstance(made, Person):
        made.set_unusable_password()
    return made


def _decoded(line: int, fields: tuple[models.Field, ...], given: Mapping[str, Any], where: str) -> dict[str, Any]:
    core.only(given, {field.name for field in fields}, line, "")
    found = {}
    for field in fields:
        try:
            found[field.attname] = values.decoded(field, given[field.name])
        except values.Wrong as error:
            raise Refused(line, f"{where}{field.name}", str(error)) from error
    return found


# ── what holds between the rows ──────────────────────────────────────────────────────────────────────────────────────


def _references(path: Path) -> None:
    """Every id that a row names is of a row in the file."""
    for model in contents.kept_models():
        for field in contents.references(model):
            target = field.related_model._default_manager.all()  # type: ignore[union-attr]
            there = target.filter(pk=models.OuterRef(field.attname))
            loose = model._default_manager.exclude(**{field.name: None}).exclude(models.Exists(there))
            first = loose.order_by("pk").values_list("pk", field.attname).first()
            if first:
                line = _line_of(path, model, first[0])
                where = f"{contents.name_of(model)}.{field.name}"
                raise Refused(line, where, f"names {first[1]}, which is not in this file")


def _line_of(path: Path, model: type[models.Model], key: Any) -> int:
    """Reads the file once more."""
    pk = model._meta.pk
    assert pk is not None
    wanted = contents.name_of(model), values.encoded(pk, key)
    with open(path, "rb") as file:
        _first(file)
        found = (row.line for row in core.rows_of(_lines(file)) if (row.model, row.fields[pk.name]) == wanted)
        return next(found, 0)


def _crossing() -> Iterator[str]:
    return (f"{found.model}.{found.field} points out of the club" for found in crossings())


def _go_on_counting() -> None:
    """The next row that is made gets a number after the loaded ones. SQLite does so by itself."""
    with connection.cursor() as cursor:
        for statement in connection.ops.sequence_reset_sql(no_style(), [*contents.kept_models()]):
            cursor.execute(statement)
