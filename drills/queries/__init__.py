"""Reads of a club's catalogue."""

from drills.queries.pages import (
    DrillSheet,
    DrillState,
    MapDrill,
    Progression,
    activities,
    drill_sheet,
    lit_places,
    parts,
    progress_map,
    stages,
)
from drills.queries.whole import catalogue, cover, edition, item_id, items, used

__all__ = [
    "DrillSheet",
    "DrillState",
    "MapDrill",
    "Progression",
    "activities",
    "catalogue",
    "cover",
    "drill_sheet",
    "edition",
    "item_id",
    "items",
    "lit_places",
    "parts",
    "progress_map",
    "stages",
    "used",
]
