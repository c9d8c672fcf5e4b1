"""Every form of practices and planning, with each of its fields broken in each way: the answer is clear, what was
typed is not lost to an error page, and nothing is half stored."""

from collections.abc import Callable, Iterator
from typing import Any
from uuid import uuid4

import pytest
from django.db import connection, transaction
from django.test import Client
from django.urls import reverse

from sessions.practices.actions import templates
from sessions.practices.models import Assignment, PlannedWork, PlanTemplate
from tests.builders import make_area, make_athlete, make_drill, make_person, make_practice, make_squad, make_venue
from tests.club.asking import dump
from tests.sessions.practices.conftest import Scene

Bodies = dict[str, tuple[str, dict[str, Any]]]
"""By name of the form: its address and a valid body."""
Ask = Callable[..., tuple[int, bool]]
NOISE = ["", "x" * 10_000, "\x00\u202e", "-1", "9" * 20]
DAYS = ["0001-01-01", "9999-12-31", "2030-02-30", "03/04/2030"]
CLOCKS = ["24:00", "17", "17:00:00.0000009"]


def operators(good: Any) -> Iterator[Any]:
    """Values of a field that are wrong in some way: missing, of another kind, huge, of nobody, of another day."""
    yield from NOISE
    yield str(uuid4())
    yield [good, good] if not isinstance(good, list) else [*good, str(uuid4())]
    text = str(good)
    if text.count("-") == 2:
        yield from DAYS
    if text.count(":") == 1 and text[:2].isdigit():
        yield from CLOCKS


@pytest.fixture
def bodies(scene: Scene) -> Bodies:
    """A valid body for each address that takes one, by its name: the address and the body."""
    club, cast = scene.cast.club, scene.cast
    drill = make_drill(club, key="walk")
    place = Assignment.objects.create(
        club=club, block=scene.block, station=scene.station, athlete=cast.team_mate, drill=drill
    )
    kept = templates.save_template(by=scene.planner, practice=scene.practice, name="Mondays")
    guest = make_athlete(club, make_person(club, "athlete"))
    when = {"day": "2030-03-04", "starts": "17:00", "ends": "18:30", "venue": str(scene.venue.pk)}
    who = {
        "squads": [str(scene.squad.pk)],
        "adults": [str(one.person.pk) for one in (cast.head_coach, cast.assistant)],
        "focus": "",
        "bring": "shoes",
    }
    cell = {"block": str(scene.block.pk), "station": str(scene.station.pk), "work": "drill:walk", "steps": ""}
    found = {
        "edit_practice": {**when, **who, "day": "2026-03-02", "ends": "19:00", "scope": "this"},
        "move_practice": {**when, "day": "2026-03-02", "ends": "19:00", "scope": "this"},
        "cancel_practice": {"later": "1"},
        "uncancel_practice": {"together": "1"},
        "attendance": {"person": str(cast.assistant.person.pk), "act": "in"},
        "add_block": {"minutes": "10", "starts": "17:30"},
        "add_station": {"area": str(make_area(scene.venue).pk), "run_by": str(cast.head_coach.person.pk)},
        "station_adult": {"run_by": str(cast.head_coach.person.pk)},
        "assign": {**cell, "athletes": [str(cast.vaulter.pk)], "moving": [], "everyone": ""},
        "pin": {"pinned": "1"},
        "move_up": {"first": "1"},
        "guests": {"athlete": str(guest.pk)},
        "save_template": {"name": "Tuesdays"},
        "apply_template": {"template": str(kept.pk)},
        "fill_plan": {"anew": "1"},
    }
    more = {
        "station_adult": {"station": scene.station.pk},
        "pin": {"assignment": place.pk},
        "move_up": {"assignment": place.pk},
    }
    asked = {name: (scene.url(name, **more.get(name, {})), body) for name, body in found.items()}
    asked["new_practice"] = reverse("new_practice", args=[club.slug]), {**when, **who, "until": "2030-03-18"}
    asked["rename_template"] = reverse("rename_template", args=[club.slug, kept.pk]), {"name": "Fridays"}
    return asked


