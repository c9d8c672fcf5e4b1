"""Who moves together: groups of three to six, by squad, by what they have in hand, left-handers side by side."""

from collections import defaultdict

from sessions.planning.core.ground import Ground

SMALLEST, USUAL, LARGEST = 3, 5, 6
Groups = tuple[tuple[str, ...], ...]


def form_groups(ground: Ground) -> Groups:
    """Groups of the athletes who are there. Fewer than three in all are one group."""
    squads: dict[str, list[str]] = defaultdict(list)
    for key in ground.present:
        squads[ground.facts[key].squad].append(key)
    pools = sorted(squads.values(), key=len, reverse=True)
    while len(pools) > 1 and len(pools[-1]) < SMALLEST:
        small = pools.pop()
        pools[-1] = pools[-1] + small
        pools.sort(key=len, reverse=True)
    return tuple(group for pool in pools if pool for group in _split(ground, pool))


def _split(ground: Ground, pool: list[str]) -> list[tuple[str, ...]]:
    """Equal parts of those who are alike: who stays at one place already, then how far they have come, then hand."""
    count = max(1, -(-len(pool) // USUAL))
    ordered = sorted(pool, key=lambda key: (_stays(ground, key), *_level(ground, key), key))
    size, extra = divmod(len(ordered), count)
    ends = [0]
    for place in range(count):
        ends.append(ends[-1] + size + (place < extra))
    return [tuple(ordered[a:b]) for a, b in zip(ends, ends[1:], strict=False)]


def _stays(ground: Ground, key: str) -> tuple[str, ...]:
    return tuple(
        f"{block}:{placing.station}"
        for block, placings in sorted(ground.fixed.items())
        for placing in placings
        if placing.vaulter == key
    )


def _level(ground: Ground, key: str) -> tuple[int, bool]:
    return (-len(ground.facts[key].options), not ground.facts[key].left_handed)
