"""The head coach's touch in a real browser: on the week, on a cell of the board, on the phone, with keyboard alone."""

import os
from collections.abc import Callable
from datetime import timedelta

import pytest
from playwright.sync_api import Page, expect

from athletes.models import Decision
from club.clock import club_today
from drills.models import Drill
from tests.browser.conftest import PageFor
from tests.browser.sizes import DESK, PHONE, Size
from tests.builders import Cast, make_checkpoint, make_drill
from tests.sessions.boards.helpers import make_course, practise

pytestmark = [pytest.mark.browser, pytest.mark.django_db(transaction=True)]


@pytest.fixture
def run(transactional_db: None, cast: Cast) -> Drill:
    """Settled drills, a contact drill that asks, an easier drill advised, a rep at contact that was not open."""
    today = club_today(cast.club)
    days = (today - timedelta(days=6), today - timedelta(days=2))
    first, _later = make_course(cast.club)
    run = make_drill(cast.club, gate=(make_checkpoint(cast.club),), key="run", name="Running plant", risk="moving")
    wall = make_drill(
        cast.club, key="wall", name="Wall plant", risk="contact", adult="contact", needs=(run,), entry_drill=run
    )
    practise(cast.vaulter, first, dict.fromkeys(days, "11111111"))
    practise(cast.vaulter, run, dict.fromkeys(days, "11111111"))
    practise(cast.team_mate, first, dict.fromkeys(days, "00000"))
    practise(cast.team_mate, wall, {days[1]: "1"})
    return run


def shot(page: Page, name: str) -> None:
    if folder := os.environ.get("SIXMARK_SHOTS"):
        page.screenshot(path=f"{folder}/{name}.png", full_page=True)


@pytest.mark.parametrize("size", [DESK, PHONE], ids=lambda size: size.name)
def test_a_touch_on_the_week_says_what_was_done_and_is_taken_back(
    cast: Cast, run: Drill, page_for: PageFor, axe: Callable[..., list], sideways: Callable[..., int], size: Size,
    live_server,
) -> None:  # fmt: skip
    page = page_for(cast.head_coach, size)
    page.goto(f"{live_server.url}/c/{cast.club.slug}/week/")
    expect(page.get_by_text("Open the next drill?")).to_be_visible()
    assert not axe(page) and not sideways(page)
    page.get_by_role("button", name="Open Wall plant: Nandi K., Wall plant").press("Enter")
    expect(page.get_by_text("You opened Wall plant for Nandi K.")).to_be_visible()
    undo = page.get_by_role("button", name="Undo: You opened Wall plant")
    expect(undo).to_be_focused()
    assert not axe(page) and not sideways(page)
    shot(page, f"week-{size.name}")
    undo.press("Enter")
    expect(page.get_by_role("button", name="Open Wall plant: Nandi K., Wall plant")).to_be_visible()
    assert set(Decision.objects.values_list("kind", flat=True)) == {"touch", "taken back"}


def test_a_touch_on_a_cell_and_on_the_athletes_page(
    cast: Cast, run: Drill, page_for: PageFor, axe: Callable[..., list], sideways: Callable[..., int], live_server
) -> None:
    page = page_for(cast.head_coach, DESK)
    page.goto(f"{live_server.url}/c/{cast.club.slug}/board/")
    page.locator(f"#cell-{cast.vaulter.pk}-run").click()
    page.get_by_role("button", name="Settled: Nandi K., Running plant").click()
    expect(page.get_by_text("You called Running plant settled for Nandi K.")).to_be_visible()
    assert not axe(page)
    shot(page, "board")
    page.goto(f"{live_server.url}/c/{cast.club.slug}/athletes/{cast.vaulter.pk}/")
    expect(page.locator("#decisions + ol")).to_contain_text("Settled, Running plant.")
    page.locator("details summary").first.click()
    page.get_by_role("button", name="Open Wall plant: Nandi K., Wall plant").click()
    expect(page.locator("#decisions + ol")).to_contain_text("Opened, Wall plant.")
    assert not axe(page) and not sideways(page)
    shot(page, "athlete")