FORMS = [
    "new_practice", "edit_practice", "move_practice", "cancel_practice", "uncancel_practice", "attendance", "add_block",
    "add_station", "station_adult", "assign", "pin", "move_up", "guests", "save_template", "apply_template",
    "rename_template", "fill_plan",
]  # fmt: skip


@pytest.fixture
def ask(bodies: Bodies, coach: Client) -> Ask:
    """Posts, says the status and whether what was refused stored anything, and undoes it."""
    before: list[Any] = []

    def post(url: str, body: dict[str, Any], anew: bool = False) -> tuple[int, bool]:
        if anew or not before:
            before[:] = [dump()]
        writes: list[str] = []

        def watch(execute: Any, sql: str, *more: Any) -> Any:
            writes.extend([sql] if sql.lstrip()[:6].upper() in {"INSERT", "UPDATE", "DELETE"} else [])
            return execute(sql, *more)

        with transaction.atomic():
            with connection.execute_wrapper(watch):
                answer = coach.post(url, {name: value for name, value in body.items() if value is not None})
            # Comparing everything is slow: where nothing was written, nothing can differ.
            stored = answer.status_code != 302 and bool(writes) and dump() != before[0]
            transaction.set_rollback(True)
        return answer.status_code, stored

    return post


@pytest.mark.parametrize("name", FORMS)
def test_no_field_of_any_form_breaks_a_page_or_leaves_half_of_it_stored(bodies: Bodies, ask: Any, name: str) -> None:
    url, good = bodies[name]
    for field, value in good.items():
        for wrong in (None, *operators(value)):
            status, stored = ask(url, {**good, field: wrong})
            assert status in {200, 302, 404, 422}, (field, wrong, status)
            assert not stored, (field, wrong, "refused, and yet something was stored")


@pytest.mark.parametrize(
    ("name", "field", "make"),
    [
        ("new_practice", "venue", lambda club: make_venue(club)),
        ("new_practice", "squads", lambda club: make_squad(club)),
        ("edit_practice", "venue", lambda club: make_venue(club)),
        ("move_practice", "venue", lambda club: make_venue(club)),
        ("add_station", "area", lambda club: make_area(make_venue(club))),
        ("guests", "athlete", lambda club: make_athlete(club, make_person(club, "athlete"))),
        ("assign", "athletes", lambda club: make_athlete(club, make_person(club, "athlete"))),
    ],
)
def test_what_belongs_to_another_club_is_no_choice(
    scene: Scene, bodies: Bodies, ask: Any, name: str, field: str, make: Any
) -> None:
    url, good = bodies[name]
    assert ask(url, {**good, field: str(make(scene.cast.other_club).pk)}, anew=True) == (422, False)


def test_another_clubs_template_is_not_laid_out(scene: Scene, bodies: Bodies, ask: Any) -> None:
    url, _ = bodies["apply_template"]
    theirs = PlanTemplate.objects.create(
        club=scene.cast.other_club, name="Theirs", layout=PlanTemplate.objects.get().layout
    )
    assert ask(url, {"template": str(theirs.pk)}) == (302, False) and not PlannedWork.objects.exists()


@pytest.mark.parametrize("name", ["new_practice", "move_practice", "edit_practice"])
def test_a_squad_at_two_practices_at_once_is_refused_whole(scene: Scene, bodies: Bodies, ask: Any, name: str) -> None:
    url, good = bodies[name]
    body = {**good, "day": "2030-03-11"}
    assert ask(url, body)[0] == 302
    make_practice(scene.cast.club, venue=scene.venue, squads=[scene.squad], day="2030-03-11")
    assert ask(url, body, anew=True) == (422, False)


def test_every_good_body_is_taken(bodies: Bodies, ask: Any) -> None:
    for name in FORMS:
        url, good = bodies[name]
        assert ask(url, good)[0] == 302, name
