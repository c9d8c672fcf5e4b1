"""Coordinates in here are the ones printed in the drawn sheet of parts and the drawn squad board."""

import pytest

from club.core.range_bar import SIZES, Advice, BarSpec, range_bar


def bar(advice=Advice.KEEP_ON, low=0.48, estimate=0.64, high=0.80, size="bar", **lines):
    return range_bar(BarSpec(SIZES[size], advice, low, estimate, high, **lines))


def one(drawing, css_class):
    return next(shape for shape in drawing.shapes if shape.attr("class") == css_class)


def attrs(shape, *names):
    return [shape.attr(name) for name in names]


def test_the_line_the_gate_and_the_dotted_upright_stand_where_they_are_drawn():
    drawing = bar()
    assert attrs(one(drawing, "track"), "x1", "x2", "y1", "y2") == ["6", "254", "14", "14"]
    assert attrs(one(drawing, "g5"), "x1", "y1", "y2", "stroke-dasharray") == ["130", "5.5", "22.5", "2 2"]
    assert attrs(one(drawing, "g"), "x1", "x2", "y1", "y2") == ["167.2", "167.2", "3.5", "24.5"]
    assert [(s.text, s.attr("x"), s.attr("y")) for s in drawing.shapes if s.tag == "text"] == [("65", "167.2", "39")]


@pytest.mark.parametrize(
    "low,estimate,high,box,upright",
    # x, width and x1 as drawn; the shares are those coordinates taken back to 0..1
    [
        ((182.1 - 6) / 248, (211.8 - 6) / 248, (236.7 - 6) / 248, ["182.1", "54.6"], "211.8"),
        ((40.7 - 6) / 248, (75.4 - 6) / 248, (112.6 - 6) / 248, ["40.7", "71.9"], "75.4"),
    ],
)
def test_box_and_estimate_stand_on_the_same_line(low, estimate, high, box, upright):
    drawing = bar(Advice.KEEP_ON, low, estimate, high)
    assert attrs(one(drawing, "b keep"), "x", "width") == box
    assert attrs(one(drawing, "b keep"), "y", "height", "rx") == ["7.5", "13", "1.5"]
    assert attrs(one(drawing, "e keep"), "x1", "y1", "y2") == [upright, "5.5", "22.5"]


def test_each_advice_has_its_own_box():
    looks = {advice: next(s for s in bar(advice).shapes if s.tag == "rect") for advice in Advice if bar(advice)}
    assert {advice: box.attr("class") for advice, box in looks.items()} == {
        Advice.SETTLED: "b on",
        Advice.KEEP_ON: "b keep",
        Advice.EASIER_DRILL: "b back",
        Advice.TOO_LITTLE_SEEN: "b few",
    }
    assert [a for a, box in looks.items() if box.attr("fill") == "url(#hatch)"] == [Advice.EASIER_DRILL]


def test_a_filled_box_holds_a_short_estimate_inside_it():
    assert attrs(one(bar(Advice.SETTLED), "e on"), "y1", "y2") == ["9.5", "18.5"]


def test_no_reps_give_no_bar():
    assert bar(Advice.NO_REPS_YET) is None
    assert range_bar(BarSpec(SIZES["cell"], Advice.NO_REPS_YET)) is None


def test_in_a_cell_the_gate_runs_through_the_full_height():
    drawing = bar(size="cell")
    assert (drawing.width, drawing.height) == (62, 26)
    assert attrs(one(drawing, "g"), "x1", "y1", "y2") == ["39.7", "0", "26"]
    assert attrs(one(drawing, "b keep"), "y", "height", "rx") == ["7", "12", "0"]
    assert attrs(one(drawing, "e keep"), "y1", "y2") == ["5", "21"]
    assert not [s for s in drawing.shapes if s.tag == "text"]


def test_in_a_cell_the_dotted_upright_shows_only_with_an_easier_drill():
    assert "g5" not in [s.attr("class") for s in bar(size="cell").shapes]
    assert attrs(one(bar(Advice.EASIER_DRILL, size="cell"), "g5"), "x1", "y1", "y2") == ["31", "5.5", "20.5"]


def test_the_lines_follow_the_club_s_settings():
    drawing = bar(settle_at=0.75, easier_at=0.4)
    assert attrs(one(drawing, "g"), "x1") == ["192"]
    assert attrs(one(drawing, "g5"), "x1") == ["105.2"]
    assert [s.text for s in drawing.shapes if s.tag == "text"] == ["75"]


def test_the_key_names_both_ends_and_both_lines():
    assert [s.text for s in bar(size="key").shapes if s.tag == "text"] == ["0", "50", "65", "100 %"]


def test_advice_is_found_by_its_name_however_it_is_joined():
    assert Advice.of("keep_on") is Advice.of("Keep on") is Advice.of("keep-on") is Advice.KEEP_ON
    with pytest.raises(ValueError):
        Advice.of("move on")


@pytest.mark.parametrize(
    "wrong", [{"low": 0.7}, {"high": 0.5}, {"high": 1.2}, {"low": -0.1}, {"settle_at": 0.4}, {"easier_at": 0.0}]
)
def test_a_bar_refuses_what_is_no_range(wrong):
    with pytest.raises(ValueError):
        bar(**wrong)
