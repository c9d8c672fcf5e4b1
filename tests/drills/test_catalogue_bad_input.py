"""Generated bad input for the catalogue file: every operator on every field it can spoil. Each time the file is refused
whole, and one of its problems names the line and the path of the spoilt place.

Lines are found by PyYAML's own composer and paths are spelled here, so that neither is judged by the code under test.
"""

import copy
import re
from collections.abc import Callable, Iterator
from pathlib import Path
from typing import Any

import pytest
import yaml

from drills.core.problems import CatalogueProblems, Problem
from drills.core.reading import read_catalogue

SMALL: dict[str, Any] = yaml.safe_load((Path(__file__).parent / "small_catalogue.yaml").read_bytes())

# libyaml where it is there: thousands of files are written and searched here
LOADER: Any = getattr(yaml, "CSafeLoader", yaml.SafeLoader)
DUMPER: Any = getattr(yaml, "CSafeDumper", yaml.SafeDumper)

# What may be left out of its group of fields, by the name of the group.
MAY_BE_MISSING = {
    "file": {"load_classes", "safety", "adjustments", "causes", "links", "activities"},
    "stages": {"about"},
    "load_classes": {"days_a_week", "common_practice"},
    "safety": {"common_practice"},
    "adjustments": {"retired"},
    "checkpoints": {"landing", "common_practice", "retired", "good", "from_steps"},
    "faults": {"unsafe", "cues", "remedies", "retired"},
    "remedies": {"drill", "adjustment", "note"},
    "causes": {"about"},
    "links": {"fault", "cause", "note", "mend", "common_practice"},
    "mend": {"drill", "adjustment", "note"},
    "drills": {
        "dose",
        "make_easier",
        "make_harder",
        "steps",
        "starts_lowered",
        "needs",
        "entry_drill",
        "load",
        "slides",
        "safety",
        "retired",
    },
    "surfaces": {"smooth-floor", "synthetic-track", "grass"},
    "activities": {"places", "load", "needs_clearance", "job", "safety", "retired"},
}
REFERENCES = {"stage", "load", "entry_drill", "checkpoint", "drill", "adjustment", "fault", "cause", "to"}
REFERENCE_LISTS = {"gate", "needs", "safety"}

Place = tuple[str | int, ...]


def walk(value: Any, place: Place = ()) -> Iterator[tuple[Place, Any]]:
    """Every value of the file with its place, the whole first."""
    yield place, value
    parts = value.items() if isinstance(value, dict) else enumerate(value) if isinstance(value, list) else ()
    for name, part in parts:
        yield from walk(part, (*place, name))


def at(value: Any, place: Place) -> Any:
    for part in place:
        value = value[part]
    return value


def group(place: Place) -> str:
    """The name of the group that holds this field: the last name on the way to it."""
    return next((part for part in reversed(place[:-1]) if isinstance(part, str)), "file")


def field(place: Place) -> str:
    """The name of the field, also for an item of its list."""
    return next((part for part in reversed(place) if isinstance(part, str)), "file")


def spelled(value: Any, place: Place) -> str:
    """Items go by their key where it is one, else by their position from 1."""
    text = ""
    for part in place:
        value = value[part] if isinstance(value, list) or (isinstance(value, dict) and part in value) else None
        if isinstance(part, int):
            key = value.get("key") if isinstance(value, dict) else None
            is_key = (
                isinstance(key, str) and len(key) <= 50 and all(re.fullmatch("[a-z0-9]+", w) for w in key.split("-"))
            )
            text += f"[{key if is_key else part + 1}]"
        else:
            text += f".{part}" if text else part
    return text or "file"


def line_of(text: str, place: Place) -> int:
    """Line of a field's name, of a list item, or of the nearest thing around that is there."""
    node = yaml.compose(text, Loader=LOADER)
    line = 1
    for part in place:
        if isinstance(node, yaml.MappingNode):
            found = [(key, value) for key, value in node.value if key.value == part]
            if not found:
                break
            key, node = found[0]
            line = key.start_mark.line + 1
        else:
            node = node.value[part]
            line = node.start_mark.line + 1
    return line


