"""From a draft to the answer: placings, who left the group and why, what collides, who is served least."""

from collections import defaultdict

from sessions.planning.core.ground import ORDER, Ground
from sessions.planning.core.groups import Groups
from sessions.planning.core.problem import Answer, Bar, Collision, Home, Least, Leave, Option
from sessions.planning.core.seats import Block, Draft, Place, Running, Seated
from sessions.practices.core.plan import Placing, Work

NEVER_FREED = (Bar.RESTRICTED, Bar.AREA, Bar.SURFACE)
"""What a coach cannot change for this practice comes last among sets of one size."""


def answer(ground: Ground, groups: Groups, draft: Draft, tried: int) -> Answer:
    views = _views(ground, draft)
    return Answer(
        placings=tuple(_placings(ground, draft)),
        groups=groups,
        homes=tuple(_homes(draft)),
        leaves=tuple(_leaves(ground, groups, views)),
        collisions=tuple(_collisions(ground, groups, views)),
        value=draft.value,
        least=_least(ground, draft, views),
        tried=tried,
    )


def _placings(ground: Ground, draft: Draft) -> list[Placing]:
    found = []
    for block in draft.blocks:
        fixed = {placing.vaulter for placing in ground.fixed[block.block]}
        for at, people in block.sites.items():
            for key, work in people:
                if key not in fixed:
                    found.append(Placing(block.block, key, work.key, at, _steps(ground, key, work)))
    return found


def _steps(ground: Ground, key: str, work: Work) -> int | None:
    option = ground.options[key].get(work.key)
    return option.steps if option and option.steps else next(iter(work.steps), None)


def _homes(draft: Draft) -> list[Home]:
    return [
        Home(group, block.block, *home)
        for block in draft.blocks
        for group, home in enumerate(block.homes)
        if home is not None
    ]


class _View:
    """A block as it was seated, to ask what bars a place."""

    def __init__(self, ground: Ground, seated: Seated, running: Running) -> None:
        self.ground, self.seated = ground, seated
        self.block = Block(ground, seated.block, running)
        self.block.sites = defaultdict(list, {at: list(people) for at, people in seated.sites.items()})
        self.block.at = {key: at for at, people in seated.sites.items() for key, _ in people}

    def least_bars(self, key: str, works: list[tuple[str | None, Work]]) -> tuple[tuple[Bar, ...], str | None, Work]:
        """The smallest set of rules that keeps the athlete off one of these places, and that place."""
        found = ((tuple(self.block.bars(key, at, work)), at, work) for at, work in works)
        return min(found, key=lambda one: (len(one[0]), _hardness(one[0]), one[2].key, one[1] or ""))


def _hardness(bars: tuple[Bar, ...]) -> tuple[bool, int]:
    return any(bar in NEVER_FREED for bar in bars), max((ORDER(bar) for bar in bars), default=0)


def _views(ground: Ground, draft: Draft) -> list[_View]:
    """Each block with what had gathered before it."""
    views, running = [], Running()
    for seated in draft.blocks:
        views.append(_View(ground, seated, running.copy()))
        again = Block(ground, seated.block, running)
        again.sites = views[-1].block.sites
        again.book()
    return views


def _leaves(ground: Ground, groups: Groups, views: list[_View]) -> list[Leave]:
    found = []
    for view in views:
        for group, home in zip(groups, view.seated.homes, strict=True):
            for key in group:
                if home and key in view.block.at and view.block.at[key] != home[0]:
                    found.append(Leave(key, view.seated.block, _why_not(ground, view, key, home)))
    return found


def _why_not(ground: Ground, view: _View, key: str, home: Place) -> Bar:
    if key in view.block.fixed:
        return Bar.PINNED
    family = [(home[0], work) for work in ground.works.values() if work.family == home[1]]
    bars, _, _ = view.least_bars(key, family)
    return bars[-1] if bars else Bar.LOAD  # nothing bars it but what those left behind would do too much of


def _collisions(ground: Ground, groups: Groups, views: list[_View]) -> list[Collision]:
    if not ground.blocks:
        return [Collision((Bar.NO_BLOCK,), 0, ground.present)] if ground.present else []
    found: dict[tuple[tuple[Bar, ...], int, str | None, str], list[str]] = defaultdict(list)
    for view in views:
        for key in view.seated.unplaced:
            found[_smallest(ground, view, key)].append(key)
    return [Collision(bars, block, tuple(who), at, work) for (bars, block, at, work), who in found.items()]


def _smallest(ground: Ground, view: _View, key: str) -> tuple[tuple[Bar, ...], int, str | None, str]:
    if not ground.stations:
        return (Bar.NO_STATION,), view.seated.block, None, ""
    works = [
        (at, work) for at in (*ground.stations, None) for work in ground.works.values() if not work.needs_clearance
    ]
    if not works:
        return (Bar.NOT_OPEN,), view.seated.block, None, ""
    bars, at, work = view.least_bars(key, works)
    return bars, view.seated.block, at, work.key


def _least(ground: Ground, draft: Draft, views: list[_View]) -> Least | None:
    if not views or not ground.present:
        return None
    servable = [key for key in ground.present if ground.places[key]] or list(ground.present)
    key = min(servable, key=lambda who: (draft.served.get(who, 0.0), who))
    given = {work.key for view in views for people in view.seated.sites.values() for who, work in people if who == key}
    missed = [option for option in ground.facts[key].options if option.work in ground.works]
    missed = sorted((o for o in missed if o.work not in given), key=lambda option: -option.worth)
    return _missed(ground, views, key, draft.served.get(key, 0.0), missed)


def _missed(ground: Ground, views: list[_View], key: str, worth: float, missed: list[Option]) -> Least:
    if not missed:
        return Least(key, worth)
    work = ground.works[missed[0].work]
    free = [view for view in views if key not in view.block.fixed] or views
    places = [(at, work) for at in (*ground.stations, None)]
    bars = min((view.least_bars(key, places)[0] for view in free), key=lambda bars: (len(bars), _hardness(bars)))
    return Least(key, worth, work.key, bars)
