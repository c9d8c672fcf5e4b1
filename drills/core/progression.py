"""The progression: drills are nodes, "needs" are edges, and nothing may need itself by a detour."""

from collections.abc import Collection, Iterable, Mapping, Sequence

from drills.core.catalogue import Drill

Graph = Mapping[str, Sequence[str]]
"""drill → the drills it needs, the easier drill first."""


def needs_graph(drills: Iterable[Drill]) -> dict[str, tuple[str, ...]]:
    """The graph of the drills in use; retired ones are left out."""
    return {drill.key: drill.needs for drill in drills if not drill.retired}


class CircularNeeds(ValueError):
    """The needs go round in a circle. cycle: its drills, each needing the next, the first one again at the end."""

    def __init__(self, cycle: Sequence[str]) -> None:
        self.cycle = tuple(cycle)
        super().__init__(" needs ".join(self.cycle))


def find_cycle(graph: Graph) -> tuple[str, ...] | None:
    """The first cycle met, spelled out as in `CircularNeeds.cycle`, or None. Needs that are no drill are leaves."""
    finished: set[str] = set()
    for start in graph:
        cycle = _cycle_from(start, graph, finished)
        if cycle:
            return cycle
    return None


def _cycle_from(start: str, graph: Graph, finished: set[str]) -> tuple[str, ...] | None:
    """Walk down from start along a path of its own making: a long chain must not exhaust Python's stack."""
    path = {} if start in finished else {start: iter(graph[start])}
    while path:
        drill = next(reversed(path))
        need = next(path[drill], None)
        if need is None:
            finished.add(drill)
            del path[drill]
        elif need in path:
            return _closed(path, need)
        elif need not in finished:
            path[need] = iter(graph.get(need, ()))
    return None


def _closed(path: Mapping[str, object], back_to: str) -> tuple[str, ...]:
    trail = list(path)
    return (*trail[trail.index(back_to) :], back_to)


def stages(graph: Graph) -> tuple[tuple[str, ...], ...]:
    """Drills in layers: each needs only drills of earlier layers, at least one of the layer before (or nothing, in the
    first). Within a layer they keep the order of the graph. Needs that are no drill are passed over.

    Raises CircularNeeds.
    """
    cycle = find_cycle(graph)
    if cycle:
        raise CircularNeeds(cycle)
    layers: list[tuple[str, ...]] = []
    placed: set[str] = set()
    while len(placed) < len(graph):
        layer = tuple(
            drill
            for drill, needs in graph.items()
            if drill not in placed and all(need in placed or need not in graph for need in needs)
        )
        layers.append(layer)
        placed.update(layer)
    return tuple(layers)


def may_try(opened: Collection[str], graph: Graph) -> tuple[str, ...]:
    """The drills not yet opened whose needs are all among those opened, in the order of the graph.

    This is what the graph allows; whether a need's figures suffice is the readiness core's to say.
    """
    return tuple(
        drill for drill, needs in graph.items() if drill not in opened and all(need in opened for need in needs)
    )


def easier(drill: str, graph: Graph) -> str | None:
    """The drill to go back to on purpose: the first of its needs; None for a first drill. KeyError if unknown."""
    needs = graph[drill]
    return needs[0] if needs else None


def opens(drill: str, graph: Graph) -> tuple[str, ...]:
    """The drills that need this one, in the order of the graph."""
    return tuple(later for later, needs in graph.items() if drill in needs)


def behind(drill: str, graph: Graph) -> frozenset[str]:
    """Everything that must be opened before this drill, however far back, without the drill itself."""
    found: set[str] = set()
    waiting = list(graph.get(drill, ()))
    while waiting:
        need = waiting.pop()
        if need not in found:
            found.add(need)
            waiting.extend(graph.get(need, ()))
    return frozenset(found - {drill})
