"""The needs graph, with NetworkX as the judge."""

from itertools import pairwise

import networkx as nx
import pytest
from hypothesis import given
from hypothesis import strategies as st

from drills.core.progression import CircularNeeds, behind, easier, find_cycle, may_try, opens, stages

NAMES = [f"drill-{at}" for at in range(9)]

any_graph = st.dictionaries(
    st.sampled_from(NAMES), st.lists(st.sampled_from(NAMES), unique=True, max_size=4), max_size=len(NAMES)
)
"""May hold cycles, drills that need themselves and needs that are no drill."""

acyclic = st.lists(st.lists(st.integers(0, 8), unique=True, max_size=3), min_size=1, max_size=9).map(
    lambda rows: {NAMES[at]: [NAMES[need] for need in needs if need < at] for at, needs in enumerate(rows)}
)


def as_networkx(graph: dict[str, list[str]]) -> nx.DiGraph:
    """Edges from the need to the drill that needs it."""
    oracle = nx.DiGraph()
    oracle.add_nodes_from(graph)
    oracle.add_edges_from((need, drill) for drill, needs in graph.items() for need in needs)
    return oracle


@given(any_graph)
def test_a_cycle_is_found_exactly_when_networkx_finds_one_and_it_is_a_real_one(graph: dict[str, list[str]]) -> None:
    cycle = find_cycle(graph)
    assert (cycle is None) == nx.is_directed_acyclic_graph(as_networkx(graph))
    if cycle:
        assert cycle[0] == cycle[-1] and len(set(cycle)) == len(cycle) - 1
        assert all(need in graph[drill] for drill, need in pairwise(cycle))


def test_the_cycle_is_spelled_out() -> None:
    graph = {"a": ["b"], "b": ["c"], "c": ["d", "b"], "d": []}
    assert find_cycle(graph) == ("b", "c", "b")
    with pytest.raises(CircularNeeds, match="b needs c needs b"):
        stages(graph)
    assert find_cycle({"a": ["a"]}) == ("a", "a")


@given(acyclic)
def test_stages_are_the_topological_generations_of_networkx(graph: dict[str, list[str]]) -> None:
    expected = [set(layer) for layer in nx.topological_generations(as_networkx(graph))]
    assert [set(layer) for layer in stages(graph)] == expected


@given(acyclic, st.sets(st.sampled_from(NAMES)))
def test_what_one_may_try_is_what_networkx_says_has_all_its_predecessors_opened(
    graph: dict[str, list[str]], opened: set[str]
) -> None:
    oracle = as_networkx(graph)
    expected = {drill for drill in graph if drill not in opened and set(oracle.predecessors(drill)) <= opened}
    assert set(may_try(opened, graph)) == expected


@given(acyclic)
def test_all_that_lies_behind_a_drill_are_its_ancestors(graph: dict[str, list[str]]) -> None:
    oracle = as_networkx(graph)
    for drill in graph:
        assert behind(drill, graph) == nx.ancestors(oracle, drill)
        assert set(opens(drill, graph)) == set(oracle.successors(drill))


def test_the_easier_drill_is_the_first_need() -> None:
    graph = {"walk": ["drop", "carry"], "drop": [], "carry": []}
    assert easier("walk", graph) == "drop"
    assert easier("drop", graph) is None
    with pytest.raises(KeyError):
        easier("run", graph)


def test_a_chain_of_twenty_thousand_drills_does_not_exhaust_the_stack() -> None:
    chain = {str(at): [str(at + 1)] for at in range(20_000)}
    assert find_cycle(chain) is None
    assert len(find_cycle(chain | {"20000": ["0"]}) or ()) == 20_002
