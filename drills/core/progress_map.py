"""The progression as a drawing: stages are columns, drills are boxes, needs are lines. Pure geometry, in px.

A line goes from the right of a drill to the left of the one that needs it, along lanes between the columns and along
corridors between the rows, so that none runs through a box; to the next drill of its own stage it goes straight down.
Lines out of one drill share their lane like a tree. A need that follows from another one is not drawn: who needs the
wall plant needs the run before it anyway.
"""

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass

from drills.core.progression import Graph, behind

BOX_WIDE, BOX_HIGH = 144.0, 90.0
LANE = 5.0
"""Between two lanes; a gutter or corridor is as wide as its lanes need."""
CLEAR = 10.0
"""Between a box and the first lane beside it."""
HEAD = 56.0
EDGE = 8.0

Point = tuple[float, float]


@dataclass(frozen=True, slots=True)
class Place:
    """Where a drill stands: column and row, from 0."""

    column: int
    row: int


@dataclass(frozen=True, slots=True)
class Box:
    drill: str
    x: float
    y: float

    @property
    def right(self) -> float:
        return self.x + BOX_WIDE

    @property
    def foot(self) -> float:
        return self.y + BOX_HIGH

    @property
    def middle(self) -> float:
        return self.y + BOX_HIGH / 2


@dataclass(frozen=True, slots=True)
class Line:
    """From the need to the drill that needs it; corners in order, each straight across or down from the last."""

    need: str
    drill: str
    corners: tuple[Point, ...]


@dataclass(frozen=True, slots=True)
class ProgressMap:
    """columns: left edge of each, in order."""

    width: float
    height: float
    columns: tuple[float, ...]
    boxes: tuple[Box, ...]
    lines: tuple[Line, ...]


def drawn_needs(graph: Graph) -> tuple[tuple[str, str], ...]:
    """(need, drill) for each line: without those that follow from another need of the same drill."""
    return tuple(
        (need, drill)
        for drill, needs in graph.items()
        for need in dict.fromkeys(needs)
        if need in graph and not any(need in behind(other, graph) for other in needs if other != need)
    )


def places(columns: Sequence[Sequence[str]], graph: Graph) -> dict[str, Place]:
    """Rows so that a drill stands near what it needs: a column keeps its order and may leave rows free."""
    found: dict[str, Place] = {}
    for column, drills in enumerate(columns):
        row = 0
        for drill in drills:
            rows = [found[need].row for need in graph.get(drill, ()) if need in found and found[need].column < column]
            row = max(row, min(rows, default=row))
            found[drill] = Place(column, row)
            row += 1
    return found


@dataclass(slots=True)
class _Lanes:
    """Who runs where: for each gutter (left of a column) and corridor (above a row), the sources of its lines."""

    gutters: list[list[str]]
    corridors: list[list[str]]

    def gutter(self, column: int, source: str) -> int:
        return _lane_of(self.gutters[column], source)

    def corridor(self, row: int, source: str) -> int:
        return _lane_of(self.corridors[row], source)


def _lane_of(lanes: list[str], source: str) -> int:
    if source not in lanes:
        lanes.append(source)
    return lanes.index(source)


@dataclass(frozen=True, slots=True)
class _Route:
    """A line before its px are known. corridor None: at the target's height from the first gutter on."""

    need: str
    drill: str
    start: Place
    end: Place
    first_gutter: int
    first_lane: int
    corridor: int | None
    corridor_lane: int
    last_lane: int

    @property
    def down(self) -> bool:
        """Straight down to the next drill of the same stage."""
        return self.first_gutter < 0


def draw(columns: Sequence[Sequence[str]], graph: Graph) -> ProgressMap:
    """columns: the drills of each stage, in order. graph: what each needs; what is in no column is passed by."""
    at = places(columns, graph)
    rows = 1 + max((place.row for place in at.values()), default=0)
    lanes = _Lanes([[] for _ in range(len(columns) + 1)], [[] for _ in range(rows + 1)])
    taken = {(place.column, place.row) for place in at.values()}
    known = {drill: [need for need in needs if need in at] for drill, needs in graph.items() if drill in at}
    pairs = sorted(drawn_needs(known), key=lambda pair: (at[pair[0]].column, at[pair[0]].row, at[pair[1]].column))
    routes = [_route(need, drill, at, taken, lanes) for need, drill in pairs]
    lefts = _starts([len(lane) for lane in lanes.gutters], BOX_WIDE, EDGE)
    tops = _starts([len(lane) for lane in lanes.corridors], BOX_HIGH, HEAD)
    boxes = {drill: Box(drill, lefts[place.column], tops[place.row]) for drill, place in at.items()}
    ports = _ports(routes, boxes)
    lines = tuple(
        Line(route.need, route.drill, _corners(route, boxes, lefts, tops, ports.get((route.need, route.drill), 0.0)))
        for route in routes
    )
    width = lefts[len(columns)] - CLEAR + EDGE if columns else EDGE
    return ProgressMap(width, tops[rows] + EDGE, tuple(lefts[: len(columns)]), tuple(boxes.values()), lines)


