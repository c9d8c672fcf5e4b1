"""Comparing and merging catalogues: what is asked, what is proposed, and that nothing of the club's is lost."""

import copy
from pathlib import Path
from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from drills.core.items import COVER, Fields, ItemId, Kind, catalogue_of, misfits, take_apart, take_out
from drills.core.merge import What, differences, every_choice, merged
from drills.core.reading import read_catalogue

BASE = take_apart(read_catalogue((Path(__file__).parent / "small_catalogue.yaml").read_bytes()))

LOOK_OUT = ItemId(Kind.SAFETY, "look-out")
LOWER = ItemId(Kind.ADJUSTMENT, "hold-lower")
RUN = ItemId(Kind.DRILL, "run")
LATE = ItemId(Kind.FAULT, "drop-late")
JUMPING = ItemId(Kind.ACTIVITY, "jumping")


def edited(**items: Fields) -> dict[ItemId, Fields]:
    changed = copy.deepcopy(BASE)
    for name, fields in items.items():
        changed[{"look_out": LOOK_OUT, "lower": LOWER, "run": RUN, "late": LATE, "jumping": JUMPING}[name]] |= fields
    return changed


def test_a_catalogue_has_no_difference_to_itself() -> None:
    assert differences(BASE, BASE, BASE) == ()


def test_what_only_the_club_changed_is_not_asked() -> None:
    assert differences(BASE, edited(run={"name": "Ours"}), BASE) == ()


def test_what_only_the_edition_changed_is_proposed() -> None:
    (one,) = differences(BASE, BASE, edited(run={"name": "Theirs"}))
    assert (one.item, one.what, one.disputed) == (RUN, What.CHANGED, False)
    assert one.proposed == ("drills/run",)


def test_the_same_change_on_both_sides_is_no_question() -> None:
    both = edited(run={"name": "Same"})
    assert differences(BASE, both, both) == ()


def test_where_both_changed_a_field_it_is_disputed_and_ours_stays() -> None:
    ours = edited(run={"name": "Ours", "places": 4})
    theirs = edited(run={"name": "Theirs", "purpose": "To run well."})
    (one,) = differences(BASE, ours, theirs)
    said = {field.name: (field.base, field.ours, field.theirs, field.disputed) for field in one.fields}
    assert said == {
        "name": ("Run", "Ours", "Theirs", True),
        "purpose": ("To run.", "To run.", "To run well.", False),
    }
    assert one.proposed == ("drills/run#purpose",)
    result = merged(ours, theirs, [one], set(one.proposed))[RUN]
    assert (result["name"], result["places"], result["purpose"]) == ("Ours", 4, "To run well.")


def test_what_the_edition_took_out_and_the_club_edited_stays_unless_chosen() -> None:
    theirs = {item: fields for item, fields in BASE.items() if item != JUMPING}
    (one,) = differences(BASE, edited(jumping={"minutes": 45}), theirs)
    assert (one.what, one.disputed, one.proposed) == (What.REMOVED, True, ())


def test_what_the_club_took_out_and_the_edition_changed_stays_out_unless_chosen() -> None:
    ours = {item: fields for item, fields in BASE.items() if item != JUMPING}
    theirs = edited(jumping={"minutes": 45})
    (one,) = differences(BASE, ours, theirs)
    assert (one.what, one.disputed, one.proposed) == (What.ADDED, True, ())
    assert merged(ours, theirs, [one], set(one.choices))[JUMPING]["minutes"] == 45


def test_another_order_is_one_question_and_taken_whole() -> None:
    drills = [item for item in BASE if item.kind is Kind.DRILL]
    theirs = {item: BASE[item] for item in BASE if item.kind is not Kind.DRILL}
    theirs |= {item: BASE[item] for item in reversed(drills)}
    (one,) = differences(BASE, BASE, theirs)
    assert (one.what, one.item) == (What.ORDER, ItemId(Kind.DRILL, ""))
    taken = merged(BASE, theirs, [one], set(one.choices))
    assert [item for item in taken if item.kind is Kind.DRILL] == drills[::-1]
    kept = merged(BASE, theirs, [one], set())
    assert [item for item in kept if item.kind is Kind.DRILL] == drills


