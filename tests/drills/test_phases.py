"""Phases of a run, counted back from take-off."""

from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from drills.core.catalogue import Cell
from drills.core.phases import RunPhases, in_lefts, is_take_off_foot, lit_cells, phases
from drills.core.reading import read_catalogue
from drills.core.strip import Strip, strip_of

CATALOGUE = read_catalogue((Path(__file__).parents[2] / "fixtures" / "catalogue.yaml").read_bytes())


def test_a_ten_step_run_is_four_carry_three_drop_three_plant() -> None:
    run = phases(10)
    assert run == RunPhases(carry=4, lowered=0, drop=3, plant=3)
    assert (run.drop_from, run.plant_from) == (6, 3)


def test_six_steps_have_no_carry_and_seven_have_one() -> None:
    assert phases(6) == RunPhases(carry=0, lowered=0, drop=3, plant=3)
    assert phases(7) == RunPhases(carry=1, lowered=0, drop=3, plant=3)


@pytest.mark.parametrize(("steps", "lowered", "plant"), [(1, 0, 1), (2, 0, 2), (3, 0, 3), (4, 1, 3), (5, 2, 3)])
def test_under_six_steps_the_run_starts_lowered(steps: int, lowered: int, plant: int) -> None:
    assert phases(steps) == RunPhases(carry=0, lowered=lowered, drop=0, plant=plant)
    assert phases(steps).drop_from is None


def test_a_longer_drop_takes_its_steps_from_the_carry_and_never_more_than_there_are() -> None:
    assert phases(16, drop_steps=8) == RunPhases(carry=5, lowered=0, drop=8, plant=3)
    assert phases(8, drop_steps=8) == RunPhases(carry=0, lowered=0, drop=5, plant=3)


@given(st.integers(1, 40), st.integers(1, 12))
def test_the_phases_always_sum_to_the_run(steps: int, drop_steps: int) -> None:
    run = phases(steps, drop_steps)
    assert run.carry + run.lowered + run.drop + run.plant == steps
    assert min(run.carry, run.lowered, run.drop) >= 0 and 1 <= run.plant <= 3


@pytest.mark.parametrize(("steps", "drop"), [(0, 3), (-2, 3), (8, 0)])
def test_a_run_without_a_step_is_refused(steps: int, drop: int) -> None:
    with pytest.raises(ValueError, match="at least one step"):
        phases(steps, drop)


def test_even_landings_are_on_the_take_off_foot_and_lefts_are_half_the_steps() -> None:
    assert [is_take_off_foot(landing) for landing in (0, 1, 2, 3, 6)] == [True, False, True, False, True]
    assert (in_lefts(12), in_lefts(7)) == (6, 3.5)


def test_the_strip_of_a_drill_lights_only_its_own_cells() -> None:
    drills = {drill.key: drill for drill in CATALOGUE.drills}
    assert lit_cells(drills["wall-plant"]) == (Cell.STEP_3, Cell.STEP_2, Cell.STEP_1, Cell.CONTACT)
    assert lit_cells(drills["six-step-walking-drop-and-plant"]) == tuple(Cell)[1:7]
    assert lit_cells(drills["plant-run-8"]) == tuple(Cell)


def test_the_shipped_drills_start_lowered_exactly_when_a_plant_run_is_under_six_steps() -> None:
    for drill in CATALOGUE.drills:
        short_plant_run = bool(drill.steps) and max(drill.steps) < 6 and "plant" in drill.phases
        assert drill.starts_lowered == short_plant_run
        if short_plant_run:
            assert all(phases(steps).drop == 0 for steps in drill.steps)


@pytest.mark.parametrize(
    "phases,steps,last_landing,areas,lit,off,end",
    [
        (["drop", "plant"], [6], 0, ["floor"], "drop plant", "", "box"),
        (["carry", "drop"], [3], 3, ["floor"], "carry drop", "3 2 1", "box"),
        (["plant", "contact"], [4], 0, ["wall"], "plant contact", "6 5 carry", "wall"),
        (["all"], [2, 4, 6], 0, ["floor"], "carry drop plant contact", "", "box"),
        (["drop"], [], 0, ["floor"], "drop", "", "box"),
    ],
)
def test_a_drill_lights_its_phases_and_leaves_out_steps_it_does_not_have(
    phases, steps, last_landing, areas, lit, off, end
) -> None:
    assert strip_of(phases, steps, last_landing, areas) == Strip(lit, off, end)
