"""The catalogue in words: values of its enumerations, names of its fields and kinds, whole items."""

from collections.abc import Iterable, Mapping
from typing import Any

from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy, ngettext, pgettext_lazy

from drills.core.catalogue import (
    AdultLevel,
    AreaKind,
    Cell,
    FaultKind,
    Phase,
    PoleNeed,
    RiskClass,
    Surface,
    SurfaceVerdict,
    Unit,
    ViewingPlace,
)
from drills.core.items import Fields, ItemId, Items, Kind, Misfit
from drills.core.merge import What
from drills.core.problems import Found, Problem

ADULTS = {
    AdultLevel.NONE: gettext_lazy("none needed"),
    AdultLevel.FLOOR: gettext_lazy("one who may run floor stations"),
    AdultLevel.CONTACT: gettext_lazy("one who may run contact stations"),
}
AREAS = {
    AreaKind.FLOOR: gettext_lazy("open level ground"),
    AreaKind.RUNWAY: gettext_lazy("runway"),
    AreaKind.WALL: gettext_lazy("solid wall"),
    AreaKind.SLIDING_BOX: gettext_lazy("sliding box"),
    AreaKind.BOX: gettext_lazy("runway with box and pit"),
    AreaKind.ROOM: gettext_lazy("room"),
}
SURFACES = {
    Surface.SMOOTH_FLOOR: gettext_lazy("smooth indoor floor"),
    Surface.SYNTHETIC_TRACK: gettext_lazy("synthetic track"),
    Surface.GRASS: gettext_lazy("natural grass"),
}
VERDICTS = {
    SurfaceVerdict.GOOD: gettext_lazy("good"),
    SurfaceVerdict.TRY_FIRST: gettext_lazy("try it by hand first"),
    SurfaceVerdict.NEVER: gettext_lazy("never"),
}
POLES = {
    PoleNeed.NONE: gettext_lazy("none"),
    PoleNeed.LIGHT_SHORT: gettext_lazy("light and short"),
    PoleNeed.ANY: gettext_lazy("any"),
    PoleNeed.RATED: gettext_lazy("rated at or above the vaulter’s mass"),
}
UNITS = {Unit.REP: gettext_lazy("one by one"), Unit.SET: gettext_lazy("in sets")}
PLACES = {
    ViewingPlace.TOP_HAND_SIDE: gettext_lazy("from the top-hand side"),
    ViewingPlace.SIDE: gettext_lazy("from the side"),
    ViewingPlace.FRONT: gettext_lazy("from the front"),
    ViewingPlace.BEHIND: gettext_lazy("from behind"),
    ViewingPlace.BESIDE_THE_BOX: gettext_lazy("from beside the box, well clear"),
    ViewingPlace.ANYWHERE: gettext_lazy("from anywhere"),
    ViewingPlace.EAR_AND_EYE: gettext_lazy("close by, by ear and eye"),
}
RISKS = {
    RiskClass.FLOOR: gettext_lazy("floor drill"),
    RiskClass.MOVING: gettext_lazy("moving drill"),
    RiskClass.CONTACT: gettext_lazy("contact drill"),
}
SHORT_RISKS = {
    RiskClass.FLOOR: pgettext_lazy("kind of drill", "floor"),
    RiskClass.MOVING: pgettext_lazy("kind of drill", "moving"),
    RiskClass.CONTACT: pgettext_lazy("kind of drill", "contact"),
}
PHASES = {
    Phase.CARRY: gettext_lazy("carry"),
    Phase.DROP: gettext_lazy("drop"),
    Phase.PLANT: gettext_lazy("plant"),
    Phase.CONTACT: gettext_lazy("tip contact"),
    Phase.ALL: gettext_lazy("all through the run"),
}
CELLS = {
    Cell.CARRY: gettext_lazy("carry"),
    Cell.STEP_6: gettext_lazy("step 6"),
    Cell.STEP_5: gettext_lazy("step 5"),
    Cell.STEP_4: gettext_lazy("step 4"),
    Cell.STEP_3: gettext_lazy("step 3"),
    Cell.STEP_2: gettext_lazy("step 2"),
    Cell.STEP_1: gettext_lazy("step 1"),
    Cell.CONTACT: gettext_lazy("tip contact"),
}
FAULT_KINDS = {
    FaultKind.OTHER: gettext_lazy("in another way"),
    FaultKind.EARLY: gettext_lazy("too early"),
    FaultKind.LATE: gettext_lazy("too late"),
}
VALUES: dict[str, Mapping[Any, Any]] = {
    "adult": ADULTS,
    "area": AREAS,
    "surface": SURFACES,
    "verdict": VERDICTS,
    "pole": POLES,
    "unit": UNITS,
    "place": PLACES,
    "risk": RISKS,
    "phase": PHASES,
    "fault_kind": FAULT_KINDS,
}

