"""Said beforehand: who may say it, until when, how it is taken back, and what goes by it."""

from datetime import date, datetime, time
from types import SimpleNamespace
from zoneinfo import ZoneInfo

import pytest
from django.test import Client
from django.urls import reverse

from athletes.models import Athlete
from club.members import Member
from club.models import AuditEntry
from club.roles import Permission
from sessions.planning import actions as planning
from sessions.practices.models import Assignment, Attendance, CannotCome, Practice
from sessions.practices.queries.attendance import attendances
from sessions.practices.queries.board import board
from sessions.practices.queries.plan import as_plan, read
from sessions.station.queries import sheet
from tests.builders import DAY, aware, make_drill
from tests.sessions.practices.conftest import Scene, text

pytestmark = pytest.mark.django_db


@pytest.fixture(autouse=True)
def noon(monkeypatch: pytest.MonkeyPatch) -> None:
    now = datetime.combine(DAY, time(12), ZoneInfo("Europe/London"))
    monkeypatch.setattr("club.clock.timezone", SimpleNamespace(now=lambda: now))


@pytest.fixture(autouse=True)
def published(scene: Scene) -> None:
    Practice.objects.update(published_at=aware(DAY, time(9)))


def say(scene: Scene, by: Member, name: str = "cannot_come", athlete: Athlete | None = None, **more: object) -> str:
    client, athlete = Client(), athlete or scene.cast.vaulter
    client.force_login(by.person)
    ids = {"club": scene.cast.club.slug, "athlete": athlete.pk, "practice": scene.practice.pk, **more}
    answer = client.post(reverse(name, kwargs=ids), follow=True)
    return text(answer) if answer.status_code == 200 else str(answer.status_code)


def test_a_guardian_says_it_with_one_tap_and_takes_it_back_with_another(scene: Scene) -> None:
    page = say(scene, scene.cast.parent)
    assert CannotCome.objects.get().athlete == scene.cast.vaulter
    assert "It is noted that Nandi can’t come." in page and "Can come after all" in page
    assert say(scene, scene.cast.parent).count("It is noted") == 1 and CannotCome.objects.count() == 1
    assert "Nandi can’t come" in say(scene, scene.cast.parent, "can_come")
    assert not CannotCome.objects.exists()
    kinds = list(AuditEntry.objects.order_by("pk").values_list("kind", flat=True))
    assert kinds == ["said that somebody cannot come", "said that somebody can come after all"]


@pytest.mark.parametrize(("born", "may"), [(None, False), (date(2008, 3, 3), False), (date(2008, 3, 2), True)])
def test_an_athlete_says_it_from_eighteen_on(scene: Scene, born: date | None, may: bool) -> None:
    person = scene.cast.athlete.person
    person.birth_date = born
    person.save(update_fields=["birth_date"])
    page = say(scene, scene.cast.athlete)
    assert CannotCome.objects.exists() is may
    assert ("You said that you can’t come." in page) is may
    assert ("Under 18 a parent or guardian says it." in page) is not may


@pytest.mark.parametrize(
    ("change", "words"),
    [
        ({"cancelled_at": aware(DAY)}, "This practice is cancelled"),
        ({"starts": time(9), "ends": time(11)}, "This practice is over."),
    ],
)
def test_of_a_practice_that_is_off_or_over_nothing_is_noted(scene: Scene, change: dict, words: str) -> None:
    Practice.objects.update(**change)
    assert words in say(scene, scene.cast.parent)
    assert not CannotCome.objects.exists()


def test_whoever_has_no_tie_to_the_child_cannot_say_it(scene: Scene) -> None:
    for by, athlete in ((scene.cast.parent, scene.cast.team_mate), (scene.cast.athlete, scene.cast.team_mate)):
        assert say(scene, by, athlete=athlete) == "404"
    assert say(scene, scene.cast.assistant) == "403"
    assert not CannotCome.objects.exists()


def test_the_plan_and_a_fill_count_them_as_away_until_they_are_noted_as_here(scene: Scene) -> None:
    say(scene, scene.cast.parent)
    vaulter = scene.cast.vaulter
    make_drill(scene.cast.club)
    absent = {one.key: one.absent for one in as_plan(read(scene.planner, scene.practice)).vaulters}
    assert absent == {str(vaulter.pk): True, str(scene.cast.team_mate.pk): False}
    planning.fill(by=scene.planner, practice=scene.practice, anew=False)
    assert {row.athlete_id for row in Assignment.objects.all()} == {scene.cast.team_mate.pk}
    idle = [chip.label for c in board(scene.planner, scene.practice).rest.cells for chip in c.idle]
    assert "Nandi" not in idle
    Attendance.objects.create(
        club=scene.cast.club, practice=scene.practice, athlete=vaulter, state="here", at=aware(DAY)
    )
    assert not any(one.absent for one in as_plan(read(scene.planner, scene.practice)).vaulters)


def test_a_place_of_somebody_who_cannot_come_is_marked_in_the_plan(scene: Scene) -> None:
    drill = make_drill(scene.cast.club)
    place = {"club": scene.cast.club, "block": scene.block, "station": scene.station, "drill": drill}
    Assignment.objects.create(**place, athlete=scene.cast.vaulter)
    say(scene, scene.cast.parent)
    found = board(scene.planner, scene.practice)
    warned = [words for row in found.rows for cell in row.cells for words in cell.warned]
    assert "Nandi is not here, or has said that they cannot come." in warned


def test_who_is_here_says_it_and_the_station_leaves_them_out_of_the_line(scene: Scene) -> None:
    drill = make_drill(scene.cast.club)
    place = {"club": scene.cast.club, "block": scene.block, "station": scene.station, "drill": drill}
    for order, athlete in enumerate((scene.cast.vaulter, scene.cast.team_mate)):
        Assignment.objects.create(**place, athlete=athlete, order=order)
    say(scene, scene.cast.parent)
    lines = {line.label: line.words for line in attendances(scene.planner, scene.practice).athletes}
    assert lines == {"Nandi": "said beforehand that they cannot come", "Eero": ""}
    member = scene.cast.assistant.acting(Permission.REPS_LOG)
    turns = sheet.station_sheet(member, scene.station, aware(DAY, time(17, 5))).turns
    assert {turn.name: turn.state for turn in turns} == {"Nandi": "absent", "Eero": ""}