def dumped(value: Any) -> str:
    return yaml.dump(value, Dumper=DUMPER, sort_keys=False, allow_unicode=True, width=10_000)


def problems(text: str | bytes) -> tuple[Problem, ...]:
    with pytest.raises(CatalogueProblems) as caught:
        read_catalogue(text if isinstance(text, bytes) else text.encode("utf-8", "surrogatepass"))
    return caught.value.problems


def spoilt(place: Place, bad: Any) -> tuple[str, Any]:
    """The file with another value at a place, as text and as values."""
    value = copy.deepcopy(SMALL)
    at(value, place[:-1])[place[-1]] = bad
    return dumped(value), value


def must_name(text: str, value: Any, place: Place) -> None:
    found = {(problem.line, problem.path) for problem in problems(text)}
    assert (line_of(text, place), spelled(value, place)) in found


EVERYTHING = [(place, value) for place, value in walk(SMALL) if place]
NAMED = [(place, value) for place, value in EVERYTHING if isinstance(place[-1], str)]
TEXTS = [(place, value) for place, value in EVERYTHING if isinstance(value, str)]
NUMBERS = [(place, value) for place, value in EVERYTHING if isinstance(value, int) and not isinstance(value, bool)]
LISTS = [(place, value) for place, value in EVERYTHING if isinstance(value, list)]
GROUPS = [place for place, value in walk(SMALL) if isinstance(value, dict)]
KEYED = [
    place for place, value in EVERYTHING if isinstance(place[-1], int) and isinstance(value, dict) and "key" in value
]
FREE = {"name", "about", "title", "text", "how", "note", "good", "cues", "purpose", "setup", "dose"} | {
    "make_easier",
    "make_harder",
    "short",
    "label",
}


def may_be_empty(place: Place) -> bool:
    return field(place) in MAY_BE_MISSING.get(group(place), set()) and field(place) in FREE - {"cues"}


def ids(cases: list[Any]) -> list[str]:
    return [spelled(SMALL, case[0] if isinstance(case[0], tuple) else case) for case in cases]


def each(cases: list[Any]) -> pytest.MarkDecorator:
    """One test for each place: for what ends the reading, or spoils other places too."""
    return pytest.mark.parametrize("case", cases, ids=ids(cases))


def nested(one: Place, other: Place) -> bool:
    return one[: len(other)] == other[: len(one)]


def batches(cases: list[tuple[Place, Any]], size: int = 12) -> list[list[tuple[Place, Any]]]:
    """Every case once, in batches of places none of which lies inside another: all of a batch is spoilt in one file."""
    made: list[list[tuple[Place, Any]]] = []
    for case in cases:
        room = (batch for batch in made if len(batch) < size and not any(nested(case[0], other) for other, _ in batch))
        batch = next(room, None)
        if batch is None:
            made.append([case])
        else:
            batch.append(case)
    return made


def together(cases: list[tuple[Place, Any]]) -> pytest.MarkDecorator:
    return pytest.mark.parametrize("batch", batches(cases))


def spoilt_together(batch: list[tuple[Place, Any]], bad: Callable[[int], Any]) -> Any:
    value = copy.deepcopy(SMALL)
    for number, (place, _) in enumerate(batch):
        at(value, place[:-1])[place[-1]] = bad(number)
    return value


def must_name_all(text: str, value: Any, batch: list[tuple[Place, Any]], lines: list[int] | None = None) -> None:
    """lines: where the text itself cannot be searched."""
    found = {(problem.line, problem.path) for problem in problems(text)}
    wanted = lines or [line_of(text, place) for place, _ in batch]
    assert {(line, spelled(value, place)) for line, (place, _) in zip(wanted, batch, strict=True)} <= found


def test_the_small_catalogue_is_good_and_names_every_field_there_is() -> None:
    catalogue = read_catalogue(dumped(SMALL).encode())
    given = {(group(place), place[-1]) for place, _ in NAMED}
    missing = [
        (name, entry) for name, entries in MAY_BE_MISSING.items() for entry in entries if (name, entry) not in given
    ]
    assert catalogue.version == 1
    assert missing == []


