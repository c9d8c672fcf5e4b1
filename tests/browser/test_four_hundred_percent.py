"""The pages of a coach's week at 400 % of a window 1280 px wide: nothing is read by scrolling sideways but a wide table
inside its own frame, and no text is cut off (WCAG 2.2, 1.4.10 Reflow)."""

import os
from collections.abc import Callable
from pathlib import Path

import pytest
from playwright.sync_api import Page, expect

from club.roles import Role
from tests.browser.conftest import PageFor
from tests.browser.demo_world import DemoWorld, make_demo_world
from tests.browser.sizes import Size

pytestmark = [pytest.mark.browser, pytest.mark.django_db(transaction=True)]

ZOOMED = Size("at 400 % of 1280 px", 320, 256, touch=False)
SHOTS = os.environ.get("SIXMARK_SHOTS", "")
# Text that is drawn beyond the window with nothing around it that scrolls, is cut by its own box, or is too small.
UNREADABLE = """() => {
  // A frame that scrolls is for what is read in two directions: a table that is laid out as one.
  const wide = (up) => [...up.querySelectorAll("table")].some((one) => getComputedStyle(one).display === "table");
  const frames = (one) => {
    for (let up = one.parentElement; up && up !== document.body; up = up.parentElement) {
      if (["auto", "scroll"].includes(getComputedStyle(up).overflowX) && wide(up)) return true;
    }
    return false;
  };
  const words = (one) => [...one.childNodes].some((part) => part.nodeType === 3 && part.textContent.trim());
  const hidden = ".vh, .skip, script, style, option, svg, dialog:not([open])";
  const shown = (one) => words(one) && one.checkVisibility() && !one.closest(hidden);
  return [...document.querySelectorAll("body *")].filter(shown).flatMap((one) => {
    const [box, style] = [one.getBoundingClientRect(), getComputedStyle(one)];
    if (!box.width || !box.height) return [];
    const clips = style.overflowX !== "visible" && style.display !== "inline" && one.scrollWidth > one.clientWidth + 1;
    const wrong = [];
    if ((box.right > innerWidth + 1 || box.left < -1) && !frames(one)) wrong.push("outside");
    if (clips && !frames(one)) wrong.push("cut");
    if (parseFloat(style.fontSize) < 12) wrong.push("small");
    return wrong.map((what) => `${what}: ${one.tagName}.${one.className} ${one.textContent.trim().slice(0, 40)}`);
  });
}"""


@pytest.fixture
def world(transactional_db: None) -> DemoWorld:
    return make_demo_world()


def test_the_pages_of_the_week_are_read_without_scrolling_sideways(
    world: DemoWorld, page_for: PageFor, sideways: Callable[[Page], int]
) -> None:
    today, place = world.today.pk, world.rows["place"]
    coach = {
        "week": "week/",
        "practice": f"practices/{today}/",
        "attendance": f"practices/{today}/attendance/",
        "plan": f"practices/{today}/plan/",
        "plan-cell": f"practices/{today}/plan/?block={place.block_id}&station={place.station_id}",
        "board": "board/",
        "athlete": f"athletes/{place.athlete_id}/",
        "wrap-up": f"practices/{today}/wrap-up/",
    }
    assistant = {
        "stations": "station/",
        "station": f"station/{place.station_id}/?block={place.block.number}",
        "without-plan": f"station/without-plan/{today}/",
    }
    problems = []
    for role, paths in ((Role.HEAD_COACH, coach), (Role.ASSISTANT, assistant)):
        page = page_for(world.members[role], ZOOMED)
        for name, path in paths.items():
            page.goto(f"/c/{world.club.slug}/{path}")
            expect(page.locator("main")).to_be_visible()
            if name == "station":
                expect(page.locator("#acts")).to_be_visible()
            if SHOTS:
                page.screenshot(path=Path(SHOTS) / f"zoom-{name}.png")
                page.screenshot(path=Path(SHOTS) / f"zoom-{name}-full.png", full_page=True)
            wider = sideways(page)
            problems += [f"{name}: {wider} px wider than the window"] if wider else []
            problems += [f"{name}: {wrong}" for wrong in page.evaluate(UNREADABLE)]
    assert problems == [], "\n".join(problems)
