"""Each rule of a plan by name: broken, and just not broken."""

from dataclasses import replace

import pytest

from drills.core.catalogue import AdultLevel, AreaKind, RiskClass, Surface, SurfaceVerdict
from sessions.practices.core.plan import BlockSpan, Plan, Vaulter, turns_each
from sessions.practices.core.rules import (
    PlanRefusal,
    PlanWarning,
    Rule,
    SafetyRefusal,
    check,
    concerning,
    fits,
    queues,
    turns,
)
from tests.sessions.practices.plans import AIKO, MARTA, RUNS, SAM, activity, plan, put, station, work

WALL = work("wall", risk=RiskClass.CONTACT, adult=AdultLevel.CONTACT, areas=frozenset({AreaKind.WALL}), least_turns=3)
AT_WALL = station("wall", kind=AreaKind.WALL, adult="marta")
JOG = work("jog", risk=RiskClass.MOVING, slides=True)


def rules(of: Plan, kind: type = object) -> set[Rule]:
    return {finding.rule for finding in check(of) if isinstance(finding, kind)}


def contact(vaulter: Vaulter, **overrides: object) -> Plan:
    values = {"stations": (AT_WALL,), "works": (WALL,), "vaulters": (vaulter,), **overrides}
    return plan(put(vaulter.key, "wall", at="wall"), **values)


def test_a_sound_plan_breaks_nothing() -> None:
    assert check(plan(put("nandi"), put("eero"), put("nandi", block=2))) == ()


def test_two_places_in_one_block_are_refused_and_named() -> None:
    two = plan(put("nandi"), put("nandi", at="lane"), stations=(station(), station("lane", adult="marta")))
    (finding,) = check(two)
    assert (finding.rule, finding.vaulters, finding.count) == (Rule.ONE_PLACE, ("nandi",), 2)


def test_more_athletes_than_the_area_has_room_for_are_refused() -> None:
    small = (station(places=2),)
    assert check(plan(put("nandi"), put("eero"), stations=small)) == ()
    full = check(plan(put("nandi"), put("eero"), put("pilar"), stations=small))
    assert [(f.rule, f.count, f.limit, type(f)) for f in full] == [(Rule.ROOM, 3, 2, PlanRefusal)]


def test_a_job_beside_the_drill_takes_no_room_and_no_turn() -> None:
    job = activity("film", job=True, adult=AdultLevel.NONE)
    both = plan(put("nandi"), put("eero", "film"), stations=(station(places=1),), works=(work(), job))
    assert check(both) == ()
    assert [turns(queue) for queue in queues(both)] == [150]


def test_drills_of_two_families_do_not_share_a_station_in_one_block() -> None:
    works = (work(), work("stand"), work("walk-2", family="walk"))
    assert rules(plan(put("nandi"), put("eero", "stand"), works=works)) == {Rule.ONE_FAMILY}
    assert check(plan(put("nandi"), put("eero", "walk-2"), works=works)) == ()
    assert check(plan(put("nandi"), put("eero", "stand", block=2), works=works)) == ()


@pytest.mark.parametrize(
    ("surface", "verdicts", "slides", "expected"),
    [
        ("grass", {Surface.GRASS: SurfaceVerdict.GOOD}, True, (SafetyRefusal, Rule.SURFACE)),
        ("grass", {Surface.GRASS: SurfaceVerdict.NEVER}, False, (SafetyRefusal, Rule.SURFACE)),
        ("other", {Surface.SMOOTH_FLOOR: SurfaceVerdict.GOOD}, False, (SafetyRefusal, Rule.SURFACE)),
        ("synthetic-track", {Surface.SYNTHETIC_TRACK: SurfaceVerdict.TRY_FIRST}, True, (PlanWarning, Rule.TRY_FIRST)),
        ("grass", {Surface.GRASS: SurfaceVerdict.GOOD}, False, None),
    ],
)
def test_the_surface_decides(surface: str, verdicts: dict, slides: bool, expected: tuple | None) -> None:
    drill = work("walk", verdicts=verdicts, slides=slides)
    found = check(plan(put("nandi"), stations=(station(surface=surface),), works=(drill,)))
    assert [(type(finding), finding.rule) for finding in found] == ([expected] if expected else [])


