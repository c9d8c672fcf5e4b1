"""Fill for me in a real browser: asked first, filled, why, pinned, taken back; clean at every size."""

import os
import re
from collections.abc import Callable
from dataclasses import dataclass
from datetime import timedelta
from pathlib import Path

import pytest
from playwright.sync_api import Page, expect

from club.roles import Permission
from sessions.practices.actions.plan import Put, assign
from sessions.practices.models import AdultPresence, Block, Practice, Station
from tests.browser.conftest import PageFor
from tests.browser.sizes import DESK, SIZES, Size
from tests.builders import DAY, Cast, make_area, make_block, make_practice, make_squad, make_station, make_venue
from tests.sessions.boards.helpers import make_course, practise

pytestmark = [pytest.mark.browser, pytest.mark.django_db(transaction=True)]
PINNED = re.compile("Nandi ?, pinned")
SHOTS = os.environ.get("SIXMARK_SHOTS", "")


@dataclass(frozen=True, slots=True)
class World:
    practice: Practice
    floor: Station
    blocks: tuple[Block, ...]


@pytest.fixture
def world(transactional_db: None, cast: Cast) -> World:
    """Two vaulters with reps, two blocks, two stations with their adults; one place put by hand."""
    first, _ = make_course(cast.club)
    venue = make_venue(cast.club, name="Quarry Track")
    practice = make_practice(cast.club, venue=venue, squads=[make_squad(cast.club, cast.vaulter, cast.team_mate)])
    for member in (cast.head_coach, cast.assistant):
        AdultPresence.objects.create(club=cast.club, practice=practice, person=member.person)
    floor = make_station(practice, area=make_area(venue, name="Smooth floor"), run_by=cast.head_coach.person)
    make_station(practice, area=make_area(venue, name="Lane 1", kind="runway"), run_by=cast.assistant.person)
    blocks = tuple(make_block(practice, number=n, starts=f"17:{(n - 1) * 20:02}", minutes=20) for n in (1, 2))
    practise(cast.vaulter, first, {DAY - timedelta(days=9): "11011", DAY - timedelta(days=4): "11111"})

    by = cast.head_coach.acting(Permission.PRACTICE_PLAN)
    assign(by=by, practice=practice, put=Put(blocks[0], (cast.vaulter,), station=floor, drill=first))
    return World(practice, floor, blocks)


def open_plan(page: Page, cast: Cast, world: World, asked: str = "") -> Page:
    page.goto(f"/c/{cast.club.slug}/practices/{world.practice.pk}/plan/{asked}")
    expect(page.locator("h1")).to_be_visible()
    return page


def shot(page: Page, name: str) -> None:
    if SHOTS:
        page.screenshot(path=Path(SHOTS) / f"{name}.png", full_page=True, caret="initial")


@pytest.mark.parametrize("size", SIZES, ids=lambda size: size.name)
def test_the_plan_is_clean_while_it_asks_filled_with_a_cell_open_and_with_a_place_chosen(
    world: World, cast: Cast, page_for: PageFor, axe: Callable, sideways: Callable, size: Size
) -> None:
    page = open_plan(page_for(cast.head_coach, size), cast, world)

    def clean(name: str) -> None:
        shot(page, f"fill-{size.name}-{name}")
        assert axe(page) == [] and sideways(page) == 0

    page.get_by_role("link", name="Fill for me").click()
    expect(page.get_by_role("dialog")).to_contain_text("What is pinned stays.")
    clean("asks")
    open_plan(page, cast, world, f"?block={world.blocks[1].pk}&station={world.floor.pk}")
    expect(page.locator("#side")).to_contain_text("Who may try what here")
    clean("cell")
    page.get_by_role("link", name="Fill for me").click()
    page.get_by_role("button", name="Fill what is empty").click()
    expect(page.get_by_role("status").first).to_contain_text("Served least:")
    clean("filled")
    page.get_by_role("link", name="Nandi", exact=True).first.click()
    expect(page.locator("#side")).to_contain_text("Why here")
    page.get_by_role("button", name="Pin here").click()
    expect(page.get_by_role("link", name=PINNED)).to_be_visible()
    page.get_by_role("link", name=PINNED).click()
    expect(page.get_by_role("button", name="Take the pin out")).to_be_visible()
    clean("picked")


def test_a_fill_is_asked_for_chosen_from_and_taken_back_by_keyboard_alone(
    world: World, cast: Cast, page_for: PageFor
) -> None:
    page = open_plan(page_for(cast.head_coach, DESK), cast, world)
    page.get_by_role("link", name="Fill for me").focus()
    page.keyboard.press("Enter")
    page.get_by_role("button", name="Place them anew").focus()
    page.keyboard.press("Enter")
    expect(page.get_by_role("status").first).to_contain_text("4 places were filled")
    page.get_by_role("button", name="Take the fill back").focus()
    page.keyboard.press("Enter")
    expect(page.get_by_role("status").first).to_contain_text("Taken back.")
    expect(page.locator("a.chip")).to_have_count(1)


def test_the_plan_is_filled_without_script(world: World, cast: Cast, page_for: PageFor) -> None:
    page = open_plan(page_for(cast.head_coach, DESK, java_script_enabled=False), cast, world)
    page.get_by_role("link", name="Fill for me").click()
    page.get_by_role("button", name="Fill what is empty").click()
    expect(page.get_by_role("status").first).to_contain_text("3 places were filled")


def test_an_offer_is_taken_with_one_touch(world: World, cast: Cast, page_for: PageFor) -> None:
    asked = f"?block={world.blocks[1].pk}&station={world.floor.pk}"
    page = open_plan(page_for(cast.head_coach, DESK), cast, world, asked)
    page.get_by_role("link", name="Choose these").first.click()
    expect(page.get_by_role("checkbox", checked=True)).to_have_count(2)
    page.get_by_role("button", name="Put them here").click()
    expect(page.locator("a.chip")).to_have_count(3)
