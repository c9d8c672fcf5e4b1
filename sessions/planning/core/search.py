"""Greedy start, then local search by chance: the first ``Filler``. The same seed and limit give the same answer."""

from dataclasses import dataclass

from sessions.planning.core.answers import answer
from sessions.planning.core.dice import Dice
from sessions.planning.core.ground import FIRST, LAST, Ground
from sessions.planning.core.groups import Groups, form_groups
from sessions.planning.core.problem import Answer, Problem
from sessions.planning.core.seats import Draft, Place
from sessions.planning.core.weigh import Drafts, Homes

LIMIT = 400
"""Plans weighed after the start where nobody says otherwise."""
STALE = 60
"""Plans without a better one after which the search is shaken."""


@dataclass(frozen=True, slots=True)
class _Try:
    groups: Groups
    homes: Homes
    draft: Draft

    @property
    def order(self) -> tuple[float, ...]:
        return self.draft.value.order()


class LocalSearch:
    """random_start: from homes by chance instead of the greedy ones, to judge the greedy start by."""

    def __init__(self, random_start: bool = False) -> None:
        self.random_start = random_start

    def fill(self, problem: Problem, seed: int, limit: int) -> Answer:
        ground = Ground(problem)
        groups = form_groups(ground)
        if not ground.blocks or not groups:
            return answer(ground, groups, Drafts(ground).draft(groups, ()), 0)
        search = _Search(ground, Dice(seed), limit)
        best = search.run(search.by_chance(groups) if self.random_start else search.greedy(groups))
        return answer(ground, best.groups, best.draft, search.tried)