def test_a_new_item_stands_after_its_neighbour_of_the_other_catalogue() -> None:
    new = ItemId(Kind.SAFETY, "wet")
    theirs = {new: {"key": "wet", "title": "Wet", "text": "Nobody runs."}, **BASE}
    ours = {**BASE, ItemId(Kind.SAFETY, "ours"): {"key": "ours", "title": "Ours", "text": "Ours."}}
    result = merged(ours, theirs, differences(BASE, ours, theirs), {"safety/wet"})
    assert [item.key for item in result if item.kind is Kind.SAFETY] == ["wet", "look-out", "ours"]


def test_a_used_drill_is_retired_with_all_that_it_leans_on() -> None:
    box, gone = ItemId(Kind.DRILL, "box"), [item for item in BASE if item.kind in (Kind.DRILL, Kind.LOAD_CLASS)]
    kept = take_out(BASE, gone, {box})
    assert kept[box]["retired"] is True
    assert {item.key for item in kept if item.kind is Kind.DRILL} == {"box", "run", "carry"}
    assert all(kept[item].get("retired") for item in kept if item.kind is Kind.DRILL)
    assert ItemId(Kind.LOAD_CLASS, "box-work") in kept
    assert misfits(kept) == ()


def test_a_choice_that_does_not_fit_says_at_which_item_and_field() -> None:
    theirs = copy.deepcopy(BASE)
    theirs[ItemId(Kind.STAGE, "second")] = {"key": "second", "number": 1, "name": "Second"}
    theirs[RUN] |= {"stage": "second"}
    asked = differences(BASE, BASE, theirs)
    (problem,) = misfits(merged(BASE, theirs, asked, {"drills/run"}))
    assert (problem.item, problem.field) == (RUN, "stage")
    assert misfits(merged(BASE, theirs, asked, set(every_choice(asked)))) == ()


TEXTS = st.sampled_from(["one", "two", "three"])
EDITS: list[tuple[ItemId, str, Any]] = [
    (LOOK_OUT, "text", TEXTS), (LOOK_OUT, "title", TEXTS), (LOWER, "how", TEXTS), (RUN, "purpose", TEXTS),
    (RUN, "places", st.integers(1, 9)), (LATE, "cues", st.lists(TEXTS, min_size=1, max_size=3)),
    (JUMPING, "minutes", st.integers(1, 99)), (COVER, "name", TEXTS), (ItemId(Kind.STAGE, "first"), "about", TEXTS),
]  # fmt: skip


@st.composite
def edits(draw: Any) -> dict[ItemId, Fields]:
    changed = copy.deepcopy(BASE)
    for item, name, values in draw(st.lists(st.sampled_from(EDITS), unique_by=lambda edit: edit[:2])):
        changed[item][name] = draw(values)
    return changed


@settings(max_examples=200, deadline=None)
@given(edits(), edits())
def test_the_proposal_loses_nothing_of_the_clubs_and_takes_all_that_is_free(
    ours: dict[ItemId, Fields], theirs: dict[ItemId, Fields]
) -> None:
    asked = differences(BASE, ours, theirs)
    result = merged(ours, theirs, asked, {choice for one in asked for choice in one.proposed})
    for item, name, _values in EDITS:
        base, mine, other = BASE[item].get(name), ours[item].get(name), theirs[item].get(name)
        assert result[item].get(name) == (mine if mine != base else other)
    catalogue_of(result)


@settings(max_examples=100, deadline=None)
@given(edits(), edits())
def test_taking_everything_gives_the_other_and_taking_nothing_keeps_ours(
    ours: dict[ItemId, Fields], theirs: dict[ItemId, Fields]
) -> None:
    asked = differences(ours, ours, theirs)
    assert merged(ours, theirs, asked, set(every_choice(asked))) == theirs
    assert merged(ours, theirs, asked, set()) == ours


@pytest.mark.parametrize("kind", [Kind.DRILL, Kind.CHECKPOINT, Kind.FAULT, Kind.LINK, Kind.SAFETY])
def test_every_item_taken_out_alone_is_one_question(kind: Kind) -> None:
    for item in [one for one in BASE if one.kind is kind]:
        theirs = {one: fields for one, fields in BASE.items() if one != item}
        assert [(one.item, one.what) for one in differences(BASE, BASE, theirs)] == [(item, What.REMOVED)]
