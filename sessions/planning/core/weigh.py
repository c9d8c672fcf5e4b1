"""A whole draft from its homes, and its value by tier."""

from collections.abc import Sequence
from dataclasses import dataclass

from sessions.planning.core.ground import Ground
from sessions.planning.core.groups import Groups
from sessions.planning.core.problem import Value
from sessions.planning.core.seats import Block, Draft, Place, Running, Seated

Homes = tuple[tuple[Place | None, ...], ...]
"""By block, then by group."""
MOST_PARTS = 2000
"""Beginnings of drafts that are kept in mind at once."""


@dataclass(frozen=True, slots=True)
class _Part:
    """The first blocks of a draft, seated, with what has gathered over them."""

    blocks: tuple[Seated, ...]
    running: Running


class Drafts:
    """Drafts of one practice. Blocks that two drafts have in common at their start are seated once."""

    def __init__(self, ground: Ground) -> None:
        self.ground = ground
        self.parts: dict[tuple[Groups, Homes], _Part] = {}

    def draft(self, groups: Groups, homes: Homes) -> Draft:
        """Seats block after block. homes may be shorter than the practice: then only those blocks are seated."""
        part = self._part(groups, homes)
        served = dict(part.running.served)
        return Draft(part.blocks, served, value(self.ground, groups, part.blocks, part.running))

    def _part(self, groups: Groups, homes: Homes) -> _Part:
        if not homes:
            return _Part((), Running())
        key = groups, homes
        if key not in self.parts:
            if len(self.parts) >= MOST_PARTS:
                self.parts.clear()
            before = self._part(groups, homes[:-1])
            running, number = before.running.copy(), self.ground.blocks[len(homes) - 1].number
            seated = Block(self.ground, number, running).seat(groups, list(homes[-1]))
            self.parts[key] = _Part((*before.blocks, seated), running)
        return self.parts[key]


def value(ground: Ground, groups: Groups, blocks: Sequence[Seated], running: Running) -> Value:
    reachable = [key for key in ground.present if any(option.worth > 0 for _, option in ground.places[key])]
    trouble = _routes(ground, blocks) + _changes(blocks) + sum(running.moves.values())
    return Value(
        unplaced=sum(len(block.unplaced) for block in blocks),
        worst=min((running.served[key] for key in reachable), default=0.0),
        total=sum(running.served[key] for key in ground.present),
        trouble=trouble + _apart(ground, groups, blocks),
    )


def _routes(ground: Ground, blocks: Sequence[Seated]) -> int:
    ways: dict[str, list[tuple[str | None, str]]] = {key: [] for key in ground.present}
    for block in blocks:
        for at, people in block.sites.items():
            for key, work in people:
                ways.setdefault(key, []).append((at, "" if work.job else work.family))
    return len({tuple(way) for way in ways.values()})


def _changes(blocks: Sequence[Seated]) -> int:
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


def _apart(ground: Ground, groups: Groups, blocks: Sequence[Seated]) -> int:
    """Athletes off their group's place, or of a group without one, and groups with a left-hander beyond the first."""
    lefts = sum(any(ground.facts[key].left_handed for key in group) for group in groups)
    off = 0
    for block in blocks:
        at = {key: site for site, people in block.sites.items() for key, _ in people}
        for group, home in zip(groups, block.homes, strict=True):
            off += sum(home is None or at[key] != home[0] for key in group if key in at)
    return off + max(0, lefts - 1)