@together([case for case in NAMED if case[0][-1] not in MAY_BE_MISSING.get(group(case[0]), set())])
def test_drop_fields_that_must_be_there(batch: list[tuple[Place, Any]]) -> None:
    value = copy.deepcopy(SMALL)
    for place, _ in batch:
        del at(value, place[:-1])[place[-1]]
    text = dumped(value)
    missing = {(problem.line, problem.path) for problem in problems(text) if problem.reason == "is missing"}
    assert {(line_of(text, place), spelled(value, place)) for place, _ in batch} <= missing


BAD_TYPES: list[Any] = ["text", 7, True, ["text"], {"a": 1}]
WRONG = [
    (bad, batch)
    for bad in BAD_TYPES
    for batch in batches([case for case in EVERYTHING if type(case[1]) is not type(bad)])
]


@pytest.mark.parametrize(("bad", "batch"), WRONG)
def test_give_values_of_the_wrong_type(bad: Any, batch: list[tuple[Place, Any]]) -> None:
    value = spoilt_together(batch, lambda number: copy.deepcopy(bad))
    must_name_all(dumped(value), value, batch)


@together([case for case in NAMED if not isinstance(case[1], list | dict)])
def test_write_fields_twice(batch: list[tuple[Place, Any]]) -> None:
    text = dumped(SMALL)
    lines = text.splitlines()
    places = sorted((line_of(text, place), place) for place, _ in batch)
    for line, place in reversed(places):
        indent = len(lines[line - 1]) - len(lines[line - 1].lstrip(" -"))
        lines.insert(line, " " * indent + f"{place[-1]}: again")
    found = {(problem.line, problem.path) for problem in problems("\n".join(lines))}
    wanted = {(line + before + 1, spelled(SMALL, place) + " (again)") for before, (line, place) in enumerate(places)}
    assert wanted <= found


@each(KEYED)
def test_write_an_item_twice(case: Place) -> None:
    value = copy.deepcopy(SMALL)
    items = at(value, case[:-1])
    items.append(copy.deepcopy(at(value, case)))
    text = dumped(value)
    must_name(text, value, (*case[:-1], len(items) - 1, "key"))


@each([case for case in TEXTS if field(case[0]) in REFERENCES or group((*case[0], "")) in REFERENCE_LISTS])
def test_refer_to_what_is_not_there(case: tuple[Place, str]) -> None:
    place, _ = case
    if place[:2] == ("safety", 0):
        pytest.skip("the safety texts themselves")
    text, value = spoilt(place, "no-such-thing")
    found = {(problem.line, problem.path, problem.reason) for problem in problems(text)}
    assert (line_of(text, place), spelled(value, place), "no-such-thing is not in this catalogue") in found


@each([place for place in KEYED if place[0] == "drills"])
def test_make_a_drill_need_itself_by_a_detour(case: Place) -> None:
    value = copy.deepcopy(SMALL)
    key = at(value, case)["key"]
    last = value["drills"][-1]["key"]
    value["drills"][-1]["needs"] = [drill["key"] for drill in value["drills"] if drill["key"] != last]
    at(value, case)["needs"] = [last] if key != last else [key]
    text = dumped(value)
    (reason,) = [problem.reason for problem in problems(text) if "circle" in problem.reason]
    assert f"{key} → {last}" in reason or f"{last} → {key}" in reason


@each(TEXTS)
def test_write_bytes_that_are_no_utf_8(case: tuple[Place, str]) -> None:
    place, _ = case
    text, value = spoilt(place, "spoilt-here")
    (problem,) = problems(text.encode().replace(b"spoilt-here", b"spoilt-\xff"))
    assert problem.line == line_of(text, place)


@together(TEXTS)
@pytest.mark.parametrize("bad", ["a\x00b", "a\nb", "a\u202eb", "a\ud800b"], ids=ascii)
def test_write_characters_that_no_text_may_have(batch: list[tuple[Place, str]], bad: str) -> None:
    text = dumped(spoilt_together(batch, lambda number: "spoilt-here"))
    escaped = text.replace("spoilt-here", '"' + "".join(_escaped(letter) for letter in bad) + '"')
    value = spoilt_together(batch, lambda number: bad)
    must_name_all(escaped, value, batch, [line_of(text, place) for place, _ in batch])