class _Search:
    def __init__(self, ground: Ground, dice: Dice, limit: int) -> None:
        self.ground, self.dice, self.limit, self.drafts = ground, dice, limit, Drafts(ground)
        self.tried = 0
        self.known: dict[tuple[int, tuple[str, ...]], tuple[Place | None, ...]] = {}

    def weigh(self, groups: Groups, homes: Homes) -> _Try:
        self.tried += 1
        return _Try(groups, homes, self.drafts.draft(groups, homes))

    def choices(self, block: int, group: tuple[str, ...]) -> tuple[Place | None, ...]:
        """Places where half of the group at least may be; none at all if there is no such place."""
        if (block, group) not in self.known:
            self.known[block, group] = self._choices(block, group)
        return self.known[block, group]

    def _choices(self, block: int, group: tuple[str, ...]) -> tuple[Place | None, ...]:
        works, fixed = self.ground.works, self.ground.fixed[self.ground.blocks[block].number]
        barred = {FIRST} if block else set()
        barred |= {LAST} if block < len(self.ground.blocks) - 1 else set()
        stays = {p.vaulter: (p.station, works[p.work].family) for p in fixed}
        counts: dict[Place, int] = {}
        for key in group:
            own = (
                {stays[key]}
                if key in stays
                else {(at, works[o.work].family) for at, o in self.ground.places[key] if o.work not in barred}
            )
            for place in own:
                counts[place] = counts.get(place, 0) + 1
        found = [place for place, count in counts.items() if 2 * count >= len(group)]
        return tuple(sorted(found, key=lambda place: (-counts[place], place[0] or "", place[1]))) or (None,)

    # Starts

    def greedy(self, groups: Groups) -> _Try:
        """Block by block, group by group, the place that makes the plan so far best; the worst-served group first."""
        homes: list[list[Place | None]] = []
        served: dict[str, float] = {}
        for block in range(len(self.ground.blocks)):
            homes.append([None] * len(groups))
            order = sorted(
                range(len(groups)), key=lambda g: min((served.get(key, 0.0) for key in groups[g]), default=0)
            )
            for g in order:
                served = self._best_home(groups, homes, block, g)
        return self.weigh(groups, tuple(map(tuple, homes)))

    def _best_home(self, groups: Groups, homes: list[list[Place | None]], block: int, g: int) -> dict[str, float]:
        found: _Try | None = None
        for place in self.choices(block, groups[g]):
            homes[block][g] = place
            tried = self.weigh(groups, tuple(map(tuple, homes)))
            if found is None or tried.order < found.order:
                found = tried
        assert found is not None  # there is one choice at least
        homes[block][g] = found.homes[block][g]
        return found.draft.served

    def by_chance(self, groups: Groups) -> _Try:
        homes = tuple(
            tuple(self.dice.pick(self.choices(block, group)) for group in groups)
            for block in range(len(self.ground.blocks))
        )
        return self.weigh(groups, homes)

    # Search

    def run(self, start: _Try) -> _Try:
        best = current = start
        stale, end = 0, self.tried + self.limit
        while self.tried < end:
            tried = self.neighbour(current)
            stale += 1
            if tried.order <= current.order:
                current = tried
            if tried.order < best.order:
                best, stale = tried, 0
            elif stale >= STALE:
                current, stale = self.shaken(best), 0
                if current.order < best.order:
                    best = current
        return best

    def shaken(self, best: _Try) -> _Try:
        homes = best.homes
        for _ in range(3):
            homes = self._another_home(best.groups, homes)
        return self.weigh(best.groups, homes)

    def neighbour(self, current: _Try) -> _Try:
        groups, homes = current.groups, current.homes
        kind = self.dice.roll(10)
        if kind < 2 and len(groups) > 1:
            return self._swapped(groups, homes)
        if kind < 4 and len(homes) > 1:
            homes = self._other_order(groups, homes)
        elif kind < 6 and len(groups) > 1:
            homes = self._exchanged(groups, homes)
        else:
            homes = self._another_home(groups, homes)
        return self.weigh(groups, homes)

    def _another_home(self, groups: Groups, homes: Homes) -> Homes:
        block, g = self.dice.roll(len(homes)), self.dice.roll(len(groups))
        return _with(homes, block, g, self.dice.pick(self.choices(block, groups[g])))

    def _other_order(self, groups: Groups, homes: Homes) -> Homes:
        """One group does in one block what it did in another, and the other way round."""
        a, b, g = self.dice.roll(len(homes)), self.dice.roll(len(homes)), self.dice.roll(len(groups))
        return self._legal(groups, _with(_with(homes, a, g, homes[b][g]), b, g, homes[a][g]), homes)

    def _exchanged(self, groups: Groups, homes: Homes) -> Homes:
        """Two groups change places in a block."""
        block, g, h = self.dice.roll(len(homes)), self.dice.roll(len(groups)), self.dice.roll(len(groups))
        return self._legal(groups, _with(_with(homes, block, g, homes[block][h]), block, h, homes[block][g]), homes)

    def _legal(self, groups: Groups, wished: Homes, before: Homes) -> Homes:
        """Homes are always among the group's choices."""
        fits = all(
            place in self.choices(block, group)
            for block, there in enumerate(wished)
            for place, group in zip(there, groups, strict=True)
        )
        return wished if fits else before

    def _swapped(self, groups: Groups, homes: Homes) -> _Try:
        """Two athletes change groups; homes that no longer suit half of a group are chosen anew."""
        g, h = self.dice.roll(len(groups)), self.dice.roll(len(groups))
        if g == h or not groups[g] or not groups[h]:
            return self.weigh(groups, self._another_home(groups, homes))
        one, other = self.dice.pick(groups[g]), self.dice.pick(groups[h])
        made = list(groups)
        made[g] = tuple(other if key == one else key for key in groups[g])
        made[h] = tuple(one if key == other else key for key in groups[h])
        for block, k in ((block, k) for block in range(len(homes)) for k in (g, h)):
            choices = self.choices(block, made[k])
            if homes[block][k] not in choices:
                homes = _with(homes, block, k, choices[0])
        return self.weigh(tuple(made), homes)


def _with(homes: Homes, block: int, group: int, place: Place | None) -> Homes:
    there = (*homes[block][:group], place, *homes[block][group + 1 :])
    return (*homes[:block], there, *homes[block + 1 :])
