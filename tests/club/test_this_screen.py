"""On a device that children can see, readiness, rates, advice and profiles are hidden until a password shows them."""

from datetime import time

import pytest
from django.core.cache import cache
from django.test import Client
from django.urls import reverse

from club import screen
from club.clock import club_today
from club.members import Member
from tests.builders import Cast, make_block, make_drill, make_practice, make_station, make_venue
from tests.builders import make_area as area

pytestmark = pytest.mark.django_db
WORDS = "four words and a run"
SAYS = "children can see this screen"


@pytest.fixture(autouse=True)
def fresh_limits(db: None) -> None:
    cache.clear()


@pytest.fixture
def head(cast: Cast) -> Member:
    person = cast.head_coach.person
    person.set_password(WORDS)
    person.save()
    return cast.head_coach


def tap(client: Client, who: str, **more: str) -> int:
    return client.post(reverse("this_screen"), {"who": who, **more}).status_code


def hides(client: Client, cast: Cast, name: str, *ids: object) -> bool:
    response = client.get(reverse(name, args=[cast.club.slug, *ids]))
    assert response.status_code == 200
    return SAYS in response.content.decode()


def test_one_tap_hides_and_every_device_says_for_itself(cast: Cast, head: Member, client: Client) -> None:
    drill = make_drill(cast.club)
    client.force_login(head.person)
    pages = [
        ("week",), ("squad_board",), ("decisions",), ("drill_who", drill.key), ("athlete_page", cast.vaulter.pk),
        ("athlete_profile", cast.vaulter.pk), ("athlete_map", cast.vaulter.pk), ("clear_athlete", cast.vaulter.pk),
        ("board_cell", cast.vaulter.pk, drill.key), ("summaries",),
    ]  # fmt: skip
    assert not any(hides(client, cast, *page) for page in pages)
    assert tap(client, "children") == 302
    assert all(hides(client, cast, *page) for page in pages)
    client.post(reverse("account_logout"))
    client.force_login(cast.assistant.person)  # whoever signs in on it
    assert hides(client, cast, "squad_board")
    other = Client()
    other.force_login(head.person)
    assert not hides(other, cast, "squad_board")


def test_nothing_is_decided_and_no_fragment_slips_out_of_a_hidden_screen(
    cast: Cast, head: Member, client: Client
) -> None:
    drill = make_drill(cast.club)
    client.force_login(head.person)
    tap(client, "children")
    decide = reverse("decide", args=[cast.club.slug, cast.vaulter.pk, drill.key])
    assert client.post(decide, {"kind": "touch"}).status_code == 409
    cell = reverse("board_cell", args=[cast.club.slug, cast.vaulter.pk, drill.key])
    fragment = client.get(cell, headers={"HX-Request": "true"}).content.decode()
    assert SAYS in fragment and "<html" not in fragment and "Vaulter" not in fragment


def test_to_show_again_takes_the_password_and_guessing_it_ends(cast: Cast, head: Member, client: Client) -> None:
    client.force_login(head.person)
    assert tap(client, "children") == 302
    assert tap(client, "unsaid") == 422 and tap(client, "coaches", password="another") == 422
    assert hides(client, cast, "squad_board")
    assert tap(client, "unsaid", password=WORDS) == 302
    assert not hides(client, cast, "squad_board")
    tap(client, "children")
    for _ in range(10):
        tap(client, "unsaid", password="another")
    assert tap(client, "unsaid", password=WORDS) == 422
    assert hides(client, cast, "squad_board")


def test_without_a_password_it_stays_hidden_and_the_page_says_how(cast: Cast, client: Client) -> None:
    client.force_login(cast.assistant.person)
    tap(client, "children")
    assert tap(client, "unsaid") == 422 and tap(client, "unsaid", password="") == 422
    assert "you have none yet" in client.get(reverse("this_screen")).content.decode()
    client.cookies[screen.COOKIE] = "something else"  # what is not known is hidden
    assert hides(client, cast, "squad_board")


def test_a_station_hides_by_itself_but_not_on_somebodys_own_device(cast: Cast, head: Member, client: Client) -> None:
    venue = make_venue(cast.club)
    practice = make_practice(cast.club, venue=venue, day=club_today(cast.club), starts=time(0, 5), ends=time(23, 50))
    make_block(practice, starts=time(0, 5))
    station = make_station(practice, area=area(venue))
    client.force_login(head.person)
    open_station = reverse("station", args=[cast.club.slug, station.pk])
    start = reverse("station_start", args=[cast.club.slug])
    assert "It is my own device" in client.get(start).content.decode()
    client.get(start)
    assert not hides(client, cast, "squad_board")
    client.get(open_station)
    assert hides(client, cast, "squad_board")
    assert tap(client, "coaches", password=WORDS) == 302
    client.get(open_station)
    assert not hides(client, cast, "squad_board")
    assert "It is my own device" not in client.get(start).content.decode()


def test_it_goes_back_to_an_address_of_this_site_alone(cast: Cast, head: Member, client: Client) -> None:
    client.force_login(head.person)
    for wanted, found in (("/c/ternfield/board/", "/c/ternfield/board/"), ("https://elsewhere.example/", "/")):
        assert client.post(reverse("this_screen"), {"who": "children", "next": wanted}).url == found  # type: ignore[attr-defined]