KINDS = {
    Kind.COVER: gettext_lazy("the catalogue itself"),
    Kind.STAGE: gettext_lazy("stage"),
    Kind.LOAD_CLASS: gettext_lazy("load class"),
    Kind.SAFETY: gettext_lazy("safety text"),
    Kind.ADJUSTMENT: gettext_lazy("adjustment"),
    Kind.CHECKPOINT: gettext_lazy("checkpoint"),
    Kind.FAULT: gettext_lazy("fault"),
    Kind.CAUSE: gettext_lazy("cause"),
    Kind.LINK: gettext_lazy("link"),
    Kind.DRILL: gettext_lazy("drill"),
    Kind.ACTIVITY: gettext_lazy("activity"),
}
MANY = {
    Kind.STAGE: gettext_lazy("Stages"),
    Kind.LOAD_CLASS: gettext_lazy("Load classes"),
    Kind.SAFETY: gettext_lazy("Safety texts"),
    Kind.ADJUSTMENT: gettext_lazy("Adjustments"),
    Kind.CHECKPOINT: gettext_lazy("Checkpoints and faults"),
    Kind.FAULT: gettext_lazy("Faults"),
    Kind.CAUSE: gettext_lazy("Causes"),
    Kind.LINK: gettext_lazy("Which leads to which"),
    Kind.DRILL: gettext_lazy("Drills"),
    Kind.ACTIVITY: gettext_lazy("Activities"),
}
WHAT = {
    What.ADDED: pgettext_lazy("item of a catalogue", "new"),
    What.CHANGED: pgettext_lazy("item of a catalogue", "changed"),
    What.REMOVED: pgettext_lazy("item of a catalogue", "taken out"),
    What.ORDER: pgettext_lazy("items of a catalogue", "in another order"),
}

FIELDS = {
    "name": gettext_lazy("Name"),
    "version": gettext_lazy("Edition"),
    "number": gettext_lazy("Number"),
    "about": gettext_lazy("What it is about"),
    "reps_a_practice": gettext_lazy("Most reps a practice"),
    "reps_a_practice_under_14": gettext_lazy("Most reps a practice, under 14"),
    "days_a_week": gettext_lazy("Most days a week"),
    "rest_days": gettext_lazy("Days between two such days"),
    "common_practice": gettext_lazy("From common practice among coaches, without a published source"),
    "title": gettext_lazy("Heading"),
    "text": gettext_lazy("What it says"),
    "how": gettext_lazy("How it is done"),
    "retired": gettext_lazy("Retired: kept for old records, offered no more"),
    "phase": gettext_lazy("Part of the run"),
    "cells": gettext_lazy("Where it lights the run strip"),
    "landing": gettext_lazy("Landing at which it is judged"),
    "good": gettext_lazy("What good looks like"),
    "seen_from": gettext_lazy("From where it is seen"),
    "faults": gettext_lazy("Faults"),
    "checkpoint": gettext_lazy("Checkpoint"),
    "label": gettext_lazy("Short name for the tablet"),
    "kind": gettext_lazy("How it goes wrong"),
    "unsafe": gettext_lazy("Unsafe: stops the turn and tells the head coach"),
    "cues": gettext_lazy("Cues: what to say, best first"),
    "remedies": gettext_lazy("Remedies"),
    "fault": gettext_lazy("From this fault"),
    "cause": gettext_lazy("From this cause"),
    "to": gettext_lazy("Leads to"),
    "note": gettext_lazy("Why"),
    "mend": gettext_lazy("What mends the whole chain"),
    "stage": gettext_lazy("Stage"),
    "family": gettext_lazy("Shares a station with"),
    "short": gettext_lazy("Short name for the squad board"),
    "purpose": gettext_lazy("What it is for"),
    "setup": gettext_lazy("Set-up"),
    "dose": gettext_lazy("Usual dose"),
    "make_easier": gettext_lazy("Make it easier"),
    "make_harder": gettext_lazy("Make it harder"),
    "areas": gettext_lazy("Where"),
    "surfaces": gettext_lazy("Surface"),
    "adult": gettext_lazy("Adult at the station"),
    "places": gettext_lazy("Athletes at the station at a time"),
    "unit": gettext_lazy("Logged"),
    "risk": gettext_lazy("Kind of drill"),
    "phases": gettext_lazy("Parts of the run"),
    "steps": gettext_lazy("Step counts"),
    "last_landing": gettext_lazy("Landing at which the run ends"),
    "starts_lowered": gettext_lazy("Starts lowered, the drop already done"),
    "checkpoints": gettext_lazy("What is watched"),
    "gate": gettext_lazy("What decides about a good rep"),
    "needs": gettext_lazy("Needs"),
    "entry_drill": gettext_lazy("Entry drill"),
    "seconds_a_turn": gettext_lazy("Seconds a turn"),
    "least_turns": gettext_lazy("Least useful turns"),
    "load": gettext_lazy("Counts to the load of"),
    "poles": gettext_lazy("Poles"),
    "slides": gettext_lazy("The tip slides along the ground"),
    "safety": gettext_lazy("Safety texts"),
    "minutes": gettext_lazy("Usual minutes"),
    "needs_clearance": gettext_lazy("Only for athletes whom the head coach has cleared"),
    "job": gettext_lazy("A job for whoever is kept off a station"),
    "from_steps": gettext_lazy("Only from so many steps"),
    "drill": gettext_lazy("Drill"),
    "adjustment": gettext_lazy("Adjustment"),
}

