"""Reads of a club's catalogue."""

from drills.queries.pages import DrillSheet, activities, drill_sheet, lit_places, stages
from drills.queries.whole import catalogue, cover, edition, items, used

__all__ = [
    "DrillSheet",
    "activities",
    "catalogue",
    "cover",
    "drill_sheet",
    "edition",
    "items",
    "lit_places",
    "stages",
    "used",
]