def test_the_kind_of_area_must_fit_the_drill() -> None:
    assert rules(plan(put("nandi"), stations=(station(kind=AreaKind.ROOM),)), PlanRefusal) == {Rule.AREA}
    assert not fits(work(), station(kind=AreaKind.ROOM))
    assert fits(work(), station())


def test_a_station_needs_an_adult_of_the_drills_level() -> None:
    assert rules(plan(put("nandi"), stations=(station(adult=None),)), SafetyRefusal) == {Rule.ADULT}
    assert rules(plan(put("nandi"), stations=(station(adult="sam"),), adults=(MARTA, SAM))) == {Rule.ADULT}
    alone = work(adult=AdultLevel.NONE)
    assert check(plan(put("nandi"), stations=(station(adult=None),), works=(alone,))) == ()


def test_an_adult_who_is_not_at_the_practice_runs_nothing() -> None:
    assert rules(plan(put("nandi"), adults=(MARTA,)), SafetyRefusal) == {Rule.ADULT}


def test_one_adult_runs_one_station_at_a_time() -> None:
    stations = (station(), station("lane"))
    at_once = plan(put("nandi"), put("eero", at="lane"), stations=stations)
    assert rules(at_once, SafetyRefusal) == {Rule.ADULT_ELSEWHERE}
    assert check(plan(put("nandi"), put("eero", at="lane", block=2), stations=stations)) == ()


@pytest.mark.parametrize("risk", [RiskClass.MOVING, RiskClass.CONTACT])
def test_with_fewer_than_two_adults_there_are_floor_drills_only(risk: RiskClass) -> None:
    drill = work("walk", risk=risk)
    assert Rule.TWO_ADULTS in rules(plan(put("nandi"), works=(drill,), adults=(AIKO,)), SafetyRefusal)
    assert check(plan(put("nandi"), adults=(AIKO,))) == ()


def test_a_contact_drill_is_refused_until_the_head_coach_opened_it_for_this_athlete() -> None:
    assert rules(contact(Vaulter("nandi", "Nandi"))) == {Rule.NOT_OPENED}
    assert check(contact(Vaulter("nandi", "Nandi", touched=frozenset({"wall"})))) == ()


def test_contact_needs_an_adult_of_contact_level_whatever_the_catalogue_says() -> None:
    edited = replace(WALL, adult=AdultLevel.NONE)
    nandi = Vaulter("nandi", "Nandi", touched=frozenset({"wall"}))
    at_floor_level = contact(nandi, works=(edited,), stations=(replace(AT_WALL, adult="aiko"),))
    assert rules(at_floor_level) == {Rule.ADULT}


@pytest.mark.parametrize(
    ("excludes", "refused"),
    [({RiskClass.MOVING}, {"jog"}), ({RiskClass.FLOOR}, {"jog", "walk"}), ({RiskClass.CONTACT}, set())],
)
def test_a_restriction_excludes_its_class_and_every_riskier_one(excludes: set, refused: set) -> None:
    vaulters = (Vaulter("nandi", "Nandi", excludes=frozenset(excludes)),)
    for drill in (work(), JOG):
        found = rules(plan(put("nandi", drill.key), works=(drill,), vaulters=vaulters), SafetyRefusal)
        assert found == ({Rule.RESTRICTED} if drill.key in refused else set())


def test_a_restricted_athlete_may_do_a_job_and_an_activity_is_asked_about() -> None:
    vaulters = (Vaulter("nandi", "Nandi", excludes=frozenset({RiskClass.MOVING})),)
    works = (activity(), activity("film", job=True))
    assert rules(plan(put("nandi", "film"), works=works, vaulters=vaulters)) == set()
    assert rules(plan(put("nandi", "warm-up"), works=works, vaulters=vaulters), PlanWarning) == {
        Rule.LOOK_AT_RESTRICTION
    }


def test_who_was_taken_out_is_refused_and_who_is_not_here_is_said() -> None:
    out, away = Vaulter("nandi", "Nandi", out=True), Vaulter("eero", "Eero", absent=True)
    found = check(plan(put("nandi"), put("eero"), vaulters=(out, away)))
    assert {(type(finding), finding.rule, finding.vaulters) for finding in found} == {
        (SafetyRefusal, Rule.OUT_OF_PRACTICE, ("nandi",)),
        (PlanWarning, Rule.ABSENT, ("eero",)),
    }


