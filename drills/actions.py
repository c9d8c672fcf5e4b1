"""Writes of the catalogue."""

from collections.abc import Iterable
from dataclasses import asdict
from typing import Any

from django.db import models, transaction
from django.utils import timezone

from club.models import Club
from drills.core import catalogue as values
from drills.models import (
    Activity,
    Adjustment,
    CatalogueEdition,
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


class CatalogueExists(Exception):
    """The club has a catalogue already; a new edition is merged, not loaded."""


def load_catalogue(*, club: Club, catalogue: values.Catalogue, source: str) -> None:
    """Gives an empty club a whole catalogue. source: the file's text, kept as the base of later updates.

    Raises CatalogueExists, having changed nothing.
    """
    with transaction.atomic():
        if CatalogueEdition.objects.for_club(club).exists():
            raise CatalogueExists
        _Loader(club, catalogue).load()
        CatalogueEdition.objects.create(club=club, version=catalogue.version, loaded_at=timezone.now(), source=source)


class _Loader:
    """Turns the values into rows, table by table, so that what is referred to is there first."""

    def __init__(self, club: Club, catalogue: values.Catalogue) -> None:
        self.club, self.catalogue = club, catalogue

    def load(self) -> None:
        given = self.catalogue
        self.stages = self._items(Stage, given.stages)
        self.loads = self._items(LoadClass, given.load_classes)
        self._items(SafetyText, given.safety)
        self.adjustments = self._items(Adjustment, given.adjustments)
        self.checkpoints = self._items(Checkpoint, given.checkpoints, drop={"faults"})
        self.causes = self._items(Cause, given.causes)
        self.faults = self._faults()
        self.drills = self._drills()
        self._parts_of_drills()
        self._activities()
        self._remedies()
        self._links()

    def _items(self, model: type[models.Model], items: Iterable[Any], drop: set[str] = frozenset()) -> dict[str, Any]:  # type: ignore[assignment]
        rows = [model(club=self.club, order=order, **_fields(item, drop)) for order, item in enumerate(items)]
        return {row.key: row for row in model._default_manager.bulk_create(rows)}  # type: ignore[attr-defined]

    def _faults(self) -> dict[str, Fault]:
        rows = [
            Fault(
                club=self.club,
                order=order,
                checkpoint=self.checkpoints[checkpoint.key],
                **_fields(fault, {"remedies"}),
            )
            for order, (checkpoint, fault) in enumerate(values.faults_of(self.catalogue))
        ]
        return {row.key: row for row in Fault.objects.bulk_create(rows)}

    def _drills(self) -> dict[str, Drill]:
        parts = {"stage", "load", "checkpoints", "gate", "needs", "entry_drill"}
        rows = [
            Drill(
                club=self.club,
                order=order,
                stage=self.stages[drill.stage],
                load=self.loads[drill.load] if drill.load else None,
                **_fields(drill, parts),
            )
            for order, drill in enumerate(self.catalogue.drills)
        ]
        return {row.key: row for row in Drill.objects.bulk_create(rows)}

    def _parts_of_drills(self) -> None:
        for drill in self.catalogue.drills:
            if drill.entry_drill:
                self.drills[drill.key].entry_drill = self.drills[drill.entry_drill]
        Drill.objects.bulk_update([row for row in self.drills.values() if row.entry_drill], ["entry_drill"])
        Need.objects.bulk_create(
            Need(club=self.club, drill=self.drills[drill.key], needed=self.drills[needed], order=order)
            for drill in self.catalogue.drills
            for order, needed in enumerate(drill.needs)
        )
        DrillCheckpoint.objects.bulk_create(
            DrillCheckpoint(
                club=self.club,
                drill=self.drills[drill.key],
                checkpoint=self.checkpoints[offer.checkpoint],
                order=order,
                gate=offer.checkpoint in drill.gate,
                good=offer.good,
                from_steps=offer.from_steps,
            )
            for drill in self.catalogue.drills
            for order, offer in enumerate(drill.checkpoints)
        )

    def _activities(self) -> None:
        Activity.objects.bulk_create(
            Activity(
                club=self.club,
                order=order,
                load=self.loads[activity.load] if activity.load else None,
                **_fields(activity, {"load"}),
            )
            for order, activity in enumerate(self.catalogue.activities)
        )

    def _remedies(self) -> None:
        Remedy.objects.bulk_create(
            self._remedy(remedy, order, fault=self.faults[fault.key])
            for _, fault in values.faults_of(self.catalogue)
            for order, remedy in enumerate(fault.remedies)
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

    def _links(self) -> None:
        rows = Link.objects.bulk_create(
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
        )
        pairs = zip(rows, self.catalogue.links, strict=True)
        Remedy.objects.bulk_create(self._remedy(link.mend, 0, link=row) for row, link in pairs if link.mend)


def _fields(item: Any, drop: set[str]) -> dict[str, Any]:
    """An item's plain values by field name; enums become their text, tuples lists."""
    return {name: value for name, value in asdict(item).items() if name not in drop}
