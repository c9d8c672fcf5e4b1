"""What must hold between the parts of a catalogue. Reads plain values that may still be of the wrong shape: whatever
the schema refuses is passed over here, so that one reading finds every problem.
"""

from collections.abc import Iterator, Mapping
from dataclasses import dataclass

from drills.core.catalogue import AdultLevel, AreaKind, Phase, PoleNeed, RiskClass
from drills.core.phases import SHORTEST_WITH_DROP
from drills.core.problems import Found, Place, found, gettext_noop, shown
from drills.core.progression import find_cycle
from drills.core.viewing import EVERYWHERE, viewing_places
from drills.core.yaml_text import Plain

Fields = Mapping[str, Plain]


@dataclass(frozen=True, slots=True)
class Item:
    """One group of fields and where it stands."""

    place: Place
    fields: Fields

    def text(self, name: str) -> str:
        value = self.fields.get(name)
        return value if isinstance(value, str) else ""

    def texts(self, name: str) -> list[tuple[Place, str]]:
        """The texts of a list, each with its place."""
        value = self.fields.get(name)
        items = value if isinstance(value, list) else []
        return [((*self.place, name, at), item) for at, item in enumerate(items) if isinstance(item, str)]

    def numbers(self, name: str) -> list[int]:
        value = self.fields.get(name)
        return [item for item in value if isinstance(item, int)] if isinstance(value, list) else []

    def items(self, name: str) -> list["Item"]:
        value = self.fields.get(name)
        parts = value if isinstance(value, list) else []
        return [Item((*self.place, name, at), part) for at, part in enumerate(parts) if isinstance(part, dict)]

    def at(self, name: str) -> Place:
        return (*self.place, name)

    def flag(self, name: str) -> bool:
        return self.fields.get(name) is True


def cross_problems(value: Plain) -> Iterator[Found]:
    """Everything that does not fit together. value: the whole file as plain values."""
    if not isinstance(value, dict):
        return
    whole = Item((), value)
    yield from _keys(whole)
    yield from _references(whole)
    yield from _twice_in_lists(whole)
    yield from _needs(whole)
    yield from _faults(whole)
    yield from _links(whole)
    for drill in whole.items("drills"):
        yield from _gate(drill, whole)
        yield from _contact(drill)
        yield from _safety(drill)
        yield from _run(drill, whole)


# ── keys and references ──────────────────────────────────────────────────────────────────────────────────────────────

_SECTIONS = ("stages", "load_classes", "safety", "adjustments", "checkpoints", "drills", "activities")


def _all_faults(whole: Item) -> list[Item]:
    return [fault for checkpoint in whole.items("checkpoints") for fault in checkpoint.items("faults")]


def _keys(whole: Item) -> Iterator[Found]:
    for section in _SECTIONS:
        yield from _unlike(whole.items(section), "key")
    # faults and causes share their names, because a link may come from either
    yield from _unlike([*_all_faults(whole), *whole.items("causes")], "key")
    for section in ("checkpoints", "drills", "activities"):
        yield from _unlike(whole.items(section), "name")
    yield from _unlike(whole.items("drills"), "short")
    yield from _unlike(whole.items("stages"), "number")


def _unlike(items: list[Item], name: str) -> Iterator[Found]:
    seen: set[str] = set()
    for item in items:
        value = item.fields.get(name)
        if not isinstance(value, str | int):
            continue
        if str(value) in seen:
            yield found(item.at(name), gettext_noop("%(value)s is already used above"), value=str(value))
        seen.add(str(value))


def _known(items: list[Item]) -> dict[str, Item]:
    return {item.text("key"): item for item in items if item.text("key")}


def _references(whole: Item) -> Iterator[Found]:
    known = {section: _known(whole.items(section)) for section in (*_SECTIONS, "causes")}
    known["faults"] = _known(_all_faults(whole))
    for drill in whole.items("drills"):
        yield from _one(drill, "stage", known["stages"])
        yield from _one(drill, "load", known["load_classes"])
        yield from _one(drill, "entry_drill", known["drills"])
        yield from _many(drill, "needs", known["drills"])
        yield from _many(drill, "gate", known["checkpoints"])
        yield from _many(drill, "safety", known["safety"])
        for offered in drill.items("checkpoints"):
            yield from _one(offered, "checkpoint", known["checkpoints"])
        yield from _retired(drill, known)
    for activity in whole.items("activities"):
        yield from _one(activity, "load", known["load_classes"])
        yield from _many(activity, "safety", known["safety"])
    for link in whole.items("links"):
        for name, section in (("fault", "faults"), ("cause", "causes"), ("to", "faults")):
            yield from _one(link, name, known[section])
    for remedy in _all_remedies(whole):
        yield from _one(remedy, "drill", known["drills"])
        yield from _one(remedy, "adjustment", known["adjustments"])


