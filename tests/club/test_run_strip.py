"""Coordinates in here are the ones printed in the drawn sheet of parts that the look was decided on."""

import pytest

from club.core.run_strip import SIZES, RunStrip, StripSpec, foot_of_landing, places_beyond, run_strip


def strip(size="wide", **said):
    return StripSpec(SIZES[size], **{k: frozenset(v) if k in ("lit", "off") else v for k, v in said.items()})


def of_class(drawing, *classes):
    return [shape for shape in drawing.shapes if shape.attr("class") in classes]


def attrs(shape, *names):
    return [shape.attr(name) for name in names]


def test_the_cells_of_the_wide_strip_stand_where_the_anatomy_draws_them():
    drawing = run_strip(strip(lit={3}, flags=(3,)))
    carry = of_class(drawing, "c")[0]
    assert attrs(carry, "x", "y", "width", "height") == ["0", "93.7", "194.7", "52.3"]
    assert [cell.attr("points") for cell in of_class(drawing, "d", "p", "p on")] == [
        "196.3,93.7 351.7,101.1 351.7,146 196.3,146",
        "353.3,101.1 508.7,108.4 508.7,146 353.3,146",
        "510.3,108.4 665.7,115.7 665.7,146 510.3,146",
        "667.3,115.7 822.7,97.7 822.7,146 667.3,146",
        "824.3,97.7 979.8,79.7 979.8,146 824.3,146",
        "981.4,79.7 1136.8,61.7 1136.8,146 981.4,146",
    ]


def test_the_wide_strip_has_hand_line_ground_flag_and_numbers_of_the_anatomy():
    drawing = run_strip(strip(lit={3}, flags=(3,)))
    assert of_class(drawing, "hand")[0].attr("points") == "0,93.7 196.3,93.7 667.3,115.7 1138.4,61.7"
    assert of_class(drawing, "ground")[0].attr("d") == "M0 146.7H1172.9l72.2 16v-16H1264"
    assert of_class(drawing, "flag")[0].attr("d") == "M740.8 95.7h10l-5 8z"
    numbers = [(s.text, s.attr("x"), s.attr("y")) for s in drawing.shapes if s.tag == "text"]
    assert numbers == [
        (str(k), x, "139")
        for k, x in zip(range(6, 0, -1), ["274.8", "431.8", "588.8", "745.8", "902.9", "1059.9"], strict=True)
    ]


def test_the_soles_of_the_wide_strip_stand_on_the_landings_of_the_anatomy():
    soles = of_class(run_strip(strip()), "foot", "foot r")
    assert [sole.attr("transform") for sole in soles] == [
        "translate(176.3 172.9) scale(1.82 1.82)",
        "translate(333.3 206.5) scale(1.82 -1.82)",
        "translate(490.3 172.9) scale(1.82 1.82)",
        "translate(647.3 206.5) scale(1.82 -1.82)",
        "translate(804.3 172.9) scale(1.82 1.82)",
        "translate(961.4 206.5) scale(1.82 -1.82)",
        "translate(1118.4 172.9) scale(1.82 1.82)",
    ]


def test_the_small_strip_is_the_drawn_one():
    drawing = run_strip(strip("small", lit={3}, flags=(3,)))
    assert of_class(drawing, "p on")[0].attr("points") == "44.3,23.2 53.2,18.9 53.2,30.4 44.3,30.4"
    assert of_class(drawing, "ground")[0].attr("d") == "M0 31.1H77.9l4.8 5.7v-5.7H84"
    bars = [attrs(bar, "class", "x", "y", "width", "height", "rx") for bar in of_class(drawing, "dot", "dot r")]
    assert bars[:2] == [["dot", "10.4", "32.6", "5.2", "2.1", "1.1"], ["dot r", "20.9", "35.3", "5.2", "2.1", "1.1"]]
    assert len(bars) == 7  # the take-off is a landing too


def test_the_medium_strip_and_the_glyph_are_the_drawn_ones():
    medium, glyph = run_strip(strip("medium", lit={6}, flags=(6,))), run_strip(strip("glyph", lit={6, 5, 4, 3, 2, 1}))
    assert of_class(medium, "flag")[0].attr("d") == "M23.7 9.5h10l-5 8z"
    assert of_class(medium, "ground")[0].attr("d") == "M0 37.5H122.5l7.5 6v-6H132"
    assert of_class(glyph, "p on")[-1].attr("points") == "42.9,5 49.2,0.4 49.2,22 42.9,22"
    assert not of_class(glyph, "ground", "dot", "dot r")


