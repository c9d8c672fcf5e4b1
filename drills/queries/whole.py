"""A club's whole catalogue: rows to values, and which of its items old records name."""

from collections import defaultdict
from typing import Any, TypeVar

from django.db import models

from club.members import Member
from club.models import Club
from drills.core import catalogue as values
from drills.core.items import Fields, ItemId, Kind, take_apart
from drills.core.plain import types_of
from drills.models import (
    Activity,
    Adjustment,
    CatalogueCover,
    CatalogueEdition,
    CatalogueItem,
    Cause,
    Checkpoint,
    Drill,
    DrillCheckpoint,
    Fault,
    Link,
    LoadClass,
    Need,
    Remedy,
    SafetyText,
    Stage,
)

MODELS: dict[Kind, type[CatalogueItem]] = {
    Kind.STAGE: Stage,
    Kind.LOAD_CLASS: LoadClass,
    Kind.SAFETY: SafetyText,
    Kind.ADJUSTMENT: Adjustment,
    Kind.CHECKPOINT: Checkpoint,
    Kind.FAULT: Fault,
    Kind.CAUSE: Cause,
    Kind.DRILL: Drill,
    Kind.ACTIVITY: Activity,
}

Row = TypeVar("Row", bound=models.Model)


def catalogue(member: Member) -> values.Catalogue:
    """All of the member's club's catalogue, in the order of the file. Sixteen queries, whatever its size."""
    return of_club(member.club)


def of_club(club: Club) -> values.Catalogue:
    """The same, for whoever acts for the club. Raises ValueError, KeyError or TypeError for rows that hold no items."""
    return _Reader(club).read()


def items(member: Member) -> dict[ItemId, Fields]:
    """The same, taken apart."""
    return take_apart(catalogue(member))


def cover(club: Club) -> CatalogueCover:
    """Name and edition; of a club that was never given a catalogue, its own name and edition 1 (not stored)."""
    row = CatalogueCover.objects.for_club(club).first()
    return row or CatalogueCover(club=club, name=club.name[:80], version=1)


def edition(club: Club) -> CatalogueEdition | None:
    """The shipped edition that the club took last."""
    return CatalogueEdition.objects.for_club(club).order_by("-version").first()


def item_id(row: models.Model) -> ItemId:
    """The item that a row holds."""
    if isinstance(row, Link):
        source = row.fault or row.cause
        return ItemId(Kind.LINK, f"{source.key if source else ''}>{row.to.key}")
    kind = next(kind for kind, model in MODELS.items() if isinstance(row, model))
    assert isinstance(row, CatalogueItem)
    return ItemId(kind, row.key)


