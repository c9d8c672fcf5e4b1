"""A catalogue taken apart into items, each a group of plain fields under a name that stays, and put together again.

Comparing, merging and editing work on items: a checkpoint without its faults, a fault that names its checkpoint. Where
a field is left out it has its blank, as in the file.
"""

import hashlib
import json
from collections.abc import Collection, Iterable, Iterator, Mapping
from dataclasses import dataclass
from enum import StrEnum
from typing import Any

from drills.core.catalogue import Catalogue
from drills.core.plain import catalogue_from_plain, catalogue_to_plain
from drills.core.problems import Found, found, gettext_noop
from drills.core.reading import wrong_with
from drills.core.yaml_text import Plain

Fields = dict[str, Plain]


class Kind(StrEnum):
    """What an item is, in the order of the file. `COVER`: name and edition of the whole."""

    COVER = "catalogue"
    STAGE = "stages"
    LOAD_CLASS = "load_classes"
    SAFETY = "safety"
    ADJUSTMENT = "adjustments"
    CHECKPOINT = "checkpoints"
    FAULT = "faults"
    CAUSE = "causes"
    LINK = "links"
    DRILL = "drills"
    ACTIVITY = "activities"


SECTIONS = tuple(kind for kind in Kind if kind not in (Kind.COVER, Kind.FAULT))
"""Kinds that are lists of the file; faults stand inside their checkpoints."""

RETIRABLE = frozenset({Kind.ADJUSTMENT, Kind.CHECKPOINT, Kind.FAULT, Kind.DRILL, Kind.ACTIVITY})
"""Kinds that old records name: retired once used, never taken out."""


@dataclass(frozen=True, slots=True, order=True)
class ItemId:
    """key: of the item; `source>target` for a link; empty for the cover, and for the order of a whole kind."""

    kind: Kind
    key: str

    def __str__(self) -> str:
        return f"{self.kind}/{self.key}"


COVER = ItemId(Kind.COVER, "")

Items = Mapping[ItemId, Fields]
"""Every item by its id; the order of each kind is the order of the file."""


def take_apart(catalogue: Catalogue) -> dict[ItemId, Fields]:
    return items_of(catalogue_to_plain(catalogue))


def items_of(plain: Mapping[str, Any]) -> dict[ItemId, Fields]:
    """plain: a catalogue that has passed the checks, as plain values."""
    items: dict[ItemId, Fields] = {COVER: {"name": plain["name"], "version": plain["version"]}}
    for kind in SECTIONS:
        for fields in plain.get(kind, []):
            item = dict(fields)
            faults: list[Any] = item.pop("faults", []) if kind is Kind.CHECKPOINT else []
            items[ItemId(kind, key_of(kind, item))] = item
            items |= {ItemId(Kind.FAULT, fault["key"]): {"checkpoint": item["key"], **fault} for fault in faults}
    return items


def key_of(kind: Kind, fields: Mapping[str, Any]) -> str:
    if kind is Kind.LINK:
        return f"{fields.get('fault') or fields.get('cause')}>{fields['to']}"
    return str(fields["key"])


def of_kind(items: Items, kind: Kind) -> dict[str, Fields]:
    """Key → fields, in order."""
    return {item.key: fields for item, fields in items.items() if item.kind is kind}


def put_together(items: Items) -> dict[str, Any]:
    """As plain values of a file. A fault whose checkpoint is not there is left out: `misfits` says so."""
    plain: dict[str, Any] = {"format": 1, "version": items[COVER]["version"], "name": items[COVER]["name"]}
    for kind in SECTIONS:
        entries: list[Any] = [dict(fields) for fields in of_kind(items, kind).values()]
        if entries:
            plain[kind] = entries
    for checkpoint in plain.get(Kind.CHECKPOINT, []):
        checkpoint["faults"] = [fault for _, fault in _faults_at(items, str(checkpoint["key"]))]
    return plain


def _faults_at(items: Items, checkpoint: str) -> Iterator[tuple[str, Fields]]:
    for key, fields in of_kind(items, Kind.FAULT).items():
        if fields.get("checkpoint") == checkpoint:
            yield key, {name: value for name, value in fields.items() if name != "checkpoint"}


@dataclass(frozen=True, slots=True)
class Misfit:
    """A problem of a catalogue in the making. item: at which it stands, None where it is no one item's.

    field: of the item, empty where none is to blame. inside: the way further in, of names and positions from 0.
    """

    item: ItemId | None
    field: str
    inside: tuple[str | int, ...]
    problem: Found


def misfits(items: Items) -> tuple[Misfit, ...]:
    """Everything that keeps these items from being a catalogue, each at its item and field."""
    plain = put_together(items)
    at_place = _ids_by_place(plain)
    lost = [
        Misfit(item, "checkpoint", (), found((), gettext_noop("its checkpoint is not in this catalogue")))
        for item, fields in items.items()
        if item.kind is Kind.FAULT and ItemId(Kind.CHECKPOINT, str(fields.get("checkpoint"))) not in items
    ]
    return (*lost, *(_placed(at_place, problem) for problem in dict.fromkeys(wrong_with(plain))))


