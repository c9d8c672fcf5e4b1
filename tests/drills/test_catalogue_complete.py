"""The shipped catalogue holds all of the trade's list, which is typed here by hand and not read from the file."""

from pathlib import Path

import networkx as nx
import pytest

from drills.core.catalogue import (
    AdultLevel,
    FaultKind,
    PoleNeed,
    RiskClass,
    Surface,
    SurfaceVerdict,
    Unit,
    faults_of,
    good_for,
    remedied_by,
)
from drills.core.progression import easier, may_try, needs_graph
from drills.core.reading import read_catalogue

CATALOGUE = read_catalogue((Path(__file__).parents[2] / "fixtures" / "catalogue.yaml").read_bytes())
DRILLS = {drill.key: drill for drill in CATALOGUE.drills}
CHECKPOINTS = {checkpoint.key: checkpoint for checkpoint in CATALOGUE.checkpoints}
FAULTS = {fault.key: fault for _, fault in faults_of(CATALOGUE)}

# stage number, drill, unit, risk, gate
PROGRESSION = [
    (0, "grip-and-carry-hold", "set", "floor", {"carry-height"}),
    (0, "carry-walk", "set", "floor", {"posture"}),
    (1, "standing-drop", "set", "floor", {"bottom-hand-height", "top-hand-at-hip"}),
    (1, "standing-drop-and-plant", "set", "floor", {"top-hand-leads", "full-reach"}),
    (1, "four-stops", "set", "floor", {"tip-at-landing-2"}),
    (2, "three-step-walking-drop", "rep", "floor", {"drop-start", "drop-length"}),
    (2, "six-step-walking-drop-and-plant", "rep", "floor", {"plant-start", "tip-at-landing-2"}),
    (2, "walking-stops", "rep", "floor", {"run-in-time"}),
    (3, "jogging-drop-and-plant", "rep", "moving", {"plant-start", "full-reach"}),
    (3, "running-drop-and-plant", "rep", "moving", {"plant-start", "full-reach"}),
    (4, "run-in-place", "set", "floor", {"run-in-time"}),
    (5, "top-arm-plant", "rep", "floor", {"full-reach"}),
    (5, "bottom-arm-plant", "rep", "floor", {"top-hand-leads"}),
    (6, "plant-run-6", "rep", "moving", {"drop-start", "plant-start"}),
    (6, "plant-run-8", "rep", "moving", {"drop-start", "plant-start"}),
    (6, "plant-run-10", "rep", "moving", {"drop-start", "plant-start"}),
    (6, "plant-run-12", "rep", "moving", {"drop-start", "plant-start"}),
    (7, "wall-plant", "rep", "contact", {"stays-grounded", "full-reach"}),
    (7, "sliding-box-plant-walked", "rep", "contact", {"full-reach", "take-off-foot"}),
    (7, "sliding-box-plant-jogged", "rep", "contact", {"full-reach", "take-off-foot"}),
    (7, "walking-box-plant", "rep", "contact", {"tip-landing", "stays-grounded"}),
]

# before → after
NEEDS = {
    ("grip-and-carry-hold", "carry-walk"),
    ("grip-and-carry-hold", "standing-drop"),
    ("standing-drop", "standing-drop-and-plant"),
    ("standing-drop-and-plant", "four-stops"),
    ("standing-drop", "three-step-walking-drop"),
    ("carry-walk", "three-step-walking-drop"),
    ("three-step-walking-drop", "six-step-walking-drop-and-plant"),
    ("standing-drop-and-plant", "six-step-walking-drop-and-plant"),
    ("six-step-walking-drop-and-plant", "walking-stops"),
    ("six-step-walking-drop-and-plant", "jogging-drop-and-plant"),
    ("six-step-walking-drop-and-plant", "run-in-place"),
    ("six-step-walking-drop-and-plant", "top-arm-plant"),
    ("six-step-walking-drop-and-plant", "bottom-arm-plant"),
    ("jogging-drop-and-plant", "running-drop-and-plant"),
    ("running-drop-and-plant", "plant-run-6"),
    ("plant-run-6", "plant-run-8"),
    ("plant-run-8", "plant-run-10"),
    ("plant-run-10", "plant-run-12"),
    ("plant-run-6", "wall-plant"),
    ("plant-run-6", "sliding-box-plant-walked"),
    ("plant-run-6", "sliding-box-plant-jogged"),
    ("plant-run-6", "walking-box-plant"),
    ("wall-plant", "sliding-box-plant-walked"),
    ("wall-plant", "sliding-box-plant-jogged"),
    ("wall-plant", "walking-box-plant"),
    ("sliding-box-plant-walked", "sliding-box-plant-jogged"),
}

