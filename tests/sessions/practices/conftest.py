"""One practice of a squad at a venue with a floor, and what tests of this room need around it."""

from collections.abc import Callable
from dataclasses import dataclass
from typing import Any

import pytest
from django.http import HttpResponse
from django.test import Client
from django.urls import reverse

from athletes.models import Squad
from club.members import Member
from club.models import Area, Venue
from club.roles import Permission
from drills.models import Activity
from sessions.practices.models import AdultPresence, Block, Practice, Station
from tests.builders import Cast, make_area, make_block, make_practice, make_squad, make_station, make_venue


@dataclass(frozen=True, slots=True)
class Scene:
    """A practice for the cast's two vaulters: both coaches expected, one block, one station on a smooth floor."""

    cast: Cast
    venue: Venue
    squad: Squad
    practice: Practice
    floor: Area
    station: Station
    block: Block

    @property
    def planner(self) -> Member:
        """The head coach as the door hands them to the actions of the plan."""
        return self.cast.head_coach.acting(Permission.PRACTICE_PLAN)

    def url(self, name: str, **more: Any) -> str:
        return reverse(name, kwargs={"club": self.cast.club.slug, "practice": self.practice.pk, **more})


@pytest.fixture
def scene(cast: Cast) -> Scene:
    venue = make_venue(cast.club, name="Quarry Track")
    squad = make_squad(cast.club, cast.vaulter, cast.team_mate, name="Terns")
    practice = make_practice(cast.club, venue=venue, squads=[squad])
    for member in (cast.head_coach, cast.assistant):
        AdultPresence.objects.create(club=cast.club, practice=practice, person=member.person)
    floor = make_area(venue, name="Smooth floor")
    station = make_station(practice, area=floor, run_by=cast.assistant.person)
    return Scene(cast, venue, squad, practice, floor, station, make_block(practice))


@pytest.fixture
def as_member(client: Client) -> Callable[[Member], Client]:
    def sign_in(member: Member) -> Client:
        client.force_login(member.person)
        return client

    return sign_in


@pytest.fixture
def coach(scene: Scene, as_member: Callable[[Member], Client]) -> Client:
    return as_member(scene.cast.head_coach)


def make_activity(scene: Scene, **overrides: Any) -> Activity:
    values: dict[str, Any] = {
        "key": "warm-up",
        "name": "Warm-up",
        "minutes": 15,
        "areas": ["floor"],
        "adult": "floor",
        "poles": "none",
    }
    return Activity.objects.create(club=scene.cast.club, **{**values, **overrides})


def text(response: HttpResponse) -> str:
    """What a reader sees: the page with runs of white space made one."""
    return " ".join(response.content.decode().split())
