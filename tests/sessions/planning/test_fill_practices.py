"""Filled practices in every mix keep every rule, by a judge that shares none with the code; the judge is judged too."""

from dataclasses import replace
from functools import cache

import pytest

from drills.core.catalogue import AdultLevel, RiskClass
from sessions.planning.core.problem import Answer, Bar, Facts, Problem
from sessions.planning.core.search import LocalSearch
from tests.sessions.planning.generated import DAY, practice
from tests.sessions.planning.test_rules_of_a_fill import RUN, WALK
from tests.sessions.planning.test_rules_of_a_fill import problem as small
from tests.sessions.planning.validator import broken_rules, could_be_placed

PRACTICES = 40


@cache
def filled(problem: Problem, seed: int = 0, limit: int = 20) -> Answer:
    return LocalSearch().fill(problem, seed, limit)


@pytest.mark.parametrize("seed", range(PRACTICES))
def test_no_rule_is_broken_and_nobody_is_left_out_whom_a_place_would_take(seed: int) -> None:
    problem = practice(seed)
    answer = filled(problem)
    assert broken_rules(problem, answer) == []
    assert could_be_placed(problem, answer) == []


def test_the_practices_are_of_every_mix() -> None:
    problems = [practice(seed) for seed in range(PRACTICES)]
    plans = [problem.plan for problem in problems]
    assert {len(plan.blocks) for plan in plans} == {2, 3, 4, 5} == {len(plan.stations) for plan in plans}
    assert min(len(plan.vaulters) for plan in plans) <= 8 and max(len(plan.vaulters) for plan in plans) == 24
    assert {0, 1, 2, 5} <= {len(plan.adults) for plan in plans}
    assert {station.surface for plan in plans for station in plan.stations} == {
        "smooth-floor",
        "synthetic-track",
        "grass",
    }
    assert any(plan.placings for plan in plans) and any(f.pole for problem in problems for f in problem.facts)
    assert any(v.excludes == {RiskClass.FLOOR} for plan in plans for v in plan.vaulters)


def test_full_effort_and_jobs_are_placed_too() -> None:
    """A filler that dares nothing would keep every rule as well."""
    works = {p.work for seed in range(PRACTICES) for p in filled(practice(seed)).placings}
    assert {"drill:plant-run-6", "drill:jogging", "activity:catch-marks"} <= works


@pytest.mark.parametrize("seed", range(6))
def test_the_same_seed_and_limit_give_the_same_answer(seed: int) -> None:
    assert LocalSearch().fill(practice(seed), 0, 20) == filled(practice(seed))


def test_more_plans_weighed_are_never_worse() -> None:
    for seed in range(8):
        few, more = (filled(practice(seed), limit=limit).value.order() for limit in (0, 20))
        assert more <= few


def test_what_stays_is_not_touched_and_not_said_again() -> None:
    for problem in map(practice, range(PRACTICES)):
        stays = {(p.block, p.vaulter) for p in problem.plan.placings}
        assert not stays & {(p.block, p.vaulter) for p in filled(problem).placings}


# The judge notices


@pytest.mark.parametrize(
    ("change", "says"),
    [
        ({"work": "drill:wall", "steps": 3}, "kind of place"),
        ({"work": "drill:six-step-walk", "steps": 4}, "steps"),
        ({"station": None}, "needs a station"),
    ],
)
def test_the_judge_sees_a_place_that_is_against_a_rule(change: dict[str, object], says: str) -> None:
    problem = practice(3)
    answer = filled(problem)
    victim = next(p for p in answer.placings if p.block == 1 and p.work.startswith("drill:"))
    moved = tuple(replace(p, **change) if p == victim else p for p in answer.placings)
    assert any(says in said for said in broken_rules(problem, replace(answer, placings=moved)))


def test_the_judge_sees_two_places_in_a_block() -> None:
    problem = practice(3)
    answer = filled(problem)
    said = broken_rules(problem, replace(answer, placings=(*answer.placings, answer.placings[0])))
    assert any("2 places" in one for one in said)


@pytest.mark.parametrize(
    ("facts", "says"),
    [
        ({"last_seen": None}, "return after three weeks"),
        ({"meet_on": DAY.replace(day=5)}, "meet eve"),
        ({"options": ()}, "not open"),
    ],
)
def test_the_judge_sees_what_is_known_of_an_athlete(facts: dict[str, object], says: str) -> None:
    problem = small(WALK, RUN)
    answer = filled(problem)
    runner = next(p.vaulter for p in answer.placings if p.work == RUN)
    changed = tuple(replace(f, **facts) if f.vaulter == runner else f for f in problem.facts)
    assert any(says in said for said in broken_rules(replace(problem, facts=changed), answer))


def test_the_judge_sees_adults_who_are_too_few() -> None:
    problem = small(WALK, RUN)
    answer = filled(problem)
    for adults, says in ((problem.plan.adults[:1], "two adults"), ((), "adult at")):
        fewer = replace(problem, plan=replace(problem.plan, adults=adults))
        assert any(says in one for one in broken_rules(fewer, answer))


def test_the_judge_sees_short_blocks_small_places_and_silence() -> None:
    problem = practice(3)
    answer = filled(problem)
    short = replace(problem.plan, blocks=tuple(replace(b, minutes=2) for b in problem.plan.blocks))
    assert any("turns" in said for said in broken_rules(replace(problem, plan=short), answer))
    small = replace(problem.plan, stations=tuple(replace(s, places=2) for s in problem.plan.stations))
    assert any("room" in said for said in broken_rules(replace(problem, plan=small), answer))
    silent = replace(answer, placings=answer.placings[1:])
    assert any("not named" in said for said in broken_rules(problem, silent))


# What collides is named


def named(answer: Answer) -> set[Bar]:
    return {bar for collision in answer.collisions for bar in collision.bars}


def test_without_an_adult_that_is_what_is_named() -> None:
    problem = practice(3)
    works = tuple(replace(w, adult=AdultLevel.FLOOR) if not w.job else w for w in problem.plan.works)
    plan = replace(problem.plan, adults=(), placings=(), works=tuple(w for w in works if not w.job))
    answer = filled(replace(problem, plan=plan))
    assert not answer.placings and Bar.ADULT in named(answer)
    assert broken_rules(replace(problem, plan=plan), answer) == []


def test_without_blocks_stations_or_athletes_there_is_an_answer_too() -> None:
    problem = practice(3)
    for change, bar in (({"blocks": ()}, Bar.NO_BLOCK), ({"stations": ()}, Bar.NO_STATION)):
        plan = replace(problem.plan, placings=(), **change)
        plan = replace(plan, works=tuple(w for w in plan.works if w.kind == "drill"))
        assert named(filled(replace(problem, plan=plan))) == {bar}
    nobody = replace(problem, plan=replace(problem.plan, vaulters=(), placings=()), facts=())
    assert filled(nobody) == Answer(value=filled(nobody).value, tried=filled(nobody).tried)


def test_an_athlete_of_whom_nothing_is_known_gets_a_job_or_is_named() -> None:
    problem = practice(0)
    blank = replace(problem, facts=tuple(Facts(f.vaulter, f.squad) for f in problem.facts))
    answer = filled(replace(blank, plan=replace(blank.plan, placings=())))
    assert {p.work for p in answer.placings} == set() and Bar.NOT_OPEN in named(answer)