def _one(item: Item, name: str, known: Mapping[str, Item]) -> Iterator[Found]:
    value = item.text(name)
    if value and value not in known:
        yield _unknown(item.at(name), value)


def _many(item: Item, name: str, known: Mapping[str, Item]) -> Iterator[Found]:
    for place, value in item.texts(name):
        if value not in known:
            yield _unknown(place, value)


def _unknown(place: Place, value: str) -> Found:
    return found(place, gettext_noop("%(value)s is not in this catalogue"), value=value)


def _retired(drill: Item, known: Mapping[str, Mapping[str, Item]]) -> Iterator[Found]:
    """A drill in use leans on nothing that is out of use."""
    if drill.flag("retired"):
        return
    used = [(place, need, "drills") for place, need in drill.texts("needs")]
    used += [
        (offered.at("checkpoint"), offered.text("checkpoint"), "checkpoints") for offered in drill.items("checkpoints")
    ]
    for place, key, section in used:
        item = known[section].get(key)
        if item and item.flag("retired"):
            yield found(place, gettext_noop("%(value)s is retired"), value=key)


def _all_remedies(whole: Item) -> list[Item]:
    remedies = [remedy for fault in _all_faults(whole) for remedy in fault.items("remedies")]
    for link in whole.items("links"):
        mend = link.fields.get("mend")
        if isinstance(mend, dict):
            remedies.append(Item(link.at("mend"), mend))
    return remedies


_LISTS = {
    "drills": ("areas", "phases", "gate", "needs", "safety"),
    "activities": ("areas", "safety"),
    "checkpoints": ("seen_from",),
}


def _twice_in_lists(whole: Item) -> Iterator[Found]:
    for section, names in _LISTS.items():
        for item in whole.items(section):
            for name in names:
                yield from _twice(item.texts(name))
    for drill in whole.items("drills"):
        yield from _twice([(part.at("checkpoint"), part.text("checkpoint")) for part in drill.items("checkpoints")])
        yield from _twice([(drill.at("steps"), str(count)) for count in drill.numbers("steps")])
    for checkpoint in whole.items("checkpoints"):
        cells = checkpoint.fields.get("cells")
        yield from _twice([(checkpoint.at("cells"), str(cell)) for cell in (cells if isinstance(cells, list) else [])])


def _twice(entries: list[tuple[Place, str]]) -> Iterator[Found]:
    seen: set[str] = set()
    for place, value in entries:
        if value and value in seen:
            yield found(place, gettext_noop("%(value)s stands in this list twice"), value=value)
        seen.add(value)


# ── needs ────────────────────────────────────────────────────────────────────────────────────────────────────────────


def _needs(whole: Item) -> Iterator[Found]:
    drills = _known(whole.items("drills"))
    graph = {key: [need for _, need in drill.texts("needs")] for key, drill in drills.items()}
    cycle = find_cycle(graph)
    if cycle:
        place = drills[cycle[0]].at("needs")
        yield _circle(place, gettext_noop("needs itself in a circle: %(cycle)s"), cycle)


def _circle(place: Place, message: str, cycle: tuple[str, ...]) -> Found:
    """The whole way round, however long."""
    return Found(place, message, (("cycle", " → ".join(shown(key) for key in cycle)),))


# ── faults and what leads to them ────────────────────────────────────────────────────────────────────────────────────


def _faults(whole: Item) -> Iterator[Found]:
    for fault in _all_faults(whole):
        if fault.text("kind") == "early" and not fault.texts("cues"):
            yield found(fault.at("cues"), gettext_noop('an early fault needs a cue ("later")'))
        if fault.text("kind") == "late" and not fault.texts("cues"):
            yield found(fault.at("cues"), gettext_noop('a late fault needs a cue ("sooner")'))
    for remedy in _all_remedies(whole):
        if ("drill" in remedy.fields) == ("adjustment" in remedy.fields):
            yield found(remedy.place, gettext_noop("a remedy is either a drill or an adjustment"))


def _links(whole: Item) -> Iterator[Found]:
    ends: dict[tuple[str, str], Item] = {}
    for link in whole.items("links"):
        if ("fault" in link.fields) == ("cause" in link.fields):
            yield found(link.place, gettext_noop("a link comes either from a fault or from a cause"))
            continue
        pair = (link.text("fault") or link.text("cause"), link.text("to"))
        if pair in ends:
            yield found(link.place, gettext_noop("this link stands above already"))
        ends[pair] = link
    graph: dict[str, list[str]] = {}
    for source, target in ends:
        graph.setdefault(source, []).append(target)
    cycle = find_cycle(graph)
    if cycle:
        place = ends[cycle[0], cycle[1]].place
        yield _circle(place, gettext_noop("leads back to itself: %(cycle)s"), cycle)


