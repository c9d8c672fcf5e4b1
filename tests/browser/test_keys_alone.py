"""Without a mouse or a finger: a place is planned and reps are logged by keys, and the focus is always to be seen."""

import re

import pytest
from playwright.sync_api import Locator, Page, expect

from sessions.practices.models import Assignment
from sessions.reps.models import LookFault, Rep
from tests.browser.conftest import PageFor
from tests.browser.sizes import DESK
from tests.browser.station_world import make_station_world
from tests.browser.test_fill import World, open_plan, world  # noqa: F401
from tests.builders import Cast

pytestmark = [pytest.mark.browser, pytest.mark.django_db(transaction=True)]

MOST_TABS = 120
# What has the focus, as somebody who looks for it would find it: drawn, in the window, with a ring, and at that point
# the topmost; in words what is wrong with it, else empty.
WRONG = """() => {
  const one = document.activeElement;
  if (!one || one === document.body) return "nothing has the focus";
  const shown = one.matches("input[type=checkbox], input[type=radio]") ? one.closest("label") || one : one;
  const said = one.outerHTML.slice(0, 120);
  const box = shown.getBoundingClientRect();
  if (!box.width || !box.height) return `not drawn: ${said}`;
  if (box.bottom <= 0 || box.top >= innerHeight || box.right <= 0 || box.left >= innerWidth) return `outside: ${said}`;
  const ring = (part) => {
    const style = getComputedStyle(part);
    return (style.outlineStyle !== "none" && parseFloat(style.outlineWidth) >= 2) || style.boxShadow !== "none";
  };
  return ring(one) || ring(shown) ? "" : `no ring: ${said}`;
}"""


def press(page: Page, key: str) -> None:
    page.keyboard.press(key)


def tab_to(page: Page, wanted: Locator) -> None:
    """By Tab alone, as often as it takes; on the way every stop can be seen and none holds the focus fast."""
    expect(wanted).to_be_visible()
    for _step in range(MOST_TABS):
        before = page.evaluate_handle("document.activeElement")
        press(page, "Tab")
        if wanted.evaluate("one => one === document.activeElement"):
            assert page.evaluate(WRONG) == ""
            return
        assert page.evaluate("before => before !== document.activeElement", before), "the focus does not go on"
        if not page.evaluate("document.activeElement === document.body"):  # past the last stop and round again
            assert page.evaluate(WRONG) == ""
    raise AssertionError(f"Tab never comes to {wanted}")


def test_a_place_is_planned_by_keys_alone(
    world: World,  # noqa: F811
    cast: Cast,
    page_for: PageFor,
) -> None:
    page = open_plan(page_for(cast.head_coach, DESK), cast, world)
    tab_to(page, page.get_by_role("link", name=re.compile("Put here ?: Smooth floor, block 2")))
    press(page, "Enter")
    expect(page.get_by_role("heading", name="Smooth floor, block 2")).to_be_focused()
    work = page.get_by_label("What they do")
    tab_to(page, work)
    drill = work.locator("option[value^='drill:']").first
    page.keyboard.type(drill.inner_text().strip()[:6])
    expect(work).to_have_value(drill.get_attribute("value") or "")
    tab_to(page, page.get_by_label("Nandi", exact=True))
    press(page, "Space")
    tab_to(page, page.get_by_role("button", name="Put them here"))
    press(page, "Enter")
    expect(page.locator("a.chip")).to_have_count(2)
    placed = Assignment.objects.get(block=world.blocks[1])
    assert (placed.athlete, placed.station) == (cast.vaulter, world.floor)


def test_reps_with_and_without_a_fault_are_logged_by_keys_alone(
    transactional_db: None, cast: Cast, page_for: PageFor
) -> None:
    page = page_for(cast.assistant, DESK)
    page.goto(make_station_world(cast).address)
    area = page.locator("#area")
    tab_to(page, page.locator("#rail [data-fault]", has_text="plant late"))
    press(page, "Enter")
    expect(page.locator("#area-what")).to_have_text("Plant late")
    tab_to(page, area)
    press(page, "Enter")
    for number, key in enumerate(("1", "0"), 2):
        expect(page.locator("#area:not([aria-disabled])")).to_be_focused()
        press(page, key)
        expect(page.locator("#on-server")).to_have_text(f"{number} on the server")
        assert page.evaluate(WRONG) == ""
    tab_to(page, page.locator("#undo"))
    with page.expect_response(lambda answer: '"void"' in (answer.request.post_data or "")):
        press(page, "Enter")
    expect(page.locator("#said")).to_contain_text("Taken back for Saoirse")
    assert LookFault.objects.filter(fault__label="plant late").count() == 1
    assert Rep.objects.filter(state="counts").count() == 2 and Rep.objects.filter(state="void").count() == 1
