"""Who goes first at which station in which block, with hand and pole; on the page as on the sheet."""

from datetime import timedelta

import pytest
from django.test import Client

from athletes.models import NotebookEntry, Pole
from sessions.practices.actions import order
from sessions.practices.models import Assignment
from sessions.practices.queries.board import board
from sessions.practices.queries.sheet import sheet
from tests.builders import DAY, make_athlete, make_block, make_drill, make_person, make_practice
from tests.sessions.practices.conftest import Scene, text

NAMES = ("Ada", "Bo", "Cleo", "Dov")


@pytest.fixture
def queue(scene: Scene) -> list[Assignment]:
    """Ada, Bo (left-handed), Cleo and Dov at one station; Ada also in a second block."""
    club, drill = scene.cast.club, make_drill(scene.cast.club, name="Carry walk", poles="any")
    people = [make_person(club, "athlete", given_name=name, family_name="Vale") for name in NAMES]
    athletes = [make_athlete(club, one, hand="left" if one.given_name == "Bo" else "right") for one in people]
    scene.squad.athletes.set(athletes)
    values = {"club": club, "station": scene.station, "drill": drill}
    second = make_block(scene.practice, number=2, starts="17:20")
    Assignment.objects.create(**values, block=second, athlete=athletes[0], order=7)
    return [
        Assignment.objects.create(**values, block=scene.block, athlete=one, order=n) for n, one in enumerate(athletes)
    ]


def names(scene: Scene, block: int = 0) -> list[str]:
    found = sheet(scene.planner, board(scene.planner, scene.practice))
    return [turn.label for turn in found.lines[0].boxes[block].parts[0].turns]


def test_one_moves_up_by_a_place_or_to_the_head_and_the_first_stays(scene: Scene, queue: list[Assignment]) -> None:
    act = {"by": scene.planner, "practice": scene.practice}
    order.move_up(**act, assignment=queue[3])
    assert names(scene) == ["Ada", "Bo", "Dov", "Cleo"]
    order.move_up(**act, assignment=queue[2], first=True)
    assert names(scene) == ["Cleo", "Ada", "Bo", "Dov"]
    order.move_up(**act, assignment=queue[2])
    assert names(scene) == ["Cleo", "Ada", "Bo", "Dov"] and names(scene, 1) == ["Ada"]


def test_left_handers_go_one_after_another_at_the_end(scene: Scene, queue: list[Assignment]) -> None:
    order.left_handers_together(by=scene.planner, practice=scene.practice)
    assert names(scene) == ["Ada", "Cleo", "Dov", "Bo"]


def test_the_page_and_the_sheet_say_order_hand_and_pole(scene: Scene, queue: list[Assignment], coach: Client) -> None:
    club = scene.cast.club
    old, new = (Pole.objects.create(club=club, tag=tag, length_m="3.66") for tag in ("Wren 12", "Heron 14"))
    gone = Pole.objects.create(
        club=club, tag="Crow 9", length_m="3.66", state="withdrawn", why="a crack", withdrawn_on=DAY
    )
    for pole, place, back in ((old, 0, 3), (new, 0, 0), (gone, 2, 0)):
        on = DAY - timedelta(days=back)
        NotebookEntry.objects.create(club=club, athlete=queue[place].athlete, on=on, pole=pole)
    coach.post(scene.url("move_up", assignment=queue[1].pk))
    page = text(coach.get(scene.url("running_order")))
    assert page.index("<b>Bo</b>") < page.index("<b>Ada</b>") < page.index("<b>Cleo</b>")
    assert "left-hander" in page and "pole Heron 14" in page and "Wren 12" not in page and "Crow 9" not in page
    assert "Bo (L), Ada (pole Heron 14), Cleo, Dov" in text(coach.get(scene.url("wall_sheet")))


def test_a_place_of_another_practice_is_not_moved(scene: Scene, queue: list[Assignment], coach: Client) -> None:
    other = make_practice(scene.cast.club)
    queue[1].block.practice = other
    queue[1].block.save()
    assert coach.post(scene.url("move_up", assignment=queue[1].pk)).status_code == 404
