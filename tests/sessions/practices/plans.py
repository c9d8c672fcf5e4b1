"""Plain builders of plan values for tests of the pure rules."""

from dataclasses import replace
from typing import Any

from drills.core.catalogue import AdultLevel, AreaKind, RiskClass, Surface, SurfaceVerdict
from sessions.practices.core.plan import Adult, BlockSpan, LoadLimit, Placing, Plan, StationPlace, Vaulter, Work

MARTA = Adult("marta", "Marta", AdultLevel.CONTACT)
AIKO = Adult("aiko", "Aiko", AdultLevel.FLOOR)
SAM = Adult("sam", "Sam", AdultLevel.NONE)
RUNS = LoadLimit("run-and-box", "Plant runs and box work", 16, 8)


def work(key: str = "walk", **overrides: Any) -> Work:
    values: dict[str, Any] = {
        "name": key.capitalize(),
        "kind": "drill",
        "family": key,
        "areas": frozenset({AreaKind.FLOOR, AreaKind.RUNWAY}),
        "adult": AdultLevel.FLOOR,
        "places": 6,
        "risk": RiskClass.FLOOR,
        "verdicts": {Surface.SMOOTH_FLOOR: SurfaceVerdict.GOOD},
        "seconds_a_turn": 8,
        "least_turns": 8,
    }
    return Work(key=key, **{**values, **overrides})


def activity(key: str = "warm-up", **overrides: Any) -> Work:
    values = {"kind": "activity", "family": f"activity:{key}", "risk": None, "places": None, "verdicts": {}}
    return work(key, **{**values, "seconds_a_turn": None, "least_turns": 0, **overrides})


def station(key: str = "hall", **overrides: Any) -> StationPlace:
    values: dict[str, Any] = {
        "name": key.capitalize(),
        "kind": AreaKind.FLOOR,
        "surface": "smooth-floor",
        "places": 6,
        "adult": "aiko",
    }
    return StationPlace(key=key, **{**values, **overrides})


def plan(*placings: Placing, **overrides: Any) -> Plan:
    values: dict[str, Any] = {
        "blocks": (BlockSpan(1, 20), BlockSpan(2, 20)),
        "stations": (station(),),
        "adults": (MARTA, AIKO),
        "vaulters": tuple(Vaulter(key, key.capitalize()) for key in ("nandi", "eero", "pilar", "leif")),
        "works": (work(),),
        "placings": placings,
    }
    return Plan(**{**values, **overrides})


def put(vaulter: str, doing: str = "walk", block: int = 1, at: str | None = "hall", **overrides: Any) -> Placing:
    return replace(Placing(block, vaulter, doing, at), **overrides)