_VALUES_OF = {
    "adult": ADULTS,
    "areas": AREAS,
    "poles": POLES,
    "unit": UNITS,
    "risk": RISKS,
    "phase": PHASES,
    "phases": PHASES,
    "cells": CELLS,
    "seen_from": PLACES,
    "kind": FAULT_KINDS,
}

Names = Mapping[str, str]
"""Key of an item → its name, for all that a value or a message may mention."""


def names_of(*catalogues: Items) -> dict[str, str]:
    """Names by key; a key that stands in two kinds keeps the later one's."""
    return {
        item.key: str(fields.get("name") or fields.get("title"))
        for items in catalogues
        for item, fields in items.items()
        if item.kind is not Kind.LINK and item.key
    }


def item_words(item: ItemId, names: Names) -> str:
    """ "drill Wall plant"; a link as "starts low → drop late"."""
    kind = str(KINDS[item.kind])
    if item.kind is Kind.COVER or not item.key:
        return kind if item.kind is Kind.COVER else str(MANY[item.kind])
    parts = [names.get(key, key) for key in item.key.split(">")]
    return _("%(kind)s %(name)s") % {"kind": kind, "name": " → ".join(parts)}


def value_words(name: str, value: Any, names: Names) -> list[str]:
    """A field's value as lines to read; empty where there is none."""
    if value is None:
        return []
    if isinstance(value, bool):
        return [_("yes") if value else _("no")]
    if isinstance(value, dict):
        return [_group_words(name, value, names)]
    if isinstance(value, list):
        return [line for part in value for line in value_words(name, part, names)]
    return [_one(name, value, names)]


def _one(name: str, value: Any, names: Names) -> str:
    known = _VALUES_OF.get(name, {})
    if str(value) in known:
        return str(known[str(value)])
    return names.get(str(value), str(value)) if name not in {"name", "text", "how", "cues", "label"} else str(value)


def _group_words(name: str, value: Mapping[str, Any], names: Names) -> str:
    if name == "surfaces":
        return "; ".join(f"{SURFACES[Surface(one)]}: {VERDICTS[SurfaceVerdict(said)]}" for one, said in value.items())
    parts = []
    for inner, part in value.items():
        said = ", ".join(value_words(inner, part, names))
        parts.append(
            said if inner in {"drill", "adjustment", "checkpoint", "note", "good"} else f"{FIELDS[inner]}: {said}"
        )
    return ": ".join(parts)


# ── problems ─────────────────────────────────────────────────────────────────────────────────────────────────────────


def problem_words(problem: Found | Problem, names: Names | None = None) -> str:
    """The reason in the reader's language; keys that it mentions by their names, where these are given."""
    found = {name: _named(value, names or {}) for name, value in problem.values}
    return _(problem.message) % found


def _named(value: str, names: Names) -> str:
    return " → ".join(names.get(part, part) for part in value.split(" → "))


def misfit_words(misfit: Misfit, names: Names) -> str:
    """With the place, for where no field of a form can be pointed at."""
    where = [item_words(misfit.item, names)] if misfit.item else []
    if misfit.field:
        where.append(str(FIELDS.get(misfit.field, misfit.field)))
    where += [str(part + 1) for part in misfit.inside if isinstance(part, int)]
    said = problem_words(misfit.problem, names)
    return _("%(where)s: %(reason)s") % {"where": ", ".join(where), "reason": said} if where else said


# ── sentences ────────────────────────────────────────────────────────────────────────────────────────────────────────


def changed_sentence(changed: Iterable[ItemId], names: Names) -> str:
    """What was just stored, in one sentence."""
    said = [item_words(item, names) for item in changed]
    if not said:
        return _("Nothing was different, so nothing was changed.")
    if len(said) <= 3:
        return _("Saved: %(items)s.") % {"items": ", ".join(said)}
    count = ngettext("%(count)d item", "%(count)d items", len(said)) % {"count": len(said)}
    return _("Saved: %(count)s of the catalogue.") % {"count": count}


def label_of(fields: Fields) -> str:
    return str(fields.get("name") or fields.get("title") or "")