# phase, checkpoint, from where, its faults as the trade names them
WATCHED = [
    ("carry", "carry-height", {"top-hand-side"}, {"starts low"}),
    ("carry", "hand-spread", {"front", "side"}, {"hands too wide", "hands too narrow", "pole across the body"}),
    ("drop", "drop-start", {"top-hand-side"}, {"drop starts early", "drop starts late"}),
    ("drop", "drop-length", {"top-hand-side"}, {"drop finishes early", "drop finishes late", "drop skipped"}),
    (
        "drop",
        "bottom-hand-height",
        {"top-hand-side"},
        {"bottom hand too high", "bottom hand under the lowest ribs", "elbow above the hand"},
    ),
    (
        "drop",
        "top-hand-at-hip",
        {"top-hand-side"},
        {"top hand drifts behind", "top hand sinks to the thigh", "top hand drifts in front"},
    ),
    ("drop", "bottom-elbow", {"front"}, {"elbow tucked in"}),
    ("drop", "drop-tempo", {"side"}, {"drop rushed", "pole dropped"}),
    ("plant", "plant-start", {"top-hand-side"}, {"plant starts early", "plant starts late"}),
    ("plant", "plant-length", {"side"}, {"plant rushed in two steps", "plant spread over four steps"}),
    (
        "plant",
        "tip-at-landing-2",
        {"top-hand-side"},
        {"tip above eye level (high plant)", "tip below eye level (low plant)"},
    ),
    ("plant", "top-hand-path", {"behind"}, {"top hand swings behind", "top hand comes round the front"}),
    ("plant", "top-hand-leads", {"side"}, {"bottom hand leads", "elbow leads"}),
    ("plant", "plant-tempo", {"side"}, {"plant slow"}),
    ("contact", "full-reach", {"side"}, {"bent arm", "reaches after contact", "arms up and waiting"}),
    ("contact", "top-grip", {"ear-and-eye"}, {"grip loose"}),
    (
        "contact",
        "take-off-foot",
        {"side"},
        {"under: closer to the box than the top hand", "out: further from the box than the top hand", "off line"},
    ),
    ("contact", "bottom-arm", {"side"}, {"bottom arm collapses", "bottom arm locked"}),
    (
        "contact",
        "tip-landing",
        {"beside-the-box"},
        {"tip lands short", "tip lands off to a side", "tip goes straight into the stop board"},
    ),
    ("contact", "tip-quiet", {"beside-the-box"}, {"tip bounces"}),
    ("contact", "stays-grounded", {"anywhere"}, {"jumps"}),
    ("all", "run-in-time", {"side"}, {"arms ahead of the feet", "feet stutter"}),
    ("all", "posture", {"side"}, {"bends", "looks down", "leans back"}),
]

LINKS = {
    ("pole heavy for the grip held", "top hand drifts behind"),
    ("pole heavy for the grip held", "elbow tucked in"),
    ("starts low", "drop skipped"),
    ("drop skipped", "plant rushed in two steps"),
    ("bottom hand too high", "tip above eye level (high plant)"),
    ("drop skipped", "tip above eye level (high plant)"),
    ("bottom hand under the lowest ribs", "tip below eye level (low plant)"),
    ("top hand sinks to the thigh", "tip above eye level (high plant)"),
    ("tip above eye level (high plant)", "plant starts late"),
    ("drop starts late", "plant starts late"),
    ("plant starts late", "reaches after contact"),
    ("drop starts early", "plant starts early"),
    ("plant starts early", "arms up and waiting"),
    ("arms up and waiting", "feet stutter"),
}

ADJUSTMENTS = {
    "Hold lower",
    "Start higher",
    "Lighter or shorter pole",
    "Slower",
    "Stop at each position",
    "Ground markers",
    "Fewer steps",
}

ACTIVITIES = {
    "warm-up",
    "run-mechanics",
    "jumping-short-run",
    "jumping-full-run",
    "strength",
    "film",
    "cool-down",
    "catch-marks",
    "film-reps",
    "move-standards",
    "meet",
}

EARLY = {"drop-starts-early", "drop-finishes-early", "plant-starts-early", "arms-up-waiting"}
LATE = {"drop-starts-late", "drop-finishes-late", "plant-starts-late", "reach-after-contact"}
CONTACT_DRILLS = [key for _, key, _, risk, _ in PROGRESSION if risk == "contact"]
SLIDING = [
    "jogging-drop-and-plant",
    "running-drop-and-plant",
    "top-arm-plant",
    "bottom-arm-plant",
    "plant-run-6",
    "plant-run-8",
    "plant-run-10",
    "plant-run-12",
]


