"""The pages that read the catalogue: what a new assistant needs stands on them, at a fixed cost."""

import pytest
from django.db.models import F

from drills import queries
from drills.core.catalogue import RiskClass
from drills.models import Drill, DrillCheckpoint, Remedy
from drills.queries import drill_sheet, progress_map
from drills.shipped import SHIPPED
from tests.drills.editing import Desk, make_desk

pytestmark = pytest.mark.django_db
RULES = "licensed or certified coach in charge come first"


@pytest.fixture
def desk(db: None) -> Desk:
    return make_desk(SHIPPED.read_bytes())


def test_every_drill_that_can_hurt_shows_its_safety_words_and_whose_rules_come_first(desk: Desk) -> None:
    shown = Drill.objects.exclude(risk=RiskClass.FLOOR)
    assert shown.count() == 10
    for drill in shown:
        page = desk.get(f"drills/{drill.key}/").content.decode()
        assert 'class="safety"' in page and RULES in page
        assert page.index('class="safety"') < page.index("Set-up")


@pytest.mark.parametrize(("risk", "said"), [("floor", False), ("moving", True), ("contact", True)])
def test_whose_rules_come_first_is_said_on_what_can_hurt_even_without_a_safety_text(desk, risk, said) -> None:
    Drill.objects.filter(key="run-in-place").update(risk=risk, safety=[])
    page = desk.get("drills/run-in-place/").content.decode()
    assert (RULES in page) is said and ('class="safety"' in page) is said


def test_no_drill_is_its_own_remedy(desk: Desk) -> None:
    own = list(Remedy.objects.filter(drill__offers__checkpoint=F("fault__checkpoint")))
    assert own
    for drill in Drill.objects.all():
        sheet = drill_sheet(desk.coach, drill)
        offered = [remedy for watch in sheet.watches for fault in watch.faults for remedy in fault.remedies.all()]
        assert drill.pk not in {remedy.drill_id for remedy in offered}
    page = desk.get("drills/run-in-place/").content.decode()
    assert 'href="' + desk.url("drills/run-in-place/") + '"' not in page


def test_a_fault_seen_at_this_drill_alone_does_not_send_one_here(desk: Desk) -> None:
    drill = Drill.objects.get(key="run-in-place")
    before = drill_sheet(desk.coach, drill).remedy_for
    assert before
    DrillCheckpoint.objects.filter(checkpoint=before[0].checkpoint).exclude(drill=drill).delete()
    after = drill_sheet(desk.coach, drill).remedy_for
    assert [fault for fault in before if fault.checkpoint_id != before[0].checkpoint_id] == after


def test_the_run_is_split_as_the_trade_counts_it_for_either_hand(desk: Desk) -> None:
    run = Drill.objects.get(key="plant-run-10")
    right, left = (drill_sheet(desk.coach, run, hand).run for hand in ("right", "left"))
    assert right and left
    assert (right.phases.carry, right.phases.drop, right.phases.plant) == (4, 3, 3)
    assert (right.drop_foot, right.plant_foot, right.last_foot) == ("left", "right", "left")
    assert (left.drop_foot, left.plant_foot, left.last_foot) == ("right", "left", "right")


def test_a_walk_that_ends_with_the_drop_has_no_plant_and_no_take_off(desk: Desk) -> None:
    run = drill_sheet(desk.coach, Drill.objects.get(key="three-step-walking-drop")).run
    assert run and (run.first_landing, run.phases.drop, run.plant_foot, run.ends) == (6, 3, "", 3)
    page = desk.get("drills/three-step-walking-drop/").content.decode()
    assert "and it ends on landing 3, the right foot." in page and "take-off from" not in page


def test_what_a_short_run_does_not_show_is_named_apart(desk: Desk) -> None:
    short = drill_sheet(desk.coach, Drill.objects.get(key="run-in-place"), "right", "2")
    long = drill_sheet(desk.coach, Drill.objects.get(key="run-in-place"), "right", "6")
    named = {offer.checkpoint.key for offer in short.later}
    assert "drop-start" in named and not long.later
    assert named.isdisjoint(watch.checkpoint.key for watch in short.watches)


@pytest.mark.parametrize("steps", ["", "7", "-1", "six", "9" * 400])
def test_a_step_count_that_the_drill_does_not_have_draws_its_first(desk: Desk, steps: str) -> None:
    sheet = drill_sheet(desk.coach, Drill.objects.get(key="run-in-place"), "right", steps)
    assert sheet.run and sheet.run.steps == 2


def test_one_stands_where_all_of_the_gate_is_seen(desk: Desk) -> None:
    places = {drill.key: drill_sheet(desk.coach, drill).places for drill in Drill.objects.all()}
    assert places["wall-plant"] == ["side"]
    assert places["plant-run-6"] == ["top-hand-side"]
    assert places["walking-box-plant"] == ["beside-the-box"]


def test_the_pages_cost_the_same_number_of_queries_for_a_small_and_a_large_catalogue(
    desk: Desk, django_assert_num_queries
) -> None:
    for one in (desk, make_desk()):
        drill = Drill.objects.get(club=one.cast.club, key__in=["wall-plant", "carry"])
        with django_assert_num_queries(3):
            progress_map(one.coach)
        with django_assert_num_queries(8):
            drill_sheet(one.coach, drill)
        with django_assert_num_queries(10):
            queries.parts(one.coach)