def _escaped(letter: str) -> str:
    return letter if letter.isalpha() and letter.isascii() else f"\\u{ord(letter):04X}"


@together(TEXTS)
def test_write_texts_of_thirty_thousand_letters(batch: list[tuple[Place, str]]) -> None:
    value = spoilt_together(batch, lambda number: "a" * 30_000)
    must_name_all(dumped(value), value, batch)


@together([case for case in TEXTS if not may_be_empty(case[0])])
@pytest.mark.parametrize("bad", ["", "   "], ids=repr)
def test_write_nothing_where_text_belongs(batch: list[tuple[Place, str]], bad: str) -> None:
    value = spoilt_together(batch, lambda number: bad)
    must_name_all(dumped(value), value, batch)


@together(NUMBERS)
@pytest.mark.parametrize("bad", [-1, 10**8, 10**30], ids=repr)
def test_write_numbers_out_of_all_bounds(batch: list[tuple[Place, int]], bad: int) -> None:
    value = spoilt_together(batch, lambda number: bad)
    must_name_all(dumped(value), value, batch)


@each(LISTS)
def test_repeat_the_items_of_a_list_beyond_all_bounds(case: tuple[Place, list[Any]]) -> None:
    place, items = case
    many = [copy.deepcopy(item) for item in items * (320 // len(items) + 1)]
    text, value = spoilt(place, many)
    must_name(text, value, place)


@together([case for case in TEXTS if field(case[0]) not in FREE])
@pytest.mark.parametrize("bad", ["=cmd()", "No Such Thing", "-a", "a--b", "ünder"])
def test_write_formulas_and_malformed_names_where_keys_and_choices_belong(
    batch: list[tuple[Place, str]], bad: str
) -> None:
    value = spoilt_together(batch, lambda number: bad)
    must_name_all(dumped(value), value, batch)


@together([((*place, "surprise"), None) for place in GROUPS])
def test_add_fields_that_nobody_knows(batch: list[tuple[Place, None]]) -> None:
    value = spoilt_together(batch, lambda number: 1)
    must_name_all(dumped(value), value, batch)


@together(EVERYTHING)
def test_write_anchors_and_tags(batch: list[tuple[Place, Any]]) -> None:
    value = spoilt_together(batch, lambda number: f"spoilt-{number}-here")
    text = dumped(value)
    marked = re.sub(r"(spoilt-(\d+)-here)", r"&a\2 !!python/name:os.system \1", text)
    found = {str(problem) for problem in problems(marked)}
    for place, _ in batch:
        where = f"line {line_of(text, place)}, {spelled(value, place)}"
        assert f"{where}: anchors are not allowed: write the value out" in found
        assert f"{where}: tags are not allowed: remove tag:yaml.org,2002:python/name:os.system" in found


@together(EVERYTHING)
def test_write_alias_bombs(batch: list[tuple[Place, Any]]) -> None:
    text = dumped(spoilt_together(batch, lambda number: f"spoilt-{number}-here"))
    value = spoilt_together(batch, lambda number: [[1], None, None])
    bomb = re.sub(r"spoilt-(\d+)-here", r"[&a\1 [1], *a\1, *a\1]", text)
    found = {(problem.line, problem.path) for problem in problems(bomb) if problem.reason.startswith("aliases")}
    wanted = {(line_of(text, place), spelled(value, place) + f"[{item}]") for place, _ in batch for item in (2, 3)}
    assert found == wanted


@each(EVERYTHING)
def test_nest_a_value_without_end(case: tuple[Place, Any]) -> None:
    place, _ = case
    text, _ = spoilt(place, "spoilt-here")
    found = problems(text.replace("spoilt-here", "[" * 50))
    assert any("nested too deeply" in problem.reason and problem.line == line_of(text, place) for problem in found)


def contact(name: str, bad: Any) -> Callable[[dict[str, Any]], Place]:
    def spoil(value: dict[str, Any]) -> Place:
        value["drills"][-1][name] = bad
        return ("drills", len(value["drills"]) - 1, name)

    return spoil


def offered_nowhere(value: dict[str, Any]) -> Place:
    value["drills"][0]["gate"] = ["tip-quiet"]
    return ("drills", 0, "gate", 0)


def two_places(value: dict[str, Any]) -> Place:
    value["drills"][0]["checkpoints"].append({"checkpoint": "bottom-elbow"})
    value["drills"][0]["gate"] = ["carry-height", "bottom-elbow"]
    return ("drills", 0, "gate")


def cue_gone(value: dict[str, Any]) -> Place:
    del value["checkpoints"][1]["faults"][0]["cues"]
    return ("checkpoints", 1, "faults", 0, "cues")


def no_entry(value: dict[str, Any]) -> Place:
    del value["drills"][-1]["entry_drill"]
    return ("drills", len(value["drills"]) - 1, "entry_drill")


def contact_without_safety(value: dict[str, Any]) -> Place:
    del value["drills"][-1]["safety"]
    return ("drills", len(value["drills"]) - 1, "safety")


def slides_without_safety(value: dict[str, Any]) -> Place:
    at = next(at for at, drill in enumerate(value["drills"]) if drill.get("slides"))
    value["drills"][at]["safety"] = []
    return ("drills", at, "safety")


def entry_on_the_floor(value: dict[str, Any]) -> Place:
    value["drills"][1]["entry_drill"] = value["drills"][0]["key"]
    return ("drills", 1, "entry_drill")


def box_on_the_floor(value: dict[str, Any]) -> Place:
    value["drills"][0]["areas"] = ["floor", "box"]
    return ("drills", 0, "areas", 1)


def both_remedies(value: dict[str, Any]) -> Place:
    value["checkpoints"][0]["faults"][0]["remedies"][0]["drill"] = value["drills"][0]["key"]
    return ("checkpoints", 0, "faults", 0, "remedies", 0)


def both_sources(value: dict[str, Any]) -> Place:
    value["links"][0]["fault"] = "tip-bounces"
    return ("links", 0)


def link_round(value: dict[str, Any]) -> Place:
    value["links"].append({"fault": value["links"][1]["to"], "to": value["links"][1]["fault"]})
    return ("links", 1)


def link_twice(value: dict[str, Any]) -> Place:
    value["links"].append(dict(value["links"][0]))
    return ("links", len(value["links"]) - 1)


def drop_lowered(value: dict[str, Any]) -> Place:
    value["drills"][-1]["checkpoints"].append({"checkpoint": "drop-start"})
    return ("drills", len(value["drills"]) - 1, "checkpoints", len(value["drills"][-1]["checkpoints"]) - 1)


def retired_need(value: dict[str, Any]) -> Place:
    value["drills"][0]["retired"] = True
    return ("drills", 1, "needs", 0)


def early_without_cue(value: dict[str, Any]) -> Place:
    value["checkpoints"][2]["faults"][0]["kind"] = "early"
    return ("checkpoints", 2, "faults", 0, "cues")


def gate_only_in_longer_runs(value: dict[str, Any]) -> Place:
    value["drills"][1]["checkpoints"][1]["from_steps"] = 8
    value["drills"][1]["gate"] = ["drop-start"]
    return ("drills", 1, "gate", 0)


def drop_in_the_shortest_run(value: dict[str, Any]) -> Place:
    value["drills"][1]["steps"] = [4, 8]
    value["drills"][1]["checkpoints"][1]["from_steps"] = 0
    return ("drills", 1, "checkpoints", 1)


def retired_checkpoint(value: dict[str, Any]) -> Place:
    value["checkpoints"][4]["retired"] = True
    return ("drills", 2, "checkpoints", 1, "checkpoint")


def phase_of_everything(value: dict[str, Any]) -> Place:
    value["drills"][1]["phases"] = ["carry", "all"]
    return ("drills", 1, "phases", 1)


def lowered_with_a_drop(value: dict[str, Any]) -> Place:
    value["drills"][2]["phases"] = ["plant", "drop"]
    return ("drills", 2, "phases", 1)


def fault_named_like_a_cause(value: dict[str, Any]) -> Place:
    value["causes"][0]["key"] = "jumps"
    return ("causes", 0, "key")


RULES = [
    early_without_cue,
    gate_only_in_longer_runs,
    drop_in_the_shortest_run,
    retired_checkpoint,
    phase_of_everything,
    lowered_with_a_drop,
    fault_named_like_a_cause,
    contact("entry_drill", "box"),
    contact("adult", "floor"),
    contact("poles", "any"),
    contact("risk", "moving"),
    contact("starts_lowered", False),
    contact("gate", ["stays-grounded", "full-reach", "carry-height"]),
    no_entry,
    contact_without_safety,
    slides_without_safety,
    entry_on_the_floor,
    box_on_the_floor,
    offered_nowhere,
    two_places,
    cue_gone,
    both_remedies,
    both_sources,
    link_round,
    link_twice,
    drop_lowered,
    retired_need,
]


@pytest.mark.parametrize("spoil", RULES)
def test_break_a_rule_of_the_trade(spoil: Callable[[dict[str, Any]], Place]) -> None:
    value = copy.deepcopy(SMALL)
    place = spoil(value)
    text = dumped(value)
    if place[-1] == "risk":  # what no contact drill may have is named where it stands
        place = (*place[:-1], "areas", 0)
    must_name(text, value, place)


@pytest.mark.parametrize(
    "place",
    [
        ("checkpoints", 1, "name"),
        ("drills", 1, "name"),
        ("drills", 1, "short"),
        ("activities", 1, "name"),
        ("stages", 1, "number"),
    ],
)
def test_give_two_items_the_same_name_or_number(place: Place) -> None:
    value = copy.deepcopy(SMALL)
    for section in ("activities", "stages"):
        value[section].append({**value[section][0], "key": "second"})
    assert all("key" not in problem.path for problem in problems(dumped(value)))
    at(value, place[:-1])[place[-1]] = at(value, (place[0], 0, place[2]))
    text = dumped(value)
    must_name(text, value, place)


ONCE_ONLY: list[tuple[Place, Place]] = [
    (("drills", 0, "areas"), ("drills", 0, "areas", 2)),
    (("drills", 1, "phases"), ("drills", 1, "phases", 3)),
    (("drills", 0, "gate"), ("drills", 0, "gate", 1)),
    (("drills", 2, "needs"), ("drills", 2, "needs", 2)),
    (("drills", 0, "safety"), ("drills", 0, "safety", 1)),
    (("drills", 0, "checkpoints"), ("drills", 0, "checkpoints", 1, "checkpoint")),
    (("drills", 1, "steps"), ("drills", 1, "steps")),
    (("activities", 0, "areas"), ("activities", 0, "areas", 1)),
    (("activities", 0, "safety"), ("activities", 0, "safety", 1)),
    (("checkpoints", 0, "seen_from"), ("checkpoints", 0, "seen_from", 1)),
    (("checkpoints", 1, "cells"), ("checkpoints", 1, "cells")),
]


@pytest.mark.parametrize(("where", "place"), ONCE_ONLY, ids=lambda place: spelled({}, place))
def test_write_the_same_entry_into_a_list_twice(where: Place, place: Place) -> None:
    value = copy.deepcopy(SMALL)
    entries = at(value, where)
    entries.append(copy.deepcopy(entries[0]))
    text = dumped(value)
    twice = {(problem.line, problem.path) for problem in problems(text) if "twice" in problem.reason}
    assert twice == {(line_of(text, place), spelled(value, place))}


def test_many_wrongs_at_once_are_all_named() -> None:
    value = copy.deepcopy(SMALL)
    places = [spoil(value) for spoil in (two_places, cue_gone, both_remedies, both_sources, drop_lowered)]
    value["stages"][0]["number"] = "first"
    del value["drills"][1]["purpose"]
    value["checkpoints"][0]["faults"][0]["label"] = "far too long for a chip"
    places += [("stages", 0, "number"), ("drills", 1, "purpose"), ("checkpoints", 0, "faults", 0, "label")]
    text = dumped(value)
    found = {(problem.line, problem.path) for problem in problems(text)}
    assert {(line_of(text, place), spelled(value, place)) for place in places} <= found
