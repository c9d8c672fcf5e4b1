"""Values into rows: what has a key is changed in place, its parts are replaced where they differ."""

from collections.abc import Iterable, Mapping
from dataclasses import asdict
from typing import Any, TypeVar
from uuid import uuid4

from django.db import models, transaction

from club.models import Club
from drills.core import catalogue as values
from drills.models import (
    Activity,
    Adjustment,
    CatalogueCover,
    CatalogueItem,
    CatalogueStamp,
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

Item = TypeVar("Item", bound=CatalogueItem)
NOTHING: frozenset[str] = frozenset()


def new_stamp(club: Club) -> None:
    """What was read of the catalogue before no longer holds."""
    CatalogueStamp.objects.update_or_create(club=club, defaults={"stamp": uuid4()})


class Writer:
    """Writes table by table, so that what is referred to is there first; what is no longer there goes last."""

    def __init__(self, club: Club, catalogue: values.Catalogue) -> None:
        self.club, self.catalogue = club, catalogue
        self.gone: list[CatalogueItem] = []

    def write(self) -> None:
        given = self.catalogue
        front = {"name": given.name, "version": given.version}
        CatalogueCover.objects.update_or_create(club=self.club, defaults=front)
        new_stamp(self.club)
        self.stages = self._items(Stage, given.stages)
        self.loads = self._items(LoadClass, given.load_classes)
        self._items(SafetyText, given.safety)
        self.adjustments = self._items(Adjustment, given.adjustments)
        self.checkpoints = self._items(Checkpoint, given.checkpoints, drop={"faults"})
        self.causes = self._items(Cause, given.causes)
        self.faults = self._faults()
        self.drills = self._drills()
        self._entry_drills()
        self._sync(Need, self._needs())
        self._sync(DrillCheckpoint, self._offers())
        self._activities()
        self._sync(Link, self._links())
        self._sync(Remedy, self._remedies())
        for row in reversed(self.gone):
            _take_out(row)

    def _items(
        self,
        model: type[Item],
        items: Iterable[Any],
        drop: set[str] | frozenset[str] = NOTHING,
        more: Mapping[str, Mapping[str, Any]] | None = None,
    ) -> dict[str, Item]:
        """Rows by key. more: for each key, fields that are rows themselves."""
        there: dict[str, Item] = {row.key: row for row in model.objects.for_club(self.club)}
        made: list[Item] = []
        changed: list[Item] = []
        names: set[str] = {"order", "retired"}
        wanted: dict[str, Item] = {}
        for order, item in enumerate(items):
            fields = {"order": order, "retired": False, **_fields(item, drop), **(more or {}).get(item.key, {})}
            row = there.pop(item.key, None)
            names |= set(fields) - {"key"}
            if row is None:
                row = model(club=self.club, **fields)
                made.append(row)
            elif any(_differs(row, name, value) for name, value in fields.items()):
                for name, value in fields.items():
                    setattr(row, name, value)
                changed.append(row)
            wanted[item.key] = row
        model.objects.bulk_create(made)
        model.objects.bulk_update(changed, sorted(names))
        self.gone += there.values()
        return wanted

    def _faults(self) -> dict[str, Fault]:
        pairs = list(values.faults_of(self.catalogue))
        at = {fault.key: {"checkpoint": self.checkpoints[checkpoint.key]} for checkpoint, fault in pairs}
        return self._items(Fault, (fault for _, fault in pairs), {"remedies"}, at)

    def _drills(self) -> dict[str, Drill]:
        parts = {"stage", "load", "checkpoints", "gate", "needs", "entry_drill"}
        rows = {
            drill.key: {"stage": self.stages[drill.stage], "load": self.loads[drill.load] if drill.load else None}
            for drill in self.catalogue.drills
        }
        return self._items(Drill, self.catalogue.drills, parts, rows)

    def _activities(self) -> None:
        rows = {one.key: {"load": self.loads[one.load] if one.load else None} for one in self.catalogue.activities}
        self._items(Activity, self.catalogue.activities, {"load"}, rows)

    def _entry_drills(self) -> None:
        changed = []
        for drill in self.catalogue.drills:
            row, entry = self.drills[drill.key], self.drills.get(drill.entry_drill or "")
            if row.entry_drill_id != (entry.pk if entry else None):
                row.entry_drill = entry
                changed.append(row)
        Drill.objects.bulk_update(changed, ["entry_drill"])

    def _needs(self) -> list[Need]:
        return [
            Need(club=self.club, drill=self.drills[drill.key], needed=self.drills[needed], order=order)
            for drill in self.catalogue.drills
            for order, needed in enumerate(drill.needs)
        ]

    def _offers(self) -> list[DrillCheckpoint]:
        return [
            DrillCheckpoint(
                club=self.club,
                drill=self.drills[drill.key],
                checkpoint=self.checkpoints[offer.checkpoint],
                order=order,
                gate=offer.checkpoint in drill.gate,
                gate_place=drill.gate.index(offer.checkpoint) if offer.checkpoint in drill.gate else 0,
                good=offer.good,
                from_steps=offer.from_steps,
            )
            for drill in self.catalogue.drills
            for order, offer in enumerate(drill.checkpoints)
        ]

    def _links(self) -> list[Link]:
        return [
            Link(
                club=self.club,
                order=order,
                fault=self.faults[link.fault] if link.fault else None,
                cause=self.causes[link.cause] if link.cause else None,
                to=self.faults[link.to],
                note=link.note,
                common_practice=link.common_practice,
            )
            for order, link in enumerate(self.catalogue.links)
        ]

    def _remedies(self) -> list[Remedy]:
        for_faults = [
            self._remedy(remedy, order, fault=self.faults[fault.key])
            for _, fault in values.faults_of(self.catalogue)
            for order, remedy in enumerate(fault.remedies)
        ]
        rows = {(row.fault_id, row.cause_id, row.to_id): row for row in Link.objects.for_club(self.club)}
        mends = [(link, rows[self._ends(link)]) for link in self.catalogue.links if link.mend]
        return for_faults + [self._remedy(link.mend, 0, link=row) for link, row in mends if link.mend]

    def _ends(self, link: values.Link) -> tuple[int | None, int | None, int]:
        return (
            self.faults[link.fault].pk if link.fault else None,
            self.causes[link.cause].pk if link.cause else None,
            self.faults[link.to].pk,
        )

    def _remedy(self, remedy: values.Remedy, order: int, **target: Any) -> Remedy:
        return Remedy(
            club=self.club,
            order=order,
            note=remedy.note,
            drill=self.drills[remedy.drill] if remedy.drill else None,
            adjustment=self.adjustments[remedy.adjustment] if remedy.adjustment else None,
            **target,
        )

    def _sync(self, model: type[Any], wanted: list[Any]) -> None:
        """Makes these the club's rows of a kind that nothing refers to: equal ones stay, the others are replaced."""
        there = {_signature(row): row for row in model.objects.for_club(self.club)}
        missing = [row for row in wanted if there.pop(_signature(row), None) is None]
        model.objects.for_club(self.club).filter(pk__in=[row.pk for row in there.values()]).delete()
        model.objects.bulk_create(missing)


def _fields(item: Any, drop: set[str] | frozenset[str]) -> dict[str, Any]:
    """An item's plain values by field name; enums become their text, tuples lists, as the database gives them back."""
    return {name: _stored(value) for name, value in asdict(item).items() if name not in drop}


def _stored(value: Any) -> Any:
    if isinstance(value, tuple | list):
        return [_stored(part) for part in value]
    if isinstance(value, dict):
        return {name: _stored(part) for name, part in value.items()}
    return str(value) if isinstance(value, str) else value


def _differs(row: models.Model, name: str, value: Any) -> bool:
    field = row._meta.get_field(name)
    if field.is_relation:  # by id, which takes no query
        return bool(getattr(row, field.attname) != (value.pk if value else None))
    return bool(getattr(row, name) != value)


def _signature(row: models.Model) -> tuple[Any, ...]:
    return tuple(getattr(row, field.attname) for field in row._meta.concrete_fields if not field.primary_key)


def _take_out(row: CatalogueItem) -> None:
    """Deletes what nothing names. What old records still name is kept out of sight: the catalogue never lists it."""
    try:
        with transaction.atomic():
            row.delete()
    except models.ProtectedError:
        row.retired = True
        row.save(update_fields=["retired"])
