"""Practices by seed: sizes, ages, adults, surfaces, restrictions, gaps, pins and poles in every mix."""

import random
from dataclasses import replace
from datetime import date, timedelta

from drills.core.catalogue import AdultLevel, AreaKind, PoleNeed, RiskClass, Surface, SurfaceVerdict
from sessions.planning.core.problem import Facts, LoadSoFar, Option, Problem
from sessions.practices.core.plan import Adult, BlockSpan, LoadLimit, Placing, Plan, StationPlace, Vaulter, Work

DAY = date(2026, 3, 4)
RUNS = LoadLimit("run-and-box", "Plant runs and box work", 16, 8, 2, 1)
WALL = LoadLimit("wall", "Wall work", 10, 5, None, 0)
GROUND = frozenset({AreaKind.FLOOR, AreaKind.RUNWAY})
ANYWHERE = dict.fromkeys(Surface, SurfaceVerdict.GOOD)
SLIDING = {
    Surface.SMOOTH_FLOOR: SurfaceVerdict.GOOD,
    Surface.SYNTHETIC_TRACK: SurfaceVerdict.TRY_FIRST,
    Surface.GRASS: SurfaceVerdict.NEVER,
}


def drill(key: str, family: str, risk: RiskClass, **more: object) -> Work:
    moving = risk is not RiskClass.FLOOR
    values: dict[str, object] = {
        "areas": GROUND,
        "adult": AdultLevel.FLOOR,
        "places": 6 if moving else 8,
        "verdicts": SLIDING if moving else ANYWHERE,
        "slides": moving,
        "seconds_a_turn": 45 if moving else 8,
        "least_turns": 4 if moving else 8,
    }
    return Work(f"drill:{key}", key, "drill", family, risk=risk, **{**values, **more})  # type: ignore[arg-type]


def activity(key: str, **more: object) -> Work:
    values: dict[str, object] = {"areas": GROUND, "adult": AdultLevel.FLOOR, "places": 12, "poles": PoleNeed.NONE}
    return Work(f"activity:{key}", key, "activity", f"activity:{key}", **{**values, **more})  # type: ignore[arg-type]


WORKS = (
    drill("carry-walk", "carry", RiskClass.FLOOR, adult=AdultLevel.NONE, places=12),
    drill("standing-drop", "standing", RiskClass.FLOOR, adult=AdultLevel.NONE, places=12),
    drill("standing-drop-and-plant", "standing", RiskClass.FLOOR, adult=AdultLevel.NONE, places=12),
    drill("three-step-walk", "walking", RiskClass.FLOOR, steps=(3,)),
    drill("six-step-walk", "walking", RiskClass.FLOOR, steps=(6,)),
    drill("run-in-place", "in-place", RiskClass.FLOOR, adult=AdultLevel.NONE, places=10, steps=(2, 4, 6)),
    drill("top-arm", "one-arm", RiskClass.FLOOR, slides=True, verdicts=SLIDING, places=6, poles=PoleNeed.LIGHT_SHORT),
    drill("jogging", "slides", RiskClass.MOVING, steps=(8,)),
    drill("plant-run-6", "plant-runs", RiskClass.MOVING, steps=(6,), load=RUNS),
    drill("plant-run-8", "plant-runs", RiskClass.MOVING, steps=(8,), load=RUNS),
    drill("wall", "wall", RiskClass.CONTACT, areas=frozenset({AreaKind.WALL}), adult=AdultLevel.CONTACT, steps=(3,),
          seconds_a_turn=30, least_turns=3, load=WALL, poles=PoleNeed.RATED, slides=False, verdicts=ANYWHERE),
    drill("box", "box", RiskClass.CONTACT, areas=frozenset({AreaKind.BOX}), adult=AdultLevel.CONTACT, steps=(4,),
          seconds_a_turn=75, load=RUNS, poles=PoleNeed.RATED, slides=False, verdicts=ANYWHERE),
    activity("warm-up", places=None),
    activity("strength", areas=frozenset({AreaKind.ROOM, AreaKind.FLOOR})),
    activity("film", areas=frozenset({AreaKind.ROOM, AreaKind.FLOOR})),
    activity("catch-marks", adult=AdultLevel.NONE, places=2, job=True),
    activity("film-reps", adult=AdultLevel.NONE, places=1, job=True),
    activity("jumping", areas=frozenset({AreaKind.BOX}), adult=AdultLevel.CONTACT, places=6, poles=PoleNeed.RATED,
             load=RUNS, needs_clearance=True, risk=RiskClass.CONTACT),
)  # fmt: skip
MOST = 10
"""How far along the drills an athlete may have come at most; two more are open then."""
AREAS = (AreaKind.FLOOR, AreaKind.RUNWAY, AreaKind.RUNWAY, AreaKind.FLOOR, AreaKind.WALL, AreaKind.BOX, AreaKind.ROOM)


