"""The sheet for the wall on paper: one page, the words of the plan and nothing else, read back from the file."""

from itertools import product
from typing import Any

import pypdfium2
import pytest
from django.test import Client

from athletes.models import NotebookEntry, Pole, Readiness, Restriction
from club.pdf import Paper
from drills.models import Activity, SafetyText
from sessions.practices import sheet_words as words
from sessions.practices.models import Assignment
from sessions.practices.queries.board import board
from sessions.practices.queries.sheet import sheet
from sessions.practices.wall_pdf import READABLE, wall_pdf
from tests.builders import DAY, make_area, make_athlete, make_block, make_drill, make_person, make_station
from tests.sessions.practices.conftest import Scene, text

SIZES = {Paper.A4: (842, 595), Paper.LETTER: (792, 612)}


def read_back(made: bytes) -> tuple[list[tuple[float, float]], str]:
    """Size of each page in pt, and all the text with runs of white space made one."""
    document = pypdfium2.PdfDocument(made)
    pages = [document[n] for n in range(len(document))]
    said = " ".join(page.get_textpage().get_text_range() for page in pages)
    return [page.get_size() for page in pages], " ".join(said.split())


def squeezed(said: str) -> str:
    """Without white space: lines break where the paper ends."""
    return "".join(said.split())


GIVEN = ("Maximiliana", "Wilhelmina-Josefine", "Zoë", "Łucja")
DRILLS = ("Three-step walking drop", "Running drop and plant", "Sliding-box plant, jogged", "Top-arm plant")
CAUTION = "Try the surface by hand before anyone begins. A tip that sticks throws the vaulter. " * 3


@pytest.fixture
def full(scene: Scene) -> Scene:
    """24 athletes in six blocks at four stations, with names as long as they come."""
    club, here = scene.cast.club, scene.practice
    people = [make_person(club, "athlete", given_name=GIVEN[n % 4], family_name=f"{chr(65 + n)}yle") for n in range(22)]
    others = [make_athlete(club, one, hand="right" if n % 6 else "left") for n, one in enumerate(people)]
    everybody = [scene.cast.vaulter, scene.cast.team_mate, *others]
    scene.squad.athletes.set(everybody)
    pole = Pole.objects.create(club=club, tag="Heron 14", length_m="3.66")
    NotebookEntry.objects.create(club=club, athlete=others[0], on=DAY, pole=pole)
    for key in ("slides", "wall", "box"):
        SafetyText.objects.create(club=club, key=key, title=f"Before the {key}", text=CAUTION)
    areas = [make_area(scene.venue, name=f"Long lane {n}") for n in (1, 2, 3)]
    stations = [scene.station, *(make_station(here, area=area, run_by=people[0]) for area in areas)]
    drills = [make_drill(club, name=name, poles="any", safety=["slides", "wall", "box"]) for name in DRILLS]
    blocks = [scene.block, *(make_block(here, number=n, starts=f"17:{n * 9}", minutes=9) for n in range(2, 7))]
    for (number, block), (n, athlete) in product(enumerate(blocks), enumerate(everybody)):
        k = (n + number) % 4
        place = {"block": block, "station": stations[k], "athlete": athlete, "drill": drills[k], "order": n}
        Assignment.objects.create(club=club, **place)
    return scene


@pytest.mark.parametrize("paper", list(Paper))
def test_24_athletes_in_six_blocks_stand_on_one_page_and_can_be_read(full: Scene, coach: Client, paper: Paper) -> None:
    response = coach.get(full.url("wall_pdf"), {"paper": str(paper)})
    assert response["Content-Type"] == "application/pdf"
    sizes, said = read_back(response.content)
    assert len(sizes) == 1 and sizes[0] == pytest.approx(SIZES[paper], abs=1)
    assert smallest_type(response.content) >= READABLE


def smallest_type(made: bytes) -> float:
    """Height of the smallest capital in pt over what a capital is of the type's size, roughly two thirds."""
    page = pypdfium2.PdfDocument(made)[0].get_textpage()
    said = page.get_text_range()
    capitals = [n for n in range(page.count_chars()) if said[n : n + 1] in {"T", "B", "H", "E"}]
    high = [top - bottom for _, bottom, _, top in (page.get_charbox(n) for n in capitals)]
    return min(high) / 0.668


def test_what_is_read_back_is_the_plan_and_what_the_page_says(full: Scene, coach: Client) -> None:
    found = sheet(full.planner, board(full.planner, full.practice))
    _, said = read_back(coach.get(full.url("wall_pdf")).content)
    page = squeezed(text(coach.get(full.url("wall_sheet"))).replace("&#x27;", "'"))
    expected = [words.title(found), words.about(found), words.key(found), words.rules()]
    expected += [f"{one.title}. {one.text}" for one in found.safety]
    for line in found.lines:
        expected += [words.line_name(line.name), line.adult]
        for box in line.boxes:
            expected += [words.names(part) for part in box.parts] + [part.name for part in box.parts]
    for sentence in expected:
        assert squeezed(sentence) in squeezed(said), sentence
    for line in found.lines:
        for box in line.boxes:
            for part in box.parts:
                assert squeezed(words.names(part)) in page
    assert "Zoë" in said and "Łucja" in said and "(L, pole Heron 14)" in " ".join(said.split())


def test_neither_reasons_nor_figures_nor_ratings_are_on_it(full: Scene, coach: Client) -> None:
    drill = Assignment.objects.filter(athlete=full.cast.vaulter).first().drill
    Readiness.objects.create(
        club=full.cast.club, athlete=full.cast.vaulter, drill=drill, good=9, bad=1, reps=10, days=3
    )
    Pole.objects.update(rating_kg="61.0")
    held = {"excludes": ["contact"], "what": "No box", "reason": "knee", "starts_on": DAY}
    Restriction.objects.create(club=full.cast.club, athlete=full.cast.team_mate, **held)
    _, said = read_back(coach.get(full.url("wall_pdf")).content)
    for word in ("No box", "knee", "61", "%", "likely range"):
        assert word not in said


def test_a_cancelled_practice_and_one_without_a_plan_say_so(scene: Scene, coach: Client) -> None:
    scene.practice.blocks.all().delete()
    coach.post(scene.url("cancel_practice"))
    _, said = read_back(coach.get(scene.url("wall_pdf")).content)
    assert "This practice is cancelled" in said and "There is no plan yet" in said


def test_an_activity_of_everybody_names_nobody(full: Scene, coach: Client) -> None:
    warm = Activity.objects.create(
        club=full.cast.club, key="warm-up", name="Warm-up", minutes=15, areas=["floor"], adult="none", poles="none"
    )
    Assignment.objects.filter(block=full.block).update(station=None, drill=None, activity=warm)
    _, said = read_back(coach.get(full.url("wall_pdf")).content)
    assert "everyone" in said


@pytest.mark.parametrize("asked", [{}, {"paper": "a0"}, {"paper": "letter;rm"}])
def test_any_other_paper_is_a4(scene: Scene, coach: Client, asked: dict[str, Any]) -> None:
    sizes, _ = read_back(coach.get(scene.url("wall_pdf"), asked).content)
    assert sizes[0] == pytest.approx(SIZES[Paper.A4], abs=1)


def test_it_is_the_same_file_but_for_its_date_when_nothing_changed(full: Scene) -> None:
    found = sheet(full.planner, board(full.planner, full.practice))
    first, second = (wall_pdf(found, paper=Paper.A4, club="Ternfield", language="en") for _ in range(2))
    assert read_back(first) == read_back(second)