class _Reader:
    """Reads each table once and joins in memory, so that the number of queries does not grow with the catalogue."""

    def __init__(self, club: Club) -> None:
        self.club = club

    def rows(self, model: type[Row], *order: str) -> list[Row]:
        return list(model.objects.for_club(self.club).order_by(*order or ("order", "pk")))  # type: ignore[attr-defined]

    def named(self, model: type[CatalogueItem]) -> list[CatalogueItem]:
        """Rows of a kind that is never retired in a file: a row kept for old records only is not part of it."""
        return [row for row in self.rows(model) if not row.retired]

    def read(self) -> values.Catalogue:
        front = cover(self.club)
        self._keys()
        self._remedies()
        return values.Catalogue(
            version=front.version,
            name=front.name,
            stages=self.plain(Stage, values.Stage),
            load_classes=self.plain(LoadClass, values.LoadClass),
            safety=self.plain(SafetyText, values.SafetyText),
            adjustments=tuple(_value(values.Adjustment, row) for row in self.adjustments),
            checkpoints=self._checkpoints(),
            causes=tuple(_value(values.Cause, row) for row in self.causes),
            links=self._links(),
            drills=self._drills(),
            activities=self._activities(),
        )

    def plain(self, model: type[CatalogueItem], kind: type[Any]) -> tuple[Any, ...]:
        return tuple(_value(kind, row) for row in self.named(model))

    def _keys(self) -> None:
        self.adjustments, self.causes = self.rows(Adjustment), self.named(Cause)
        self.checkpoints, self.faults, self.drills = self.rows(Checkpoint), self.rows(Fault), self.rows(Drill)
        self.key: dict[tuple[type[models.Model], int | None], str] = {
            (type(row), row.pk): row.key
            for rows in (self.adjustments, self.causes, self.checkpoints, self.faults, self.drills)
            for row in rows
        }

    def _remedies(self) -> None:
        self.by_fault: dict[int, list[values.Remedy]] = defaultdict(list)
        self.by_link: dict[int, values.Remedy] = {}
        for row in self.rows(Remedy):
            remedy = values.Remedy(
                self.key.get((Drill, row.drill_id)), self.key.get((Adjustment, row.adjustment_id)), row.note
            )
            if row.fault_id:
                self.by_fault[row.fault_id].append(remedy)
            elif row.link_id:
                self.by_link[row.link_id] = remedy

    def _checkpoints(self) -> tuple[values.Checkpoint, ...]:
        faults: dict[int, list[values.Fault]] = defaultdict(list)
        for row in self.faults:
            cues = {"cues": tuple(row.cues), "remedies": tuple(self.by_fault[row.pk])}
            faults[row.checkpoint_id].append(_value(values.Fault, row, **cues))
        return tuple(_value(values.Checkpoint, row, faults=tuple(faults[row.pk])) for row in self.checkpoints)

    def _links(self) -> tuple[values.Link, ...]:
        return tuple(
            _value(
                values.Link,
                row,
                fault=self.key.get((Fault, row.fault_id)),
                cause=self.key.get((Cause, row.cause_id)),
                to=self.key[Fault, row.to_id],
                mend=self.by_link.get(row.pk),
            )
            for row in self.rows(Link)
        )

    def _drills(self) -> tuple[values.Drill, ...]:
        stages = dict(Stage.objects.for_club(self.club).values_list("pk", "key"))
        self.loads = dict(LoadClass.objects.for_club(self.club).values_list("pk", "key"))
        needs, offers = defaultdict(list), defaultdict(list)
        for need in self.rows(Need):
            needs[need.drill_id].append(self.key[Drill, need.needed_id])
        for offer in self.rows(DrillCheckpoint):
            offers[offer.drill_id].append(offer)
        return tuple(
            _value(
                values.Drill,
                row,
                stage=stages[row.stage_id],
                load=self.loads.get(row.load_id),
                entry_drill=self.key.get((Drill, row.entry_drill_id)),
                needs=tuple(needs[row.pk]),
                checkpoints=tuple(self._offer(offer) for offer in offers[row.pk]),
                gate=self._gate(offers[row.pk]),
                surfaces=tuple(_surface_rule(rule) for rule in row.surfaces),
            )
            for row in self.drills
        )

    def _offer(self, row: DrillCheckpoint) -> values.DrillCheckpoint:
        return values.DrillCheckpoint(self.key[Checkpoint, row.checkpoint_id], row.good, row.from_steps)

    def _gate(self, offers: list[DrillCheckpoint]) -> tuple[str, ...]:
        gate = sorted((offer for offer in offers if offer.gate), key=lambda offer: offer.gate_place)
        return tuple(self.key[Checkpoint, offer.checkpoint_id] for offer in gate)

    def _activities(self) -> tuple[values.Activity, ...]:
        return tuple(_value(values.Activity, row, load=self.loads.get(row.load_id)) for row in self.rows(Activity))


def _value(kind: type[Any], row: models.Model, **given: Any) -> Any:
    """A dataclass from the fields of the same name; lists become tuples, texts of an enumeration its members."""
    taken = {name: _plain(inner, getattr(row, name)) for name, inner in types_of(kind).items() if name not in given}
    return kind(**taken, **given)


def _plain(kind: Any, value: Any) -> Any:
    if isinstance(value, list):
        item = kind.__args__[0]
        return tuple(item(part) for part in value)
    return kind(value) if isinstance(value, str) and isinstance(kind, type) else value


def _surface_rule(rule: dict[str, str]) -> values.SurfaceRule:
    return values.SurfaceRule(values.Surface(rule["surface"]), values.SurfaceVerdict(rule["verdict"]))


def used(member: Member) -> frozenset[ItemId]:
    """The items that some row outside of the catalogue names: they are retired, never taken out."""
    found: set[ItemId] = set()
    for kind, model in MODELS.items():
        for source, name in _named_from(model):
            rows = source._base_manager.filter(**{f"{name}__club": member.club})
            found |= {ItemId(kind, key) for key in rows.values_list(f"{name}__key", flat=True).distinct()}
    return frozenset(found)


def _named_from(model: type[models.Model]) -> list[tuple[type[models.Model], str]]:
    """Models of other apps with a foreign key to this one, and its name; also those without a way back.

    A model whose rows are worked out for every drill, whether anybody did it or not, says ``keeps_catalogue = False``.
    """
    ways = [way for way in model._meta.get_fields(include_hidden=True) if way.auto_created and not way.concrete]
    return [
        (way.related_model, way.field.name)
        for way in ways
        if (way.one_to_many or way.one_to_one)
        and way.related_model._meta.app_label != "drills"
        and getattr(way.related_model, "keeps_catalogue", True)
    ]
