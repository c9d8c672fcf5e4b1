"""A plan is kept under a name without anybody's, laid out in another practice, renamed, deleted and brought back."""

import json
from datetime import time

import pytest
from django.test import Client
from django.urls import reverse

from drills.models import Drill
from sessions.practices.actions import templates as actions
from sessions.practices.actions.errors import NotNow
from sessions.practices.models import Assignment, PlannedWork, PlanTemplate, Practice
from tests.builders import make_area, make_block, make_drill, make_practice, make_venue
from tests.sessions.practices.conftest import Scene, make_activity, text


@pytest.fixture
def kept(scene: Scene) -> PlanTemplate:
    """Two blocks: a warm-up for all at no station, then Nandi and Eero at a drill on the smooth floor."""
    club, drill = scene.cast.club, make_drill(scene.cast.club, key="walk", name="Carry walk")
    second = make_block(scene.practice, number=2, starts=time(17, 20), minutes=30)
    warm = make_activity(scene)
    for athlete in (scene.cast.vaulter, scene.cast.team_mate):
        Assignment.objects.create(club=club, block=scene.block, athlete=athlete, activity=warm)
        Assignment.objects.create(club=club, block=second, station=scene.station, athlete=athlete, drill=drill)
    return actions.save_template(by=scene.planner, practice=scene.practice, name="Mondays")


def empty(scene: Scene, **overrides: object) -> Practice:
    values = {"venue": scene.venue, "squads": [scene.squad], "starts": time(9), "ends": time(11)}
    return make_practice(scene.cast.club, **{**values, **overrides})


def test_nobody_s_name_is_in_it_and_each_piece_of_work_stands_once(scene: Scene, kept: PlanTemplate) -> None:
    said = json.dumps(kept.layout)
    for person in (scene.cast.vaulter.person, scene.cast.team_mate.person, scene.cast.assistant.person):
        assert person.given_name not in said and str(person.pk) not in said
    assert [piece["work"] for piece in kept.layout["pieces"]] == ["activity:warm-up", "drill:walk"]


def test_laid_out_it_gives_blocks_stations_and_what_is_meant_there_and_nobody_a_place(
    scene: Scene, kept: PlanTemplate
) -> None:
    there = empty(scene)
    assert actions.apply_template(by=scene.planner, practice=there, template=kept).left_out == ()
    assert list(there.blocks.values_list("number", "starts", "minutes")) == [(1, time(9), 20), (2, time(9, 20), 30)]
    assert [station.area for station in there.stations.all()] == [scene.floor]
    assert {str(one) for one in PlannedWork.objects.filter(block__practice=there)} == {"Warm-up", "Carry walk"}
    assert not Assignment.objects.filter(block__practice=there).exists()


def test_the_cell_offers_what_is_meant_until_somebody_does_it(scene: Scene, kept: PlanTemplate, coach: Client) -> None:
    there = empty(scene)
    actions.apply_template(by=scene.planner, practice=there, template=kept)
    url = reverse("plan", args=[scene.cast.club.slug, there.pk])
    page = text(coach.get(url))
    assert "work=drill:walk" in page and "nobody yet" in page
    block = there.blocks.get(number=2)
    opened = text(coach.get(url, {"block": block.pk, "station": there.stations.get().pk, "work": "drill:walk"}))
    assert '<option value="drill:walk" selected>' in opened
    planned = PlannedWork.objects.get(block=block)
    values = {"block": block, "station": planned.station, "drill": planned.drill, "athlete": scene.cast.vaulter}
    Assignment.objects.create(club=scene.cast.club, **values)
    assert "work=drill:walk" not in text(coach.get(url))


def test_it_is_laid_behind_what_is_planned_already_and_takes_the_station_that_stands_there(
    scene: Scene, kept: PlanTemplate
) -> None:
    actions.apply_template(by=scene.planner, practice=scene.practice, template=kept)
    rows = list(scene.practice.blocks.values_list("number", "starts"))
    assert rows == [(1, time(17)), (2, time(17, 20)), (3, time(17, 50)), (4, time(18, 10))]
    assert scene.practice.stations.count() == 1


def test_what_has_no_room_or_no_place_or_is_retired_is_said(scene: Scene, kept: PlanTemplate) -> None:
    hall = make_venue(scene.cast.club, name="Mill Hall")
    make_area(hall, name="Gym", kind="room")
    Drill.objects.filter(key="walk").update(retired=True)
    there = empty(scene, venue=hall, ends=time(9, 30))
    left_out = actions.apply_template(by=scene.planner, practice=there, template=kept).left_out
    assert left_out == (
        "Block 2 of it would lie outside of the practice.",
        "Mill Hall has no place like Smooth floor.",
        "walk is no longer in the catalogue.",
    )
    assert there.blocks.count() == 1


def test_if_none_of_it_has_room_nothing_is_changed(scene: Scene, kept: PlanTemplate) -> None:
    there = empty(scene, ends=time(9, 10))
    with pytest.raises(NotNow, match="None of its blocks"):
        actions.apply_template(by=scene.planner, practice=there, template=kept)
    assert not there.blocks.exists() and not there.stations.exists()


def test_pages_keep_lay_out_rename_delete_and_bring_back(scene: Scene, kept: PlanTemplate, coach: Client) -> None:
    club = scene.cast.club.slug
    assert "Kept as “Fridays”" in text(coach.post(scene.url("save_template"), {"name": " Fridays "}, follow=True))
    assert "named mondays already" in text(coach.post(scene.url("save_template"), {"name": "mondays"}, follow=True))
    wrong = coach.post(reverse("rename_template", args=[club, kept.pk]), {"name": "FRIDAYS"})
    assert wrong.status_code == 422 and "named FRIDAYS already" in text(wrong) and 'value="FRIDAYS"' in text(wrong)
    assert "Renamed." in text(
        coach.post(reverse("rename_template", args=[club, kept.pk]), {"name": "Mon"}, follow=True)
    )
    coach.post(reverse("delete_template", args=[club, kept.pk]))
    there = empty(scene)
    url = reverse("apply_template", args=[club, there.pk])
    assert "Choose one of the club" in text(coach.post(url, {"template": kept.pk}, follow=True))
    assert "“Mon” is back." in text(coach.post(reverse("restore_template", args=[club, kept.pk]), follow=True))
    assert "Laid out." in text(coach.post(url, {"template": kept.pk}, follow=True)) and there.blocks.count() == 2


def test_a_plan_without_blocks_is_not_kept_and_a_taken_name_does_not_come_back(
    scene: Scene, kept: PlanTemplate
) -> None:
    with pytest.raises(NotNow, match="nothing to keep"):
        actions.save_template(by=scene.planner, practice=empty(scene), name="Empty")
    actions.delete_template(by=scene.planner, template=kept)
    actions.save_template(by=scene.planner, practice=scene.practice, name="Mondays")
    with pytest.raises(NotNow, match="named Mondays already"):
        actions.restore_template(by=scene.planner, template=kept)
