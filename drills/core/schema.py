"""The JSON Schema of a catalogue file, made from the dataclasses and one table of limits.

`fixtures/catalogue.schema.json` is this schema, published; a test holds the two together and says how to renew it.
"""

import json
from dataclasses import MISSING, fields, is_dataclass
from enum import StrEnum
from typing import Any

from drills.core.catalogue import (
    FORMAT,
    LABEL_LENGTH,
    SHORT_LENGTH,
    Activity,
    Adjustment,
    Catalogue,
    Cause,
    Cell,
    Checkpoint,
    Drill,
    DrillCheckpoint,
    Fault,
    Link,
    LoadClass,
    Remedy,
    SafetyText,
    Stage,
    Surface,
    SurfaceRule,
    SurfaceVerdict,
)
from drills.core.plain import blank, item_of, optional_of, types_of
from drills.core.problems import FORBIDDEN, KEY_LENGTH, SLUG

KEY: dict[str, Any] = {"pattern": SLUG, "maxLength": KEY_LENGTH}
LINE: dict[str, Any] = {"pattern": "\\S", "maxLength": 80}
TEXT: dict[str, Any] = {"pattern": "\\S", "maxLength": 600}
MAY_BE_EMPTY: dict[str, Any] = {"maxLength": 600}

# (dataclass, field) → limits of the value, or of each item of a list; `items` limits the list itself.
LIMITS: dict[tuple[type[Any], str], dict[str, Any]] = {
    (Catalogue, "version"): {"minimum": 1, "maximum": 100_000},
    (Catalogue, "name"): LINE,
    (Catalogue, "stages"): {"items": (1, 30)},
    (Catalogue, "load_classes"): {"items": (0, 20)},
    (Catalogue, "safety"): {"items": (0, 60)},
    (Catalogue, "adjustments"): {"items": (0, 100)},
    (Catalogue, "checkpoints"): {"items": (1, 150)},
    (Catalogue, "causes"): {"items": (0, 50)},
    (Catalogue, "links"): {"items": (0, 300)},
    (Catalogue, "drills"): {"items": (1, 200)},
    (Catalogue, "activities"): {"items": (0, 100)},
    (Stage, "number"): {"minimum": 0, "maximum": 30},
    (Stage, "name"): LINE,
    (Stage, "about"): MAY_BE_EMPTY,
    (LoadClass, "name"): LINE,
    (LoadClass, "reps_a_practice"): {"minimum": 1, "maximum": 200},
    (LoadClass, "reps_a_practice_under_14"): {"minimum": 1, "maximum": 200},
    (LoadClass, "days_a_week"): {"minimum": 1, "maximum": 7},
    (LoadClass, "rest_days"): {"minimum": 0, "maximum": 6},
    (SafetyText, "title"): LINE,
    (SafetyText, "text"): TEXT,
    (Adjustment, "name"): LINE,
    (Adjustment, "how"): TEXT,
    (Remedy, "note"): MAY_BE_EMPTY,
    (Fault, "name"): LINE,
    (Fault, "label"): {"pattern": "\\S", "maxLength": LABEL_LENGTH},
    (Fault, "cues"): {**LINE, "items": (0, 8)},
    (Fault, "remedies"): {"items": (0, 10)},
    (Checkpoint, "name"): LINE,
    (Checkpoint, "cells"): {"items": (1, len(Cell))},
    (Checkpoint, "landing"): {"minimum": 0, "maximum": 20},
    (Checkpoint, "good"): TEXT,
    (Checkpoint, "seen_from"): {"items": (1, 4)},
    (Checkpoint, "faults"): {"items": (1, 12)},
    (Cause, "name"): LINE,
    (Cause, "about"): MAY_BE_EMPTY,
    (Link, "note"): MAY_BE_EMPTY,
    (DrillCheckpoint, "good"): MAY_BE_EMPTY,
    (DrillCheckpoint, "from_steps"): {"minimum": 0, "maximum": 30},
    (Drill, "name"): LINE,
    (Drill, "short"): {"pattern": "\\S", "maxLength": SHORT_LENGTH},
    (Drill, "purpose"): TEXT,
    (Drill, "setup"): TEXT,
    (Drill, "how"): {**TEXT, "items": (1, 12)},
    (Drill, "dose"): MAY_BE_EMPTY,
    (Drill, "make_easier"): MAY_BE_EMPTY,
    (Drill, "make_harder"): MAY_BE_EMPTY,
    (Drill, "areas"): {"items": (1, 6)},
    (Drill, "surfaces"): {"items": (1, len(Surface))},
    (Drill, "places"): {"minimum": 1, "maximum": 60},
    (Drill, "phases"): {"items": (1, 4)},
    (Drill, "steps"): {"minimum": 1, "maximum": 30, "items": (0, 10)},
    (Drill, "last_landing"): {"minimum": 0, "maximum": 20},
    (Drill, "checkpoints"): {"items": (1, 30)},
    (Drill, "gate"): {"items": (1, 2)},
    (Drill, "needs"): {"items": (0, 10)},
    (Drill, "seconds_a_turn"): {"minimum": 1, "maximum": 900},
    (Drill, "least_turns"): {"minimum": 1, "maximum": 60},
    (Drill, "safety"): {"items": (0, 12)},
    (Activity, "name"): LINE,
    (Activity, "about"): TEXT,
    (Activity, "minutes"): {"minimum": 1, "maximum": 720},
    (Activity, "areas"): {"items": (1, 6)},
    (Activity, "places"): {"minimum": 1, "maximum": 60},
    (Activity, "safety"): {"items": (0, 12)},
}