def test_every_drill_of_the_progression_is_there_with_its_stage_unit_risk_and_gate() -> None:
    numbers = {stage.key: stage.number for stage in CATALOGUE.stages}
    shipped = [
        (numbers[drill.stage], drill.key, str(drill.unit), str(drill.risk), set(drill.gate))
        for drill in CATALOGUE.drills
    ]
    assert shipped == PROGRESSION
    assert len(shipped) == 21


def test_the_needs_are_those_of_the_progression() -> None:
    assert {(need, drill.key) for drill in CATALOGUE.drills for need in drill.needs} == NEEDS


def test_networkx_finds_the_needs_without_a_cycle_and_all_of_it_leads_from_the_first_grip() -> None:
    graph = nx.DiGraph((need, drill.key) for drill in CATALOGUE.drills for need in drill.needs)
    assert nx.is_directed_acyclic_graph(graph)
    assert nx.descendants(graph, "grip-and-carry-hold") == set(DRILLS) - {"grip-and-carry-hold"}


def test_a_beginner_may_try_the_first_grip_and_then_two_drills() -> None:
    graph = needs_graph(CATALOGUE.drills)
    assert may_try([], graph) == ("grip-and-carry-hold",)
    assert may_try(["grip-and-carry-hold"], graph) == ("carry-walk", "standing-drop")
    assert (easier("plant-run-8", graph), easier("three-step-walking-drop", graph)) == ("plant-run-6", "standing-drop")


def test_every_checkpoint_is_there_with_its_phase_place_and_faults() -> None:
    shipped = [
        (
            str(checkpoint.phase),
            checkpoint.key,
            {str(place) for place in checkpoint.seen_from},
            {fault.name for fault in checkpoint.faults},
        )
        for checkpoint in CATALOGUE.checkpoints
    ]
    assert shipped == WATCHED


def test_every_link_is_there_and_names_faults_that_exist() -> None:
    names = {fault.key: fault.name for fault in FAULTS.values()}
    names |= {cause.key: cause.name for cause in CATALOGUE.causes}
    assert {(names[link.source], names[link.to]) for link in CATALOGUE.links} == LINKS


def test_the_first_link_of_every_chain_says_what_mends_it() -> None:
    followed = {link.to for link in CATALOGUE.links}
    first = [link for link in CATALOGUE.links if link.source not in followed]
    mends = {link.source: link.mend.adjustment for link in first if link.mend}
    assert all(link.mend for link in first)
    assert (mends["pole-heavy"], mends["carry-starts-low"]) == ("hold-lower", "start-higher")


def test_every_adjustment_and_activity_is_there() -> None:
    assert {adjustment.name for adjustment in CATALOGUE.adjustments} == ADJUSTMENTS
    assert {activity.key for activity in CATALOGUE.activities} == ACTIVITIES


def test_every_adjustment_is_a_remedy_for_something_and_every_fault_has_a_cue_and_a_remedy() -> None:
    used = {remedy.adjustment for fault in FAULTS.values() for remedy in fault.remedies}
    assert {adjustment.key for adjustment in CATALOGUE.adjustments} <= used
    assert [fault.key for fault in FAULTS.values() if not fault.cues or not fault.remedies] == []


def test_early_and_late_faults_are_marked_and_have_the_cue_that_turns_them() -> None:
    assert {key for key, fault in FAULTS.items() if fault.kind is FaultKind.EARLY} == EARLY
    assert {key for key, fault in FAULTS.items() if fault.kind is FaultKind.LATE} == LATE
    assert [key for key in EARLY if not any("later" in cue.lower() for cue in FAULTS[key].cues)] == []
    assert [key for key in LATE if not any("sooner" in cue.lower() for cue in FAULTS[key].cues)] == []


def test_only_the_jump_is_unsafe_and_every_walked_contact_drill_watches_for_it() -> None:
    assert [fault.key for fault in FAULTS.values() if fault.unsafe] == ["jumps"]
    watching = {
        drill.key for drill in CATALOGUE.drills for part in drill.checkpoints if part.checkpoint == "stays-grounded"
    }
    assert watching == {"wall-plant", "sliding-box-plant-walked", "walking-box-plant"}


@pytest.mark.parametrize("key", CONTACT_DRILLS)
def test_a_contact_drill_has_its_entry_drill_adult_and_rated_pole(key: str) -> None:
    drill = DRILLS[key]
    assert drill.entry_drill == "plant-run-6"
    assert (drill.risk, drill.adult, drill.poles) == (RiskClass.CONTACT, AdultLevel.CONTACT, PoleNeed.RATED)
    assert "pole-rating" in drill.safety


