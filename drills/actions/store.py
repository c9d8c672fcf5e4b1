"""The one way in which a club's catalogue is written: all of it at once, in one transaction, or nothing."""

from collections.abc import Iterable, Mapping
from typing import Any

from django.db import transaction
from django.utils import timezone

from club import audit, duties
from club.members import Member
from club.models import Club
from drills.actions.rows import Writer
from drills.core import catalogue as values
from drills.core.items import Fields, ItemId, Items, Kind, Misfit, catalogue_of, misfits, of_kind, stamp, take_apart
from drills.core.merge import Difference, What, differences
from drills.models import CatalogueCover, CatalogueEdition, CatalogueItem, Drill, Link
from drills.queries import whole


class CatalogueExists(Exception):
    """The club has a catalogue already; a new edition is merged, not loaded."""


class CatalogueChanged(Exception):
    """The catalogue was changed, or something that is to go was used, since it was read; nothing was stored."""


class CatalogueRefused(ValueError):
    """What was to be stored is no catalogue; nothing was. misfits: every reason."""

    def __init__(self, problems: Iterable[Misfit]) -> None:
        self.misfits = tuple(problems)
        super().__init__("\n".join(f"{one.item}: {one.problem.message}" for one in self.misfits))


def load_catalogue(*, club: Club, catalogue: values.Catalogue, source: str) -> None:
    """Gives an empty club a whole catalogue. source: the file's text, kept as the base of later updates.

    Raises CatalogueExists, having changed nothing.
    """
    with transaction.atomic():
        if CatalogueEdition.objects.for_club(club).exists():
            raise CatalogueExists
        Writer(club, catalogue).write()
        CatalogueEdition.objects.create(club=club, version=catalogue.version, loaded_at=timezone.now(), source=source)


def store_items(*, by: Member, items: Items, read: str) -> tuple[Difference, ...]:
    """Makes these items the club's catalogue: changes, adds, and takes out what is not among them; what it changed.

    What old records name must be among them, retired if need be (``core.items.take_out``). read: the stamp of the
    items that the change was made on. Raises CatalogueChanged and CatalogueRefused, having changed nothing.
    """
    refused = misfits(items)
    if refused:
        raise CatalogueRefused(refused)
    with transaction.atomic():
        _lock(by.club)
        before = whole.items(by)
        if stamp(before) != read or (set(before) - set(items)) & whole.used(by):
            raise CatalogueChanged
        catalogue = catalogue_of(items)
        after = take_apart(catalogue)
        changed = differences(before, before, after)
        subjects = _subjects(by.club, changed)
        Writer(by.club, catalogue).write()
        _note(by, changed, before, after, subjects | _subjects(by.club, changed))
        _recount(by.club, before, after)
    return changed


def _lock(club: Club) -> None:
    """One change of a club's catalogue at a time."""
    front = whole.cover(club)
    CatalogueCover.objects.bulk_create(
        [CatalogueCover(club=club, name=front.name, version=front.version)], ignore_conflicts=True
    )
    list(CatalogueCover.objects.for_club(club).select_for_update().values_list("pk"))


# ── who changed what ─────────────────────────────────────────────────────────────────────────────────────────────────

KINDS = {
    What.ADDED: "catalogue.added",
    What.CHANGED: "catalogue.changed",
    What.REMOVED: "catalogue.removed",
    What.ORDER: "catalogue.order",
}

Subjects = Mapping[ItemId, Any]


def _subjects(club: Club, changed: Iterable[Difference]) -> dict[ItemId, Any]:
    """The rows of the changed items, as far as they are there."""
    rows: dict[ItemId, Any] = {}
    by_kind: dict[Kind, list[str]] = {}
    for difference in changed:
        by_kind.setdefault(difference.item.kind, []).append(difference.item.key)
    for kind, keys in by_kind.items():
        if kind in whole.MODELS:
            model: type[CatalogueItem] = whole.MODELS[kind]
            rows |= {ItemId(kind, row.key): row for row in model.objects.for_club(club).filter(key__in=keys)}
        elif kind is Kind.LINK:
            rows |= {whole.item_id(row): row for row in _links(club)}
    return rows


def _links(club: Club) -> Iterable[Link]:
    return Link.objects.for_club(club).select_related("fault", "cause", "to")


def _note(by: Member, changed: Iterable[Difference], before: Items, after: Items, subjects: Subjects) -> None:
    front = whole.cover(by.club)
    for difference in changed:
        old, new = before.get(difference.item), after.get(difference.item)
        said = {"item": str(difference.item), **_old_and_new(difference, old, new)}
        audit.note(by, KINDS[difference.what], subjects.get(difference.item, front), said)


def _old_and_new(difference: Difference, old: Fields | None, new: Fields | None) -> dict[str, Any]:
    if difference.what is What.CHANGED:
        return {"fields": {field.name: [field.ours, field.theirs] for field in difference.fields}}
    return {"old": old, "new": new} if difference.what is not What.ORDER else {}


# ── figures go by the gate of today ──────────────────────────────────────────────────────────────────────────────────


def _recount(club: Club, before: Items, after: Items) -> None:
    """Asks that the figures of drills are made anew where their gate, or the order of the run, is another."""
    old, new = of_kind(before, Kind.DRILL), of_kind(after, Kind.DRILL)
    if _run_order(before) == _run_order(after):
        new = {key: fields for key, fields in new.items() if set(_gate(fields)) != set(_gate(old.get(key, fields)))}
    ids = Drill.objects.for_club(club).filter(key__in=[key for key in new if key in old]).values_list("pk", flat=True)
    duties.leave("drill_counts", club, [str(pk) for pk in ids])
    if _way_up(old) != _way_up(of_kind(after, Kind.DRILL)):
        duties.leave("progression", club, ["all"])


def _way_up(drills: Mapping[str, Fields]) -> dict[str, tuple[Any, ...]]:
    """What opening goes by: risk class, needs and entry drill of each drill."""
    return {key: tuple(fields.get(name) for name in ("risk", "needs", "entry_drill")) for key, fields in drills.items()}


def _gate(fields: Fields) -> list[str]:
    gate = fields.get("gate")
    return [key for key in gate if isinstance(key, str)] if isinstance(gate, list) else []


def _run_order(items: Items) -> list[tuple[str, Any]]:
    return [(key, fields.get("phase")) for key, fields in of_kind(items, Kind.CHECKPOINT).items()]