def test_the_mark_is_six_lit_cells_and_nothing_else():
    drawing = run_strip(strip("mark", lit={6, 5, 4, 3, 2, 1}))
    assert [shape.attr("class") for shape in drawing.shapes] == ["d on"] * 3 + ["p on"] * 3
    assert drawing.shapes[0].attr("points") == "2.1,9.4 8.4,11.5 8.4,24 2.1,24"


def test_the_phone_strip_of_a_left_handed_vaulter_is_the_drawn_one():
    drawing = run_strip(strip("phone", hand="left", lit={3}, flags=(3,)))
    soles = of_class(drawing, "foot", "foot r")
    assert soles[0].attr("transform") == "translate(33.2 154.3) scale(1.06 -1.06)"
    assert soles[-1].attr("transform") == "translate(302.4 154.3) scale(1.06 -1.06)"
    assert of_class(drawing, "hand")[0].attr("points") == "0,53.2 44.9,53.2 179.5,78.7 314.1,16"


@pytest.mark.parametrize("hand,take_off", [("right", "left"), ("left", "right")])
def test_a_vaulter_takes_off_from_the_foot_opposite_the_top_hand(hand, take_off):
    assert foot_of_landing(0, hand) == take_off
    assert {foot_of_landing(n, hand) for n in (2, 4, 6, 8)} == {take_off}
    assert take_off not in {foot_of_landing(n, hand) for n in (1, 3, 5, 7)}


@pytest.mark.parametrize("size", ["small", "medium", "phone", "drill", "wide", "tablet"])
def test_left_handed_swaps_every_sole_and_moves_none(size):
    def rows(hand):
        feet = of_class(run_strip(strip(size, hand=hand)), "foot", "foot r", "dot", "dot r")
        return [foot.attr("class").endswith(" r") for foot in feet]

    assert rows("right") == [False, True, False, True, False, True, False]
    assert rows("left") == [not right for right in rows("right")]


@pytest.mark.parametrize("steps,first_foot", [(5, "foot r"), (3, "foot r"), (4, "foot"), (2, "foot")])
def test_an_odd_run_begins_on_the_other_foot_and_still_takes_off_from_the_left(steps, first_foot):
    feet = of_class(run_strip(strip(off=places_beyond(steps))), "foot", "foot r")
    assert len(feet) == steps + 1
    assert (feet[0].attr("class"), feet[-1].attr("class")) == (first_foot, "foot")


def test_a_run_under_six_steps_starts_lowered_and_dashes_what_it_does_not_have():
    assert places_beyond(4) == {"carry", 6, 5}
    assert places_beyond(6) == places_beyond(7) == places_beyond(11) == frozenset()
    with pytest.raises(ValueError):
        places_beyond(0)


def test_a_wall_stands_upright_with_a_dot_at_its_foot_as_drawn():
    drawing = run_strip(strip("drill", end="wall", lit={3, 2, 1, "contact"}, off={"carry", 6, 5, 4}))
    assert of_class(drawing, "ground")[0].attr("d") == "M0 120.7H860"
    assert attrs(of_class(drawing, "wall")[0], "x", "y", "width", "height") == ["829.5", "26", "8.7", "94"]
    assert attrs(of_class(drawing, "tip")[0], "cx", "cy", "r") == ["819.8", "114.6", "7.6"]
    assert of_class(drawing, "hand")[0].attr("points") == "446.3,86.8 772.9,27.9"
    assert len(of_class(drawing, "d off")) == 3
    assert len(of_class(drawing, "foot", "foot r")) == 4
    assert [s.text for s in drawing.shapes if s.tag == "text"] == ["3", "2", "1"]


def test_the_dip_is_filled_only_where_the_tip_contact_is_lit():
    lit = run_strip(strip("medium", lit={2, 1, "contact"}))
    assert of_class(lit, "dip")[0].attr("d") == "M122.5 37.5l7.5 6v-6z"
    assert not of_class(run_strip(strip("medium", lit={2, 1})), "dip")


def test_the_silhouette_is_level_then_falls_then_rises():
    laid = RunStrip(strip())
    assert [round(laid.share_at(n), 4) for n in (8, 6, 4.5, 3, 1.5, 0)] == [0.62, 0.62, 0.49, 0.36, 0.68, 1.0]


@pytest.mark.parametrize(
    "wrong", [{"hand": "both"}, {"end": "pit"}, {"lit": {7}}, {"off": {"run"}}, {"flags": (1, 2, 3)}]
)
def test_a_strip_refuses_what_it_cannot_draw(wrong):
    with pytest.raises(ValueError):
        strip(**wrong)
