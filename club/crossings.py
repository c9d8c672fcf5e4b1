"""Foreign keys that cross from one club to another. There must be none."""

from dataclasses import dataclass

from django.apps import apps
from django.db import models
from django.db.models import F

from club.scope import ClubOwned


@dataclass(frozen=True, slots=True)
class Crossing:
    model: str
    field: str
    rows: int


def crossings() -> list[Crossing]:
    """Every foreign key between club-owned models, with how many of its rows point into another club."""
    found = []
    for model in apps.get_models(include_auto_created=True):
        for near, far in _pairs(model):
            rows = model._default_manager.exclude(**{near: F(far)}).exclude(**{f"{far}__isnull": True}).count()
            if rows:
                found.append(Crossing(model._meta.label, far, rows))
    return found


def _pairs(model: type[models.Model]) -> list[tuple[str, str]]:
    """Field paths to two clubs that must be the same one."""
    targets = [
        field
        for field in model._meta.concrete_fields
        if isinstance(field, models.ForeignKey) and issubclass(field.related_model, ClubOwned)  # type: ignore[arg-type]
    ]
    if issubclass(model, ClubOwned):
        return [("club_id", f"{field.name}__club_id") for field in targets]
    # The hidden table behind a many-to-many field: its two ends must agree.
    return [(f"{a.name}__club_id", f"{b.name}__club_id") for a, b in zip(targets, targets[1:], strict=False)]
