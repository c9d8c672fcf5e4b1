"""The drawing of the progression: every need is drawn or follows from what is, and no line runs through a box."""

from pathlib import Path

import networkx as nx
from hypothesis import given, settings
from hypothesis import strategies as st

from drills.core.progress_map import BOX_WIDE, Box, Line, ProgressMap, crosses, draw, drawn_needs, places, wrapped
from drills.core.progression import needs_graph
from drills.core.reading import read_catalogue

CATALOGUE = read_catalogue((Path(__file__).parents[2] / "fixtures" / "catalogue.yaml").read_bytes())
GRAPH = needs_graph(CATALOGUE.drills)
COLUMNS = [[drill.key for drill in CATALOGUE.drills if drill.stage == stage.key] for stage in CATALOGUE.stages]


def through_boxes(drawing: ProgressMap) -> list[tuple[str, str, str]]:
    return [(line.need, line.drill, box.drill) for line in drawing.lines for box in drawing.boxes if crosses(line, box)]


def test_the_shipped_progression_is_drawn_with_all_its_drills_in_eight_columns() -> None:
    drawing = draw(COLUMNS, GRAPH)
    assert {box.drill for box in drawing.boxes} == set(GRAPH) and len(drawing.columns) == 8
    assert through_boxes(drawing) == []
    assert drawing.width <= 1344  # what a desk page of 1440 px leaves for it


def test_what_is_drawn_is_the_transitive_reduction_as_networkx_sees_it() -> None:
    graph = nx.DiGraph([(need, drill) for drill, needs in GRAPH.items() for need in needs])
    assert set(drawn_needs(GRAPH)) == set(nx.transitive_reduction(graph).edges)
    assert ("plant-run-6", "walking-box-plant") in graph.edges  # it follows from the wall plant
    assert ("plant-run-6", "walking-box-plant") not in drawn_needs(GRAPH)


def test_lines_start_and_end_at_the_edges_of_their_drills() -> None:
    drawing = draw(COLUMNS, GRAPH)
    boxes = {box.drill: box for box in drawing.boxes}
    for line in drawing.lines:
        start, end = boxes[line.need], boxes[line.drill]
        assert line.corners[0][0] in (start.x, start.right, start.x + BOX_WIDE / 2) and line.corners[-1][0] in (
            end.x,
            end.x + BOX_WIDE / 2,
        )
        assert end.y <= line.corners[-1][1] <= end.foot


def test_boxes_do_not_touch_and_stand_on_the_sheet() -> None:
    drawing = draw(COLUMNS, GRAPH)
    for box in drawing.boxes:
        assert box.x >= 0 and box.right <= drawing.width and box.foot <= drawing.height
        others = [other for other in drawing.boxes if other != box and other.x == box.x]
        assert all(other.foot < box.y or box.foot < other.y for other in others)


@st.composite
def progressions(draw_one):  # type: ignore[no-untyped-def]
    """Up to six columns of drills; each needs some of those before it in the order, wherever these stand."""
    columns = [[f"d{c}-{n}" for n in range(draw_one(st.integers(1, 5)))] for c in range(draw_one(st.integers(1, 6)))]
    order = draw_one(st.permutations([drill for column in columns for drill in column]))
    graph = {}
    for at, drill in enumerate(order):
        graph[drill] = tuple(draw_one(st.lists(st.sampled_from(order[:at]), max_size=4, unique=True))) if at else ()
    return columns, graph


@settings(max_examples=150, deadline=None)
@given(progressions())
def test_in_any_progression_no_line_runs_through_a_box_and_no_need_is_lost(progression) -> None:  # type: ignore[no-untyped-def]
    columns, graph = progression
    drawing = draw(columns, graph)
    assert through_boxes(drawing) == []
    drawn = nx.DiGraph([(line.need, line.drill) for line in drawing.lines])
    whole = nx.DiGraph([(need, drill) for drill, needs in graph.items() for need in needs])
    closed = nx.transitive_closure(whole)
    assert set(nx.transitive_closure(drawn).edges) == set(closed.edges)
    for line in drawing.lines:
        steps = zip(line.corners, line.corners[1:], strict=False)
        assert all(x1 == x2 or y1 == y2 for (x1, y1), (x2, y2) in steps)
    at = places(columns, graph)
    assert len(set(at.values())) == len(at)


def test_a_line_through_a_box_would_be_seen() -> None:
    assert crosses(Line("a", "b", ((0, 50), (400, 50))), Box("c", 100, 10))
    assert not crosses(Line("a", "b", ((0, 5), (400, 5))), Box("c", 100, 10))


def test_names_are_wrapped_and_long_ones_end_in_an_ellipsis() -> None:
    assert wrapped("Six-step walking drop and plant", 17, 3) == ("Six-step walking", "drop and plant")
    assert wrapped("a b c d", 1, 3) == ("a", "b", "…")
    assert wrapped("x" * 40, 17, 3) == ("x" * 17, "x" * 17, "x" * 6)
