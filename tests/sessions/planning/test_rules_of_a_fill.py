"""One small practice, one rule at a time: what the filler may do, and what it must leave."""

from dataclasses import replace
from datetime import date, timedelta
from typing import Any

import pytest

from drills.core.catalogue import AdultLevel, AreaKind, RiskClass
from sessions.planning.core.ground import load_day
from sessions.planning.core.problem import Answer, Bar, Facts, LoadSoFar, Meant, Option, Problem
from sessions.planning.core.search import LocalSearch
from sessions.practices.core.plan import Adult, BlockSpan, Placing, Plan, StationPlace, Vaulter
from tests.sessions.planning.generated import DAY, RUNS, WORKS
from tests.sessions.planning.validator import broken_rules

KEYS = ("ada", "bo", "cy", "di")
WALK, RUN, WALL = "drill:six-step-walk", "drill:plant-run-6", "drill:wall"
SEEN = {"last_seen": DAY - timedelta(days=3), "squad": "terns"}
HALL = StationPlace("hall", "Hall", AreaKind.FLOOR, "smooth-floor", 6, "marta")
LANE = StationPlace("lane", "Lane", AreaKind.RUNWAY, "smooth-floor", 6, "aiko")
WALL_PLACE = StationPlace("wall", "Wall", AreaKind.WALL, "smooth-floor", 6, "marta")
ADULTS = (Adult("marta", "Marta", AdultLevel.CONTACT), Adult("aiko", "Aiko", AdultLevel.FLOOR))


def problem(*works: str, **change: Any) -> Problem:
    """Four athletes to whom these works are open, the later ones worth more; two blocks of twelve minutes."""
    options = tuple(Option(key, 0.3 + 0.2 * place) for place, key in enumerate(works))
    facts = change.pop("facts", {})
    plan: dict[str, Any] = {
        "blocks": (BlockSpan(1, 12), BlockSpan(2, 12)),
        "stations": (HALL, LANE),
        "adults": ADULTS,
        "vaulters": tuple(Vaulter(key, key.capitalize()) for key in KEYS),
        "works": tuple(work for work in WORKS if work.key in works),
    }
    known = tuple(Facts(key, options=options, **{**SEEN, **facts}) for key in KEYS)
    return Problem(DAY, Plan(**{**plan, **change}), known)


def fill(asked: Problem) -> Answer:
    answer = LocalSearch().fill(asked, 0, 30)
    assert broken_rules(asked, answer) == []
    return answer


def works_in(answer: Answer, block: int) -> set[str]:
    return {placing.work for placing in answer.placings if placing.block == block}


def bars(answer: Answer) -> set[Bar]:
    return {bar for collision in answer.collisions for bar in collision.bars}


def test_everybody_gets_a_place_in_every_block_and_the_group_stays_together() -> None:
    answer = fill(problem(WALK))
    assert len(answer.placings) == 8 and answer.collisions == () == answer.leaves
    assert answer.groups == (KEYS,)
    assert len({(p.block, p.station) for p in answer.placings}) == 2


def test_a_full_effort_comes_after_a_floor_drill() -> None:
    answer = fill(problem(WALK, RUN))
    assert works_in(answer, 1) == {WALK} and works_in(answer, 2) == {RUN}


def test_a_warm_up_serves_as_well_and_is_never_later_than_first() -> None:
    answer = fill(problem("activity:warm-up", RUN))
    assert works_in(answer, 1) == {"activity:warm-up"} and works_in(answer, 2) == {RUN}


@pytest.mark.parametrize(
    ("facts", "bar"),
    [
        ({"last_seen": DAY - timedelta(days=21)}, Bar.RETURNS),
        ({"last_seen": None}, Bar.RETURNS),
        ({"meet_on": DAY + timedelta(days=1)}, Bar.MEET_EVE),
        ({"loads": (LoadSoFar(RUNS.key, 0, (DAY - timedelta(days=1),)),)}, Bar.LOAD_DAYS),
        ({"loads": (LoadSoFar(RUNS.key, 13),)}, Bar.LOAD),
    ],
)
def test_what_is_known_of_an_athlete_keeps_them_on_floor_drills(facts: dict[str, Any], bar: Bar) -> None:
    answer = fill(problem(WALK, RUN, facts=facts))
    assert works_in(answer, 1) | works_in(answer, 2) == {WALK}
    assert answer.least is not None and answer.least.work == RUN and answer.least.bars == (bar,)


