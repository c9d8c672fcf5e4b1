"""Writes of the catalogue."""

from drills.actions.files import (
    Comparison,
    adopt_edition,
    apply_draft,
    compare_draft,
    compare_edition,
    discard_draft,
    draft_import,
)
from drills.actions.store import CatalogueChanged, CatalogueExists, CatalogueRefused, load_catalogue, store_items

__all__ = [
    "CatalogueChanged",
    "CatalogueExists",
    "CatalogueRefused",
    "Comparison",
    "adopt_edition",
    "apply_draft",
    "compare_draft",
    "compare_edition",
    "discard_draft",
    "draft_import",
    "load_catalogue",
    "store_items",
]
