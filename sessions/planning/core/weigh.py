"""A whole draft from its homes, and its value by tier."""

from sessions.planning.core.ground import Ground
from sessions.planning.core.groups import Groups
from sessions.planning.core.problem import Value
from sessions.planning.core.seats import Block, Draft, Place, Running, Seated

Homes = tuple[tuple[Place | None, ...], ...]
"""By block, then by group."""


def draft(ground: Ground, groups: Groups, homes: Homes) -> Draft:
    """Seats block after block. homes may be shorter than the practice: then only those blocks are seated."""
    running, blocks = Running(), []
    for span, there in zip(ground.blocks, homes, strict=False):
        blocks.append(Block(ground, span.number, running).seat(groups, list(there)))
    return Draft(tuple(blocks), dict(running.served), value(ground, groups, blocks, running))


def value(ground: Ground, groups: Groups, blocks: list[Seated], running: Running) -> Value:
    reachable = [key for key in ground.present if any(option.worth > 0 for _, option in ground.places[key])]
    trouble = _routes(ground, blocks) + _changes(blocks) + sum(running.moves.values())
    return Value(
        unplaced=sum(len(block.unplaced) for block in blocks),
        worst=min((running.served[key] for key in reachable), default=0.0),
        total=sum(running.served[key] for key in ground.present),
        trouble=trouble + _apart(ground, groups, blocks),
    )


def _routes(ground: Ground, blocks: list[Seated]) -> int:
    ways: dict[str, list[tuple[str | None, str]]] = {key: [] for key in ground.present}
    for block in blocks:
        for at, people in block.sites.items():
            for key, work in people:
                ways.setdefault(key, []).append((at, "" if work.job else work.family))
    return len({tuple(way) for way in ways.values()})


def _changes(blocks: list[Seated]) -> int:
    """Stations that change to another family between two uses."""
    hosted: dict[str, str] = {}
    changes = 0
    for block in blocks:
        for at, people in block.sites.items():
            family = next((work.family for _, work in people if not work.job), None)
            if at is not None and family is not None:
                changes += hosted.get(at, family) != family
                hosted[at] = family
    return changes


def _apart(ground: Ground, groups: Groups, blocks: list[Seated]) -> int:
    """Athletes off their group's place, or of a group without one, and groups with a left-hander beyond the first."""
    lefts = sum(any(ground.facts[key].left_handed for key in group) for group in groups)
    off = 0
    for block in blocks:
        at = {key: site for site, people in block.sites.items() for key, _ in people}
        for group, home in zip(groups, block.homes, strict=True):
            off += sum(home is None or at[key] != home[0] for key in group if key in at)
    return off + max(0, lefts - 1)