@pytest.mark.parametrize("facts", [{"last_seen": DAY - timedelta(days=20)}, {"meet_on": DAY + timedelta(days=2)}])
def test_a_day_less_or_more_does_not(facts: dict[str, Any]) -> None:
    assert works_in(fill(problem(WALK, RUN, facts=facts)), 2) == {RUN}


def test_under_14_the_load_is_half() -> None:
    """Twelve minutes of plant runs for two are 8 turns each; with two logged, too many for who may do half of 16."""
    pair = KEYS[:2]
    asked = problem(WALK, RUN, facts={"loads": (LoadSoFar(RUNS.key, 2),)})
    for young, expected in ((False, {RUN}), (True, {WALK})):
        vaulters = tuple(Vaulter(key, key, under_14=young) for key in pair)
        assert works_in(fill(replace(asked, plan=replace(asked.plan, vaulters=vaulters))), 2) == expected


@pytest.mark.parametrize(
    ("days", "legal"),
    [((), True), ((-1,), False), ((1,), False), ((-2,), True), ((-2, 2), False), ((-2, -4), False), ((-2, -7), True),
     ((-6, -3), False), ((2, 5), False), ((3, -4), True)],
)  # fmt: skip
def test_load_days_have_a_day_between_and_are_two_in_any_seven(days: tuple[int, ...], legal: bool) -> None:
    day = date(2026, 3, 4)
    assert load_day(RUNS, tuple(day + timedelta(days=n) for n in days), day) is legal


def test_a_restriction_is_kept_and_a_job_beside_the_others_is_found() -> None:
    jobs = ("activity:catch-marks",)
    asked = problem(WALK, RUN, works=tuple(w for w in WORKS if w.key in {WALK, RUN, *jobs}))
    hurt = tuple(
        replace(v, excludes=frozenset({RiskClass.FLOOR})) if v.key == "ada" else v for v in asked.plan.vaulters
    )
    answer = fill(replace(asked, plan=replace(asked.plan, vaulters=hurt)))
    assert {p.work for p in answer.placings if p.vaulter == "ada"} == {"activity:catch-marks"}
    assert {p.station for p in answer.placings if p.block == 1} == {answer.homes[0].station}


def contact(**change: Any) -> Problem:
    asked = problem(WALK, WALL, stations=(HALL, replace(WALL_PLACE, adult="aiko")), facts={"pole_fits": True}, **change)
    adults = (ADULTS[1], replace(ADULTS[0], key="aiko", name="Aiko"))
    touched = tuple(replace(v, touched=frozenset({WALL})) for v in asked.plan.vaulters)
    plan = replace(asked.plan, vaulters=touched, adults=(replace(ADULTS[1], key="marta"), adults[1]))
    return replace(asked, plan=plan)


def test_contact_is_placed_with_the_touch_the_adult_and_a_pole_that_fits() -> None:
    assert works_in(fill(contact()), 2) == {WALL}


def test_contact_is_left_without_touch_pole_contact_adult_or_second_adult() -> None:
    asked = contact()
    untouched = replace(asked.plan, vaulters=tuple(replace(v, touched=frozenset()) for v in asked.plan.vaulters))
    floor_only = replace(asked.plan, adults=tuple(replace(a, level=AdultLevel.FLOOR) for a in asked.plan.adults))
    alone = replace(asked.plan, adults=asked.plan.adults[1:])
    no_pole = replace(asked, facts=tuple(replace(f, pole_fits=False) for f in asked.facts))
    for changed in (*(replace(asked, plan=plan) for plan in (untouched, floor_only, alone)), no_pole):
        assert WALL not in {p.work for p in fill(changed).placings}


def test_nothing_slides_on_grass() -> None:
    grass = replace(HALL, surface="grass")
    answer = fill(problem(WALK, "drill:top-arm", stations=(grass,)))
    assert {p.work for p in answer.placings} == {WALK}


def test_a_pole_is_at_one_station_at_a_time() -> None:
    """Two who share a pole, each kept at another station by the coach for the first block: not both with poles."""
    asked = problem(WALK, facts={"pole": "3.05"})
    stays = Placing(1, "ada", WALK, "hall", 6)
    answer = fill(replace(asked, plan=replace(asked.plan, placings=(stays,))))
    assert {p.station for p in answer.placings if p.block == 1} == {"hall"}