def test_exactly_the_sliding_drills_slide_and_none_of_them_on_grass() -> None:
    assert [drill.key for drill in CATALOGUE.drills if drill.slides] == SLIDING
    for key in SLIDING:
        verdicts = {rule.surface: rule.verdict for rule in DRILLS[key].surfaces}
        assert verdicts == {
            Surface.SMOOTH_FLOOR: SurfaceVerdict.GOOD,
            Surface.SYNTHETIC_TRACK: SurfaceVerdict.TRY_FIRST,
            Surface.GRASS: SurfaceVerdict.NEVER,
        }
        assert "sliding-surface" in DRILLS[key].safety


def test_one_arm_drills_take_a_light_short_pole_and_no_wall_or_box() -> None:
    for key in ("top-arm-plant", "bottom-arm-plant"):
        assert DRILLS[key].poles is PoleNeed.LIGHT_SHORT
        assert [str(area) for area in DRILLS[key].areas] == ["floor"]


def test_seconds_a_turn_and_least_turns_are_the_common_ones() -> None:
    # common practice: box 75 s, plant run 45, wall 30, floor 8; least: run and box 4, wall 3, floor 8
    turns = {key: (drill.seconds_a_turn, drill.least_turns) for key, drill in DRILLS.items()}
    for key, drill in DRILLS.items():
        if drill.risk is RiskClass.FLOOR:
            assert turns[key] == (8, 8)
    assert turns["wall-plant"] == (30, 3)
    assert {turns[key] for key in CONTACT_DRILLS if "box" in key} == {(75, 4)}
    assert {turns[f"plant-run-{steps}"] for steps in (6, 8, 10, 12)} == {(45, 4)}


def test_load_counts_plant_runs_and_box_together_and_the_wall_by_itself() -> None:
    # common practice: 16 reps on 2 days a week with a day between; wall 10; under 14 half
    run, wall = CATALOGUE.load_classes
    assert (run.reps_a_practice, run.reps_a_practice_under_14, run.days_a_week, run.rest_days) == (16, 8, 2, 1)
    assert (wall.reps_a_practice, wall.reps_a_practice_under_14) == (10, 5)
    loads = {key: drill.load for key, drill in DRILLS.items() if drill.load}
    assert loads.pop("wall-plant") == "wall"
    assert set(loads) == {f"plant-run-{n}" for n in (6, 8, 10, 12)} | (set(CONTACT_DRILLS) - {"wall-plant"})
    assert set(loads.values()) == {"run-and-box"}


def test_jumping_and_meets_need_clearance_and_a_rated_pole_and_three_jobs_wait_for_the_rest() -> None:
    cleared = {activity.key for activity in CATALOGUE.activities if activity.needs_clearance}
    assert cleared == {"jumping-short-run", "jumping-full-run", "meet"}
    assert {activity.key for activity in CATALOGUE.activities if activity.poles is PoleNeed.RATED} == cleared
    assert {activity.key for activity in CATALOGUE.activities if activity.job} == {
        "catch-marks",
        "film-reps",
        "move-standards",
    }


def test_sets_are_logged_where_one_stands_or_runs_in_place_and_reps_elsewhere() -> None:
    sets = {drill.key for drill in CATALOGUE.drills if drill.unit is Unit.SET}
    assert sets == {key for stage, key, *_ in PROGRESSION if stage in (0, 1)} | {"run-in-place"}


def test_every_drill_says_what_good_looks_like_for_all_that_it_offers() -> None:
    for drill in CATALOGUE.drills:
        for offered in drill.checkpoints:
            assert good_for(CATALOGUE, drill, offered.checkpoint).strip()
    assert '"ribs"' in good_for(CATALOGUE, DRILLS["four-stops"], "tip-at-landing-2")


def test_every_checkpoint_is_offered_and_every_safety_text_stands_somewhere_or_for_the_whole_practice() -> None:
    offered = {part.checkpoint for drill in CATALOGUE.drills for part in drill.checkpoints}
    assert offered == set(CHECKPOINTS)
    shown = {key for part in (*CATALOGUE.drills, *CATALOGUE.activities) for key in part.safety}
    assert {text.key for text in CATALOGUE.safety} - shown == {"injured", "head-injury"}


def test_the_drills_that_double_as_remedies_are_found_from_the_faults() -> None:
    assert "path-swings-behind" in {fault.key for fault in remedied_by(CATALOGUE, "top-arm-plant")}
    assert remedied_by(CATALOGUE, "plant-run-12") == ()


def test_the_words_leave_the_closing_sentence_to_the_page_and_never_shout_step_back() -> None:
    text = (Path(__file__).parents[2] / "fixtures" / "catalogue.yaml").read_text(encoding="utf-8")
    body = "\n".join(line for line in text.splitlines() if not line.lstrip().startswith("#"))
    assert "come first" not in body
    for word in ("step back", "stride", "behind schedule", "stuck"):
        assert word not in body.lower()