# ── drills ───────────────────────────────────────────────────────────────────────────────────────────────────────────


def _gate(drill: Item, whole: Item) -> Iterator[Found]:
    checkpoints = _known(whole.items("checkpoints"))
    offered = {part.text("checkpoint"): part for part in drill.items("checkpoints")}
    shared = EVERYWHERE
    for place, key in drill.texts("gate"):
        if key not in checkpoints:
            continue
        if key not in offered:
            yield found(place, gettext_noop("%(value)s is not among the checkpoints of this drill"), value=key)
        elif (_from_steps(offered[key]) or 0) > min(drill.numbers("steps"), default=0):
            yield found(place, gettext_noop("%(value)s is not offered at every step count"), value=key)
        places = viewing_places([seen for _, seen in checkpoints[key].texts("seen_from")])
        shared &= places or EVERYWHERE
    if not shared:
        yield found(drill.at("gate"), gettext_noop("no one place from which all of the gate is seen"))


def _from_steps(offered: Item) -> int | None:
    value = offered.fields.get("from_steps")
    return value if isinstance(value, int) else None


_CONTACT_AREAS = (AreaKind.WALL, AreaKind.SLIDING_BOX, AreaKind.BOX)


def _contact(drill: Item) -> Iterator[Found]:
    """Where going wrong costs a back there is no choice."""
    if drill.text("risk") != RiskClass.CONTACT:
        yield from _no_contact(drill)
        return
    needs = [need for _, need in drill.texts("needs")]
    if "entry_drill" not in drill.fields:
        yield found(drill.at("entry_drill"), gettext_noop("a contact drill needs an entry drill"))
    elif drill.text("entry_drill") and drill.text("entry_drill") not in needs:
        yield found(drill.at("entry_drill"), gettext_noop("the entry drill must be among the needs"))
    if drill.text("adult") in (AdultLevel.NONE, AdultLevel.FLOOR):
        yield found(drill.at("adult"), gettext_noop("a contact drill needs an adult of contact level"))
    if drill.text("poles") in set(PoleNeed) - {PoleNeed.RATED}:
        yield found(drill.at("poles"), gettext_noop("a contact drill needs a rated pole"))


def _safety(drill: Item) -> Iterator[Found]:
    """What can hurt is run with its warnings in sight."""
    if drill.fields.get("safety"):
        return
    if drill.text("risk") == RiskClass.CONTACT:
        yield found(drill.at("safety"), gettext_noop("a contact drill needs a safety text"))
    elif drill.flag("slides"):
        yield found(drill.at("safety"), gettext_noop("a drill whose tip slides needs a safety text"))


def _no_contact(drill: Item) -> Iterator[Found]:
    if drill.text("entry_drill"):
        yield found(drill.at("entry_drill"), gettext_noop("only a contact drill has an entry drill"))
    for place, area in drill.texts("areas"):
        if area in _CONTACT_AREAS:
            yield found(place, gettext_noop("work at a wall or a box is of the risk class contact"))


def _run(drill: Item, whole: Item) -> Iterator[Found]:
    """A plant run under six steps starts lowered, and what starts lowered shows neither carry nor drop."""
    lowered = drill.flag("starts_lowered")
    phases = drill.texts("phases")
    steps = drill.numbers("steps")
    planted = any(phase == Phase.PLANT for _, phase in phases)
    for place, phase in phases:
        if phase == Phase.ALL:
            yield found(place, gettext_noop("name the phases themselves"))
        elif lowered and phase in (Phase.CARRY, Phase.DROP):
            yield found(place, gettext_noop("a drill that starts lowered has no carry and no drop"))
    if planted and steps and max(steps) < SHORTEST_WITH_DROP and not lowered:
        yield found(drill.at("starts_lowered"), gettext_noop("a plant run under six steps starts lowered"))
    if planted and steps:
        yield from _no_drop_yet(drill, min(steps), lowered, whole)


def _no_drop_yet(drill: Item, shortest: int, lowered: bool, whole: Item) -> Iterator[Found]:
    phase_of = {key: item.text("phase") for key, item in _known(whole.items("checkpoints")).items()}
    for offered in drill.items("checkpoints"):
        if phase_of.get(offered.text("checkpoint")) != Phase.DROP:
            continue
        if lowered or (shortest < SHORTEST_WITH_DROP and (_from_steps(offered) or 0) < SHORTEST_WITH_DROP):
            yield found(offered.place, gettext_noop("under six steps there is no drop to watch"))
