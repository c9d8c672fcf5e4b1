"""The JSON Schema of an archive's lines, made from the models: ``manage.py archive_schema`` prints it."""

from typing import Any

from django.db import models

from club.archive import contents, core, values

TYPES: dict[str, dict[str, Any]] = {
    "json": {},
    "truth": {"type": "boolean"},
    "whole": {"type": "integer"},
    "float": {"type": "number"},
    "span": {"type": "integer", "$comment": "microseconds"},
    "text": {"type": "string"},
    "uuid": {"type": "string", "format": "uuid"},
    "moment": {"type": "string", "format": "date-time"},
    "date": {"type": "string", "format": "date"},
    "time": {"type": "string", "format": "time"},
    "decimal": {"type": "string", "pattern": r"^-?\d+(\.\d+)?$"},
}


def schema() -> dict[str, Any]:
    """Of one line: the header, a row of one of the models, or the end."""
    club = _object({field.name: _type(field) for field in contents.club_fields()})
    header = {"format": {"const": core.FORMAT}, "version": {"const": core.VERSION}, "club": club}
    rows = {"type": "object", "additionalProperties": {"type": "integer", "minimum": 1}}
    return {
        "$schema": "https://json-schema.org/draft/2020-12/schema",
        "title": "A line of a club's archive",
        "oneOf": [_object(header), *map(_row, contents.kept_models()), _object({"rows": rows})],
    }


def _row(model: type[models.Model]) -> dict[str, Any]:
    fields = _object({field.name: _type(field) for field in contents.kept_fields(model)})
    return _object({"model": {"const": contents.name_of(model)}, "fields": fields})


def _object(properties: dict[str, Any]) -> dict[str, Any]:
    return {
        "type": "object",
        "properties": properties,
        "required": sorted(properties),
        "additionalProperties": False,
    }


def _type(field: models.Field) -> dict[str, Any]:
    found = dict(TYPES[values.kind_of(field)])
    if field.is_relation:
        found["$comment"] = f"id of a {contents.name_of(field.related_model)}"  # type: ignore[arg-type]
    if field.null and found:
        return {"anyOf": [found, {"type": "null"}]}
    return found
