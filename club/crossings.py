"""Foreign keys that cross from one club to another. There must be none."""

from collections.abc import Iterator
from dataclasses import dataclass
from functools import cache

from django.apps import apps
from django.db import connection, models

from club.scope import ClubOwned


@dataclass(frozen=True, slots=True)
class Crossing:
    """A foreign key, and how many of its rows point into another club."""

    model: str
    field: str
    rows: int


def crossings() -> list[Crossing]:
    """Every foreign key between club-owned models with rows that point into another club. One query."""
    with connection.cursor() as cursor:
        cursor.execute(_query())
        return [Crossing(*row) for row in cursor.fetchall() if row[2]]


@cache
def _query() -> str:
    quote = connection.ops.quote_name
    counts = [
        f"SELECT '{model._meta.label}', '{field.name}', COUNT(*) FROM {quote(model._meta.db_table)} AS near "
        f"{join} WHERE {near} <> {far}"
        for model in apps.get_models(include_auto_created=True)
        for field, join, near, far in _pairs(model)
    ]
    return " UNION ALL ".join(counts)


def _pairs(model: type[models.Model]) -> Iterator[tuple[models.Field, str, str, str]]:
    """A foreign key, the join to what it points to, and the two columns that must name the same club."""
    targets = [field for field in model._meta.concrete_fields if _leads_to_owned(field)]
    if issubclass(model, ClubOwned):
        for field in targets:
            yield field, _join(field, "far"), "near.club_id", "far.club_id"
    elif len(targets) == 2:  # the hidden table behind a many-to-many field: its two ends must agree
        one, other = targets
        yield other, f"{_join(one, 'one')} {_join(other, 'other')}", "one.club_id", "other.club_id"


def _leads_to_owned(field: models.Field) -> bool:
    return isinstance(field, models.ForeignKey) and issubclass(field.related_model, ClubOwned)  # type: ignore[arg-type]


def _join(field: models.Field, alias: str) -> str:
    quote, target = connection.ops.quote_name, field.related_model._meta  # type: ignore[union-attr]
    return f"JOIN {quote(target.db_table)} AS {alias} ON {alias}.{quote(target.pk.column)} = near.{quote(field.column)}"