def _ids_by_place(plain: Mapping[str, Any]) -> dict[tuple[str | int, ...], ItemId]:
    places: dict[tuple[str | int, ...], ItemId] = {}
    for kind in SECTIONS:
        for at, fields in enumerate(plain.get(kind, [])):
            places[(str(kind), at)] = ItemId(kind, key_of(kind, fields))
            for inner, fault in enumerate(fields.get("faults", []) if kind is Kind.CHECKPOINT else []):
                places[(str(kind), at, "faults", inner)] = ItemId(Kind.FAULT, str(fault["key"]))
    return places


def _placed(at_place: Mapping[tuple[str | int, ...], ItemId], problem: Found) -> Misfit:
    for length in (4, 2):
        item = at_place.get(tuple(problem.place[:length])) if len(problem.place) >= length else None
        if item:
            rest = problem.place[length:]
            return Misfit(item, str(rest[0]) if rest else "", tuple(rest[1:]), problem)
    place = problem.place
    of_cover = len(place) == 1 and place[0] in ("name", "version")
    return Misfit(COVER if of_cover else None, str(place[0]) if place else "", tuple(place[1:]), problem)


def catalogue_of(items: Items) -> Catalogue:
    """Of items without misfits."""
    return catalogue_from_plain(put_together(items))


def stamp(items: Items) -> str:
    """A short word for what these items hold, and in which order: it differs when they do."""
    listed = [[str(item), fields] for item, fields in items.items()]
    text = json.dumps(listed, sort_keys=True, ensure_ascii=False)
    return hashlib.sha256(text.encode()).hexdigest()[:20]


# ── what an item leans on ────────────────────────────────────────────────────────────────────────────────────────────

_REFERENCES: dict[Kind, tuple[tuple[str, Kind], ...]] = {
    Kind.FAULT: (("checkpoint", Kind.CHECKPOINT),),
    Kind.LINK: (("fault", Kind.FAULT), ("cause", Kind.CAUSE), ("to", Kind.FAULT)),
    Kind.DRILL: (
        ("stage", Kind.STAGE),
        ("load", Kind.LOAD_CLASS),
        ("entry_drill", Kind.DRILL),
        ("needs", Kind.DRILL),
        ("gate", Kind.CHECKPOINT),
        ("safety", Kind.SAFETY),
        ("checkpoints", Kind.CHECKPOINT),
    ),
    Kind.ACTIVITY: (("load", Kind.LOAD_CLASS), ("safety", Kind.SAFETY)),
}


def leans_on(item: ItemId, fields: Fields) -> tuple[ItemId, ...]:
    """The items that this one names, in the order of its fields."""
    named: list[ItemId] = []
    for name, kind in _REFERENCES.get(item.kind, ()):
        named += [ItemId(kind, key) for key in _keys_in(fields.get(name))]
    for remedy in (*_list(fields.get("remedies")), fields.get("mend")):
        if isinstance(remedy, dict):
            named += [ItemId(Kind.DRILL, key) for key in _keys_in(remedy.get("drill"))]
            named += [ItemId(Kind.ADJUSTMENT, key) for key in _keys_in(remedy.get("adjustment"))]
    return tuple(named)


def _list(value: Plain) -> list[Plain]:
    return value if isinstance(value, list) else []


def _keys_in(value: Plain) -> Iterator[str]:
    for part in value if isinstance(value, list) else [value]:
        key = part.get("checkpoint") if isinstance(part, dict) else part
        if isinstance(key, str) and key:
            yield key


def named_by(items: Items, wanted: ItemId) -> tuple[ItemId, ...]:
    """The items that lean on this one."""
    return tuple(item for item, fields in items.items() if wanted in leans_on(item, fields))


# ── what goes is retired where it was used ───────────────────────────────────────────────────────────────────────────


def take_out(items: Items, gone: Iterable[ItemId], used: Collection[ItemId]) -> dict[ItemId, Fields]:
    """The items without those that are to go. What was used stays, retired, and with it whatever it leans on."""
    going = set(gone)
    kept = {item: fields for item, fields in items.items() if item not in going}
    kept |= {item: retired(item, items[item]) for item in going if item in used and item in items}
    waiting = [item for item in going if item in kept]
    while waiting:
        item = waiting.pop()
        for needed in (*leans_on(item, kept[item]), *_faults_of(items, item)):
            if needed not in kept and needed in items:
                kept[needed] = retired(needed, items[needed])
                waiting.append(needed)
    return {item: kept[item] for item in items if item in kept}


def _faults_of(items: Items, checkpoint: ItemId) -> list[ItemId]:
    """A checkpoint is none without its faults."""
    if checkpoint.kind is not Kind.CHECKPOINT:
        return []
    return [ItemId(Kind.FAULT, key) for key, _ in _faults_at(items, checkpoint.key)]


def retired(item: ItemId, fields: Fields) -> Fields:
    return {**fields, "retired": True} if item.kind in RETIRABLE else dict(fields)