def test_jumping_needs_clearance_and_a_station() -> None:
    jumping = activity("jump", needs_clearance=True, adult=AdultLevel.CONTACT, risk=RiskClass.CONTACT)
    assert rules(plan(put("nandi", "jump", at=None), works=(jumping,)), SafetyRefusal) == {
        Rule.NO_CLEARANCE,
        Rule.NEEDS_STATION,
    }
    due = Vaulter("nandi", "Nandi", touched=frozenset({"jump"}), due=frozenset({"jump"}))
    placed = plan(put("nandi", "jump", at=None), works=(jumping,), vaulters=(due,))
    assert rules(placed, SafetyRefusal) == {Rule.NEEDS_STATION}
    assert rules(placed, PlanWarning) == {Rule.CHECK_DUE}


def test_an_activity_for_all_stands_at_no_station_and_needs_an_adult_on_site() -> None:
    everyone = (put("nandi", "warm-up", at=None), put("eero", "warm-up", at=None))
    assert check(plan(*everyone, works=(activity(),))) == ()
    assert rules(plan(*everyone, works=(activity(),), adults=(SAM,)), SafetyRefusal) == {Rule.ADULT}


def test_the_number_of_steps_must_be_one_of_the_drills() -> None:
    run = work("run", steps=(6, 8))
    assert check(plan(put("nandi", "run", steps=8), works=(run,))) == ()
    assert rules(plan(put("nandi", "run", steps=7), works=(run,)), PlanRefusal) == {Rule.STEPS}
    assert rules(plan(put("nandi", "run"), works=(run,)), PlanRefusal) == {Rule.STEPS}


def test_turns_are_the_block_over_everyones_seconds() -> None:
    assert turns_each(20, [45] * 4) == 6  # 1200 s / (4 × 45 s)
    assert turns_each(20, [75] * 4) == 4
    assert turns_each(20, []) == 0


def test_fewer_turns_than_are_of_use_are_said_and_not_refused() -> None:
    run = work("run", seconds_a_turn=100, least_turns=4)
    four = [put(key, "run") for key in ("nandi", "eero", "pilar", "leif")]
    found = check(plan(*four, works=(run,)))
    assert [(type(f), f.rule, f.count, f.limit) for f in found] == [(PlanWarning, Rule.FEW_TURNS, 3, 4)]
    assert check(plan(*four[:3], works=(run,))) == ()


def test_load_is_counted_over_the_practice_and_halved_under_14() -> None:
    run = work("run", seconds_a_turn=100, least_turns=4, load=RUNS)  # 12 turns a block alone
    assert check(plan(put("nandi", "run"), works=(run,))) == ()
    twice = plan(put("nandi", "run"), put("nandi", "run", block=2), works=(run,))
    assert [(f.rule, f.block, f.count, f.limit) for f in check(twice)] == [(Rule.LOAD, 2, 24, 16)]
    young = (Vaulter("nandi", "Nandi", under_14=True),)
    assert [(f.block, f.limit) for f in check(plan(put("nandi", "run"), works=(run,), vaulters=young))] == [(1, 8)]


def test_findings_are_told_apart_by_whom_they_concern() -> None:
    broken = plan(put("nandi"), put("eero", block=2), stations=(station(adult=None),))
    assert {finding.block for finding in concerning(check(broken), (put("eero", block=2),))} == {2}


def test_a_longer_block_gives_more_turns() -> None:
    queue = queues(plan(put("nandi"), blocks=(BlockSpan(1, 40),)))[0]
    assert turns(queue) == 300


def test_a_drill_that_is_not_open_is_said_and_at_contact_refused() -> None:
    shut = Vaulter("nandi", "Nandi", shut=frozenset({"jog", "wall"}))
    found = check(plan(put("nandi", "jog"), works=(JOG,), vaulters=(shut,)))
    assert {(type(finding), finding.rule) for finding in found} == {(PlanWarning, Rule.NOT_OPEN_YET)}
    assert rules(contact(shut)) == {Rule.NOT_OPENED}
