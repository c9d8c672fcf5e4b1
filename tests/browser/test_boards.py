"""The boards in a real browser: readable at every size, fresh within five seconds, usable from the keyboard."""

from collections.abc import Callable
from dataclasses import dataclass
from datetime import date, time, timedelta

import pytest
from playwright.sync_api import Page, expect

from athletes.models import Restriction
from club.clock import club_today
from drills.models import Drill
from sessions.practices.models import AdultPresence, Assignment, Attendance
from tests.browser.conftest import PageFor
from tests.browser.sizes import DESK, PHONE, SIZES, Size
from tests.builders import Cast, aware, make_block, make_practice, make_squad, make_station
from tests.sessions.boards.helpers import make_course, practise

pytestmark = [pytest.mark.browser, pytest.mark.django_db(transaction=True)]
FRESH_MS = 5000


@dataclass(frozen=True, slots=True)
class World:
    first: Drill
    later: Drill
    today: date


@pytest.fixture
def world(transactional_db: None, cast: Cast) -> World:
    """Two vaulters with reps, a practice held and released, one today with a plan, one cancelled, one restriction."""
    first, later = make_course(cast.club)
    squad = make_squad(cast.club, cast.vaulter, cast.team_mate, name="Terns")
    today = club_today(cast.club)
    last = today - timedelta(days=2)
    published = {"squads": [squad], "published_at": aware(last)}
    held = make_practice(cast.club, day=last, released_at=aware(last), focus=first.checkpoints.get(), **published)
    coming = make_practice(cast.club, day=today, starts=time(0, 1), ends=time(23, 59), bring="flat shoes", **published)
    make_practice(cast.club, day=today + timedelta(days=1), cancelled_at=aware(last), **published)
    AdultPresence.objects.create(club=cast.club, practice=coming, person=cast.assistant.person)
    station, block = make_station(coming), make_block(coming)
    Assignment.objects.create(club=cast.club, block=block, station=station, athlete=cast.vaulter, drill=first)
    for athlete in (cast.vaulter, cast.team_mate):
        Attendance.objects.create(club=cast.club, practice=held, athlete=athlete, state="here", at=aware(last))
    practise(cast.vaulter, first, {last - timedelta(days=3): "11111111", last: "11111111"})
    practise(cast.team_mate, first, {last - timedelta(days=3): "00000", last: "00000"})
    practise(cast.team_mate, later, {last: "101"})
    Restriction.objects.create(
        club=cast.club, athlete=cast.vaulter, excludes=["moving"], what="Walking drills only", starts_on=last
    )
    return World(first, later, today)


def cell(cast: Cast, world: World) -> str:
    return f"#cell-{cast.team_mate.pk}-{world.first.key}"


@pytest.mark.parametrize("size", SIZES, ids=lambda size: size.name)
@pytest.mark.parametrize("name", ["week", "board", "cell", "athlete", "my", "child", "children"])
def test_a_board_is_clean_and_never_wider_than_its_window(
    world: World, cast: Cast, page_for: PageFor, axe: Callable, sideways: Callable, size: Size, name: str
) -> None:
    viewer, address = {
        "week": (cast.head_coach, "week/"),
        "board": (cast.head_coach, "board/"),
        "cell": (cast.head_coach, f"board/{cast.team_mate.pk}/{world.first.key}/"),
        "athlete": (cast.head_coach, f"athletes/{cast.team_mate.pk}/"),
        "my": (cast.athlete, "my/"),
        "child": (cast.parent, f"children/{cast.vaulter.pk}/"),
        "children": (cast.parent, "children/"),
    }[name]
    page = page_for(viewer, size)
    page.goto(f"/c/{cast.club.slug}/{address}")
    expect(page.locator("h1")).to_be_visible()
    assert axe(page) == [] and sideways(page) == 0


def open_board(page: Page, cast: Cast) -> Page:
    page.goto(f"/c/{cast.club.slug}/board/")
    return page


def test_the_board_shows_a_rep_within_five_seconds_and_keeps_its_place(
    world: World, cast: Cast, page_for: PageFor
) -> None:
    page = open_board(page_for(cast.head_coach, PHONE), cast)
    page.locator(".board-scroll").evaluate("box => { box.scrollLeft = 120 }")
    before = page.locator(".board-scroll").evaluate("box => box.scrollLeft")
    expect(page.locator(cell(cast, world))).to_contain_text("10 reps counted")
    practise(cast.team_mate, world.first, {world.today: "1"})
    expect(page.locator(cell(cast, world))).to_contain_text("11 reps counted", timeout=FRESH_MS)
    assert page.locator(".board-scroll").evaluate("box => box.scrollLeft") == before > 0


def test_an_open_cell_follows_the_reps_too(world: World, cast: Cast, page_for: PageFor) -> None:
    page = open_board(page_for(cast.head_coach, DESK), cast)
    page.locator(cell(cast, world)).click()
    expect(page.locator("#board_cell")).to_contain_text("Good in 0\xa0of the last 10\xa0reps")
    practise(cast.team_mate, world.first, {world.today: "1"})
    expect(page.locator("#board_cell")).to_contain_text("Good in 1\xa0of the last 11\xa0reps", timeout=FRESH_MS)


def test_a_cell_opens_and_closes_from_the_keyboard_and_the_focus_comes_back(
    world: World, cast: Cast, page_for: PageFor, axe: Callable
) -> None:
    page = open_board(page_for(cast.head_coach, DESK), cast)
    page.locator(cell(cast, world)).focus()
    page.keyboard.press("Enter")
    expect(page.locator("#board_cell_title")).to_be_focused()
    assert axe(page) == []
    page.keyboard.press("Escape")
    expect(page.locator("#board_cell")).to_be_empty()
    expect(page.locator(cell(cast, world))).to_be_focused()


def test_a_silent_server_is_said_once_and_taken_back(world: World, cast: Cast, page_for: PageFor) -> None:
    page = open_board(page_for(cast.head_coach, DESK), cast)
    expect(page.locator("#board_stale")).to_be_hidden()
    page.context.set_offline(True)
    expect(page.locator("#board_stale")).to_be_visible(timeout=2 * FRESH_MS)
    expect(page.locator("#answer-missing")).to_be_empty()
    page.context.set_offline(False)
    practise(cast.team_mate, world.first, {world.today: "1"})
    expect(page.locator("#board_stale")).to_be_hidden(timeout=2 * FRESH_MS)
    assert all("ERR_INTERNET_DISCONNECTED" in said or "htmx" in said for said in page_for.errors)
    page_for.errors.clear()


def test_names_stay_in_sight_while_the_board_is_pushed_aside(world: World, cast: Cast, page_for: PageFor) -> None:
    page = open_board(page_for(cast.head_coach, PHONE), cast)
    page.locator(".board-scroll").evaluate("box => { box.scrollLeft = 400 }")
    name = page.get_by_role("rowheader", name="Eero V.").bounding_box()
    assert name is not None and 0 <= name["x"] < 40


def test_the_board_and_the_parent_s_page_are_read_without_script(world: World, cast: Cast, page_for: PageFor) -> None:
    page = open_board(page_for(cast.head_coach, DESK, java_script_enabled=False), cast)
    page.locator(cell(cast, world)).click()
    expect(page.locator("h1")).to_contain_text("Eero V.")
    expect(page.locator("main")).to_contain_text("no higher than 50\xa0%")
    parent = page_for(cast.parent, PHONE, java_script_enabled=False)
    parent.goto(f"/c/{cast.club.slug}/children/{cast.vaulter.pk}/")
    expect(parent.locator("main")).to_contain_text("Standing drop")