def _starts(lane_counts: Sequence[int], size: float, first: float) -> list[float]:
    """Where each column or row begins: behind its own gutter or corridor."""
    starts: list[float] = []
    edge = first
    for count in lane_counts:
        gap = 2 * CLEAR + LANE * max(0, count - 1) if starts or count else 0.0
        starts.append(edge + gap)
        edge = starts[-1] + size
    return starts


def _route(need: str, drill: str, at: Mapping[str, Place], taken: Iterable[tuple[int, int]], lanes: _Lanes) -> _Route:
    start, end = at[need], at[drill]
    if start.column == end.column:
        next_below = end.row > start.row and not any(
            (end.column, row) in set(taken) for row in range(start.row + 1, end.row)
        )
        gutter = -1 if next_below else end.column
        lane = 0 if next_below else lanes.gutter(end.column, need)
        return _Route(need, drill, start, end, gutter, lane, None, 0, lane)
    first = start.column + 1
    lane = lanes.gutter(first, need)
    between = range(first, end.column) if end.column > first else ()
    if end.column > first and not any((column, end.row) in set(taken) for column in between):
        return _Route(need, drill, start, end, first, lane, None, 0, lane)
    # Round what stands in the way: along the corridor above the target, then down before it.
    corridor = lanes.corridor(end.row, need)
    return _Route(need, drill, start, end, first, lane, end.row, corridor, lanes.gutter(end.column, need))


def _ports(routes: Sequence[_Route], boxes: Mapping[str, Box]) -> dict[tuple[str, str], float]:
    """The height at which each line enters its drill: apart from each other, those from above first."""
    entering: dict[str, list[_Route]] = {}
    for route in (route for route in routes if not route.down):
        entering.setdefault(route.drill, []).append(route)
    ports: dict[tuple[str, str], float] = {}
    for drill, group in entering.items():
        ordered = sorted(group, key=lambda route: (boxes[route.need].y, boxes[route.need].x))
        for n, route in enumerate(ordered):
            ports[route.need, drill] = boxes[drill].middle + (n - (len(group) - 1) / 2) * min(14.0, 60 / len(group))
    return ports


def _corners(
    route: _Route, boxes: Mapping[str, Box], lefts: Sequence[float], tops: Sequence[float], port: float
) -> tuple[Point, ...]:
    start, end = boxes[route.need], boxes[route.drill]
    if route.down:
        return ((start.x + BOX_WIDE / 2, start.foot), (end.x + BOX_WIDE / 2, end.y))
    first_x = lefts[route.first_gutter] - CLEAR - LANE * route.first_lane
    leaves = start.right if route.start.column != route.end.column else start.x
    height = start.middle if leaves == start.right else start.foot - CLEAR
    corners = [(leaves, height), (first_x, height)]
    if route.corridor is None:
        corners.append((first_x, port))
    else:
        corridor_y = tops[route.corridor] - CLEAR - LANE * route.corridor_lane
        last_x = lefts[route.end.column] - CLEAR - LANE * route.last_lane
        corners += [(first_x, corridor_y), (last_x, corridor_y), (last_x, port)]
    return _without_idle((*corners, (end.x, port)))


def _without_idle(corners: Sequence[Point]) -> tuple[Point, ...]:
    """Without corners at which nothing turns."""
    kept: list[Point] = []
    for corner in corners:
        if kept and corner == kept[-1]:
            continue
        if len(kept) > 1 and (kept[-2][0] == kept[-1][0] == corner[0] or kept[-2][1] == kept[-1][1] == corner[1]):
            kept[-1] = corner
        else:
            kept.append(corner)
    return tuple(kept)


def crosses(line: Line, box: Box) -> bool:
    """Whether a line runs through the inside of a box."""
    pairs = zip(line.corners, line.corners[1:], strict=False)
    return any(
        min(x1, x2) < box.right and max(x1, x2) > box.x and min(y1, y2) < box.foot and max(y1, y2) > box.y
        for (x1, y1), (x2, y2) in pairs
    )


def wrapped(name: str, letters: int, most: int) -> tuple[str, ...]:
    """A name in lines of at most so many letters; what does not fit ends in an ellipsis."""
    lines: list[str] = []
    for word in name.split():
        for part in (word[at : at + letters] for at in range(0, len(word), letters)):
            if lines and len(lines[-1]) + 1 + len(part) <= letters:
                lines[-1] += f" {part}"
            else:
                lines.append(part)
    if len(lines) > most:
        return (*lines[: most - 1], lines[most - 1][: letters - 1].rstrip() + "…")
    return tuple(lines)