DESCRIPTIONS = {
    "format": "Shape of this file. Other programs write 1.",
    "version": "Edition of the content; raise it by one with every edition you hand on.",
    "key": "Stable name that old records refer to: small letters, digits, hyphens. Never change one that was used.",
    "retired": "true: kept because old records name it, offered no more.",
    "common_practice": "true: a default from common practice among coaches, without a published source.",
    "label": "Name on the tablet's fault chip.",
    "short": "Name at the head of a column of the squad board.",
    "kind": "early asks for the cue 'later', late for 'sooner'.",
    "unsafe": "true: stops the turn and tells the head coach; never averaged.",
    "cues": "What to say to the athlete, best first. An early or a late fault needs at least one.",
    "seen_from": "Where one must stand to see it; any of these will do.",
    "cells": "Cells of the run strip that it lights: the carry, steps 6 to 1, the tip contact.",
    "landing": "Foot contact at which it is judged, counted back from take-off (0).",
    "good": "What good looks like. In a drill: only where it differs there.",
    "gate": "One or two checkpoints that decide about a good rep; both seen from one place.",
    "needs": "Drills that must be open before; the first one is the easier drill.",
    "entry_drill": "Contact drills only: the one of its needs that must be settled.",
    "risk": "floor, moving or contact: how strict it is to open the next drill.",
    "surfaces": "Surface: good, try-first (slide the tip by hand) or never. One not named is not allowed.",
    "adult": "Least level of the adult at the station.",
    "places": "Athletes at the station at a time.",
    "unit": "What one touch logs.",
    "steps": "Step counts it is done with; left out when standing.",
    "last_landing": "Landing at which the run ends: 0, or 3 for a drop alone.",
    "starts_lowered": "true: begins with the top hand at the hip and the drop done.",
    "from_steps": "Offered only when the run has at least so many steps.",
    "seconds_a_turn": "Seconds that one athlete's turn takes.",
    "least_turns": "Fewer turns in a block are of no use.",
    "load": "Load class that its reps count to.",
    "family": "Drills of one family may share a station.",
    "mend": "What mends the whole chain; stands on its first link.",
    "slides": "true: the tip runs along the ground, so the surface matters.",
    "poles": "none, light-short, any, or rated (at or above the vaulter's mass; always so in contact drills).",
    "needs_clearance": "true: only for athletes whom the head coach has cleared for it.",
    "job": "true: something useful to do for whoever is kept off a station.",
}


def schema() -> dict[str, Any]:
    """Draft 2020-12."""
    body = _object(Catalogue)
    body["properties"] = {"format": {"const": FORMAT, **_described("format")}, **body["properties"]}
    body["required"] = ["format", *body["required"]]
    heading = {
        "$schema": "https://json-schema.org/draft/2020-12/schema",
        "title": "Drill catalogue of a pole-vault club",
    }
    text = {"type": "string", "not": {"pattern": FORBIDDEN}}
    return {**heading, **body, "$defs": {"text": text, "key": {"allOf": [{"$ref": "#/$defs/text"}], **KEY}}}


def _object(kind: type[Any]) -> dict[str, Any]:
    properties = {name: _property(kind, name, inner) for name, inner in types_of(kind).items()}
    required = [entry.name for entry in fields(kind) if entry.default is MISSING and _must_be_given(kind, entry.name)]
    return {"type": "object", "additionalProperties": False, "required": required, "properties": properties}


def _must_be_given(kind: type[Any], name: str) -> bool:
    limits = LIMITS.get((kind, name), {})
    inner = types_of(kind)[name]
    if item_of(inner):
        return bool(limits.get("items", (0, 0))[0])
    return blank(inner) is MISSING or (inner is str and limits is not MAY_BE_EMPTY)


def _property(kind: type[Any], name: str, inner: Any) -> dict[str, Any]:
    limits = dict(LIMITS.get((kind, name), {}))
    least, most = limits.pop("items", (0, 12))
    item = item_of(inner)
    if item is SurfaceRule:
        verdicts = {"enum": [str(verdict) for verdict in SurfaceVerdict]}
        by_surface = {str(surface): verdicts for surface in Surface}
        value = {"type": "object", "additionalProperties": False, "minProperties": least, "properties": by_surface}
    elif item:
        value = {"type": "array", "minItems": least, "maxItems": most, "items": _value(item, limits)}
    else:
        value = _value(optional_of(inner) or inner, limits)
    return {**value, **_described(name)}


def _value(inner: Any, limits: dict[str, Any]) -> dict[str, Any]:
    if is_dataclass(inner) and isinstance(inner, type):
        return _object(inner)
    if inner is bool:
        return {"type": "boolean"}
    if inner is int:
        return {"type": "integer", **limits}
    if inner is str:
        # A text without limits of its own is a key or a reference to one.
        return {"$ref": "#/$defs/text", **limits} if limits else {"$ref": "#/$defs/key"}
    return {"enum": _members(inner)}


def _members(inner: type[StrEnum]) -> list[str | int]:
    return [int(member) if member.isdigit() else str(member) for member in inner]


def _described(name: str) -> dict[str, str]:
    return {"description": DESCRIPTIONS[name]} if name in DESCRIPTIONS else {}


def published() -> str:
    """The text of `fixtures/catalogue.schema.json`."""
    return json.dumps(schema(), indent=1) + "\n"
