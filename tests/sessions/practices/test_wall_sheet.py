"""The sheet for the wall says who does what where, and nothing that is nobody else's business."""

from datetime import date

import pytest
from django.test import Client

from athletes.models import Readiness, Restriction
from drills.models import SafetyText
from sessions.practices.models import Assignment, Attendance
from sessions.practices.queries import calendar
from tests.builders import make_drill
from tests.sessions.practices.conftest import Scene, text


def test_the_sheet_names_station_drill_athletes_and_safety(scene: Scene, coach: Client) -> None:
    SafetyText.objects.create(club=scene.cast.club, key="slides", title="A tip that slides", text="Try it by hand.")
    drill = make_drill(scene.cast.club, name="Carry walk", safety=["slides"])
    Assignment.objects.create(
        club=scene.cast.club, block=scene.block, station=scene.station, athlete=scene.cast.vaulter, drill=drill
    )
    page = text(coach.get(scene.url("wall_sheet")))
    for words in (
        "Smooth floor",
        "Aiko",
        "Carry walk",
        "<p>Nandi</p>",
        "A tip that slides",
        "Local rules",
        "17:00–17:20",
    ):
        assert words in page
    assert "Watch and help</b></div><p>Eero</p>" in page


def test_nothing_of_restrictions_figures_or_findings_is_on_it(scene: Scene, coach: Client) -> None:
    drill = make_drill(scene.cast.club, name="Carry walk")
    Assignment.objects.create(
        club=scene.cast.club, block=scene.block, station=scene.station, athlete=scene.cast.vaulter, drill=drill
    )
    Readiness.objects.create(club=scene.cast.club, athlete=scene.cast.vaulter, drill=drill, good=9, reps=17)
    Restriction.objects.create(
        club=scene.cast.club,
        athlete=scene.cast.vaulter,
        excludes=["floor"],
        what="heldwhat",
        reason="heldwhy",
        starts_on=date(2026, 1, 1),
    )
    page = text(coach.get(scene.url("wall_sheet")))
    for word in ("heldwhat", "heldwhy", "restriction", "turns", "not safe", "Kestrel"):
        assert word not in page


def test_who_was_taken_out_or_is_not_here_is_not_listed_as_idle(scene: Scene, coach: Client) -> None:
    for athlete, state in ((scene.cast.vaulter, "out"), (scene.cast.team_mate, "absent")):
        at = calendar.starts_at(scene.practice)
        Attendance.objects.create(club=scene.cast.club, practice=scene.practice, athlete=athlete, state=state, at=at)
    page = text(coach.get(scene.url("wall_sheet")))
    assert "Nandi" not in page and "Eero" not in page


def test_two_of_one_name_are_told_apart_by_a_letter(scene: Scene, coach: Client) -> None:
    person = scene.cast.team_mate.person
    person.given_name = "Nandi"
    person.save()
    page = text(coach.get(scene.url("wall_sheet")))
    assert "Nandi K., Nandi V." in page


@pytest.mark.parametrize("name", ["practice", "plan", "wall_sheet"])
def test_a_walk_from_landing_6_to_3_lights_the_drop_and_leaves_the_plant_out(
    scene: Scene, coach: Client, name: str
) -> None:
    walk = make_drill(scene.cast.club, phases=["drop"], steps=[3], last_landing=3)
    Assignment.objects.create(
        club=scene.cast.club, block=scene.block, station=scene.station, athlete=scene.cast.vaulter, drill=walk, steps=3
    )
    page = text(coach.get(scene.url(name)))
    strip = next(part for part in page.split("<svg")[1:] if 'class="p off"' in part).split("</svg>")[0]
    assert strip.count('class="d on"') == 3 and strip.count('class="p off"') == 3