def practice(seed: int) -> Problem:
    """6 to 24 athletes, 2 to 5 blocks, 2 to 5 stations."""
    rng = random.Random(seed)
    levels = [AdultLevel.CONTACT, AdultLevel.FLOOR, AdultLevel.FLOOR, AdultLevel.NONE]
    count = rng.choice([0, 1, 2, 3, 3, 4, 4, 5, 5])
    adults = tuple(Adult(f"adult{n}", f"Adult {n}", rng.choice(levels)) for n in range(count))
    stations = tuple(_station(rng, n, adults) for n in range(rng.randint(2, 5)))
    blocks = tuple(BlockSpan(n + 1, rng.choice([10, 12, 15, 15, 20, 20, 25, 30])) for n in range(rng.randint(2, 5)))
    keys = [f"a{n:02}" for n in range(rng.randint(6, 24))]
    poles = rng.random() < 0.4
    levels = [rng.randint(2, MOST) for _ in range(3)] if rng.random() < 0.6 else []  # squads of a kind, or a mix
    facts = tuple(_facts(rng, key, place % 3, poles, levels) for place, key in enumerate(keys))
    vaulters = tuple(_vaulter(rng, fact) for fact in facts)
    plan = Plan(blocks, stations, adults, vaulters, WORKS)
    return Problem(DAY, replace(plan, placings=_pins(rng, plan, facts)), facts)


def _station(rng: random.Random, n: int, adults: tuple[Adult, ...]) -> StationPlace:
    kind = AREAS[n] if n < 2 else rng.choice(AREAS)
    surface = rng.choice([Surface.SMOOTH_FLOOR, Surface.SYNTHETIC_TRACK, Surface.SYNTHETIC_TRACK, Surface.GRASS])
    runs = rng.choice(adults).key if adults and n >= len(adults) and rng.random() < 0.5 else None
    runs = adults[n].key if n < len(adults) else runs
    return StationPlace(f"s{n}", f"Station {n}", kind, str(surface), rng.choice([4, 6, 6, 8, 12]), runs)


def _facts(rng: random.Random, key: str, squad: int, poles: bool, levels: list[int]) -> Facts:
    reached = levels[squad] if levels else rng.randint(2, MOST)
    options = [
        Option(work.key, _worth(rng, place, reached), steps=rng.choice(work.steps) if work.steps else None)
        for place, work in enumerate(WORKS[: reached + 2])
        if rng.random() < 0.85 and work.kind == "drill"
    ]
    options += [Option("activity:warm-up", 0.1), Option("activity:strength", 0.1), Option("activity:film", 0.08)]
    days = [DAY - timedelta(days=back) for back in rng.sample(range(1, 7), rng.choice([0, 0, 0, 1, 1, 2]))]
    return Facts(
        vaulter=key,
        squad=f"squad{squad}",
        left_handed=rng.random() < 0.15,
        options=tuple(options),
        loads=(LoadSoFar(RUNS.key, rng.choice([0, 0, 0, 4]), tuple(days)), LoadSoFar(WALL.key)),
        last_seen=rng.choice([None, *(DAY - timedelta(days=k) for k in (21, 2, 3, 4, 5, 7, 7, 9, 14, 20))]),
        meet_on=rng.choice([None] * 18 + [DAY + timedelta(days=1), DAY + timedelta(days=2)]),
        pole=f"pole{rng.randint(1, 6)}" if poles else None,
        pole_fits=rng.random() < 0.6,
    )


def _worth(rng: random.Random, place: int, reached: int) -> float:
    """What was opened last is mostly worth most; what came long before is settled."""
    return round(rng.uniform(0.5, 1.0) if place >= reached - 2 else rng.uniform(0.05, 0.45), 3)


def _vaulter(rng: random.Random, facts: Facts) -> Vaulter:
    excludes = rng.choice([frozenset()] * 9 + [frozenset({risk}) for risk in RiskClass])
    touched = {o.work for o in facts.options if o.work in ("drill:wall", "drill:box") and rng.random() < 0.7}
    return Vaulter(
        facts.vaulter,
        facts.vaulter.upper(),
        excludes=excludes,
        touched=frozenset(touched),
        out=rng.random() < 0.03,
        absent=rng.random() < 0.06,
        under_14=rng.random() < 0.4,
    )


def _pins(rng: random.Random, plan: Plan, facts: tuple[Facts, ...]) -> tuple[Placing, ...]:
    """Some athletes pinned to floor drills on ground where they can be done, one family a station and block."""
    if rng.random() < 0.5:
        return ()
    standing = next(work for work in WORKS if work.key == "drill:standing-drop")
    found = []
    for station in plan.stations[:2]:
        block = rng.choice(plan.blocks)
        some = rng.sample(facts, min(len(facts), rng.randint(1, 3)))
        open_to = [f.vaulter for f in some if standing.key in {o.work for o in f.options}]
        free = [who for who in open_to if not any(p.vaulter == who and p.block == block.number for p in found)]
        if station.kind in standing.areas:
            found += [Placing(block.number, who, standing.key, station.key) for who in free]
    return tuple(found)