def test_what_is_pinned_stays_and_the_others_come_to_it() -> None:
    stays = Placing(1, "ada", WALK, "lane", 6)
    answer = fill(problem(WALK, placings=(stays,)))
    assert {(p.vaulter, p.station) for p in answer.placings if p.block == 1} == {(k, "lane") for k in KEYS[1:]}


def test_a_station_is_filled_to_its_places_and_the_smallest_set_of_rules_is_named() -> None:
    answer = fill(problem(WALK, stations=(replace(HALL, places=3),)))
    assert len(answer.placings) == 6 and answer.value.unplaced == 2
    assert {(c.bars, c.station) for c in answer.collisions} == {((Bar.ROOM,), "hall")}


def test_without_an_adult_the_missing_adult_is_named() -> None:
    answer = fill(problem(WALK, adults=()))
    assert answer.placings == () and bars(answer) == {Bar.ADULT}
    assert {who for c in answer.collisions for who in c.vaulters} == set(KEYS)


def test_with_one_adult_everybody_is_at_that_adult_s_station() -> None:
    answer = fill(problem(WALK, RUN, adults=ADULTS[:1]))
    assert {p.station for p in answer.placings} == {"hall"} and {p.work for p in answer.placings} == {WALK}


def test_left_handers_are_put_together_where_it_costs_nothing() -> None:
    asked = problem(WALK)
    keys = tuple(f"a{n}" for n in range(6))
    options = asked.facts[0].options
    facts = tuple(Facts(k, options=options, left_handed=k in {"a0", "a5"}, **SEEN) for k in keys)  # type: ignore[arg-type]
    answer = fill(Problem(DAY, replace(asked.plan, vaulters=tuple(Vaulter(k, k) for k in keys)), facts))
    assert sum({"a0", "a5"} <= set(group) for group in answer.groups) == 1


def test_repeats_give_way_to_another_drill() -> None:
    answer = fill(problem("drill:standing-drop", WALK))
    assert works_in(answer, 1) != works_in(answer, 2)


def test_the_worst_served_comes_before_the_total() -> None:
    """One place is worth much to ada alone; the others would rather have the hall twice."""
    asked = problem(WALK)
    poor = Facts("ada", options=(Option("drill:jogging", 0.9), Option(WALK, 0.1)), **SEEN)  # type: ignore[arg-type]
    rich = tuple(Facts(k, options=(Option(WALK, 0.9), Option("drill:jogging", 0.2)), **SEEN) for k in KEYS[1:])  # type: ignore[arg-type]
    works = tuple(w for w in WORKS if w.key in {WALK, "drill:jogging"})
    answer = fill(Problem(DAY, replace(asked.plan, works=works), (poor, *rich)))
    assert "drill:jogging" in {p.work for p in answer.placings if p.vaulter == "ada"}


def test_groups_of_seven_and_more_are_split_and_small_squads_joined() -> None:
    asked = problem(WALK)
    for squads in ([7], [2, 5], [1, 1, 1], [11, 2], [24]):
        keys = [(f"{squad}-{n}", f"{squad}") for squad, size in enumerate(squads) for n in range(size)]
        facts = tuple(
            Facts(k, squad, options=asked.facts[0].options, last_seen=DAY - timedelta(days=3)) for k, squad in keys
        )
        plan = replace(asked.plan, vaulters=tuple(Vaulter(k, k) for k, _ in keys))
        answer = fill(Problem(DAY, plan, facts))
        assert all(3 <= len(group) <= 6 for group in answer.groups)


def test_what_a_template_means_is_filled_there_and_nothing_else() -> None:
    standing, other = Meant(1, "hall", "drill:standing-drop"), Meant(1, "lane", WALK)
    asked = replace(problem("drill:standing-drop", WALK), meant=(standing, other))
    answer = fill(asked)
    places = {(placing.block, placing.station, placing.work) for placing in answer.placings}
    assert {one for one in places if one[0] == 1} <= {(1, "hall", "drill:standing-drop"), (1, "lane", WALK)}
    assert len([placing for placing in answer.placings if placing.block == 1]) == 4
    shut = replace(asked, meant=(Meant(1, "hall", WALL), Meant(1, "lane", WALL)))
    answer = fill(shut)
    assert not works_in(answer, 1) and len(answer.placings) == 4 and Bar.MEANT in bars(answer)
