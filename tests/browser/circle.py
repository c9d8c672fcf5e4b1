"""What the four people do in a browser on the day of a practice, by what the page shows them: labels, roles and words.

Each act takes a page that belongs to that person and leaves it on what they would be looking at then.
"""

import os
import re
import time
from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime
from pathlib import Path
from urllib.parse import urlsplit
from zoneinfo import ZoneInfo

from playwright.sync_api import Browser, Locator, Page, expect

from tests.browser.conftest import PageFor
from tests.browser.sizes import Size
from tests.deploy.running import Up

LINE = re.compile(r"^(?P<role>[^\t\n]+)\t[^\t\n]+\t(?P<link>\S+#\S+)$", re.M)
ZONE = ZoneInfo("Europe/London")  # of the invented club
SHOTS = os.environ.get("SIXMARK_SHOTS", "")


@dataclass(frozen=True, slots=True)
class Place:
    """A row of the plan: where, whose, what they do and who. names: as the plan writes them."""

    area: str
    run_by: str
    drill: str
    names: tuple[str, ...]


# --- the site, and who is at it ------------------------------------------------------------------


class People:
    """The four people of the invented club, each with a browser of their own, signed in by the printed link."""

    def __init__(self, browser: Browser, site: Up) -> None:
        self.open = PageFor(browser, f"http://localhost:{site.port}")
        self.links = {found["role"]: found["link"] for found in LINE.finditer(site.text)}

    def sign_in(self, role: str, size: Size) -> Page:
        page = self.open(None, size)
        page.set_default_timeout(10_000)
        page.goto(self.links[role])
        expect(page.get_by_role("button", name="Sign out")).to_be_visible()
        return page

    def close(self) -> list[str]:
        """Ends their browsers; what the consoles have written."""
        self.open.close()
        return self.open.errors


def shot(page: Page, name: str) -> None:
    """A picture for somebody to look at, where SIXMARK_SHOTS names a folder."""
    if SHOTS:
        page.screenshot(path=Path(SHOTS) / f"{name}.png", full_page=True, caret="initial")


# --- the head coach plans ------------------------------------------------------------------------


def cancel_today(page: Page) -> None:
    """Takes off the invented club's own practice of today: a squad is never at two at once. Back to the week."""
    now = datetime.now(ZONE)
    page.get_by_role("link", name=re.compile(f"^Open practice.*{now:%a} {now.day},")).first.click()
    page.get_by_role("link", name="Cancel this practice").click()
    page.get_by_role("dialog").get_by_role("button", name="Cancel this", exact=False).first.click()
    expect(page.get_by_role("button", name="It takes place after all")).to_be_visible()
    page.get_by_role("link", name="This week").click()


def make_practice(page: Page, squad: str, adults: Sequence[str]) -> None:
    """Today, from this hour to the end of the day. Leaves the page of the new practice open."""
    now = datetime.now(ZONE)
    page.get_by_role("link", name="New practice").first.click()
    page.get_by_label("Day", exact=True).fill(now.date().isoformat())
    page.get_by_label("From", exact=True).fill(f"{now.hour:02}:00")
    page.get_by_label("Until", exact=True).fill("23:59")
    page.get_by_label("Venue").select_option(label="Quarry Track")
    page.get_by_label(squad).check()
    for adult in adults:
        page.get_by_label(adult).check()
    page.get_by_label("Focus").select_option(label="plant start")
    shot(page, "1-new-practice")
    page.get_by_role("button", name="Put it into the calendar").click()


def plan(page: Page, minutes: int, places: Sequence[Place], put_too: bool = True) -> None:
    """One block, and in it a station for each place, with those who do something there. Leaves the plan open."""
    page.get_by_role("link", name="Plan", exact=True).click()
    shot(page, "2-plan-empty")
    page.get_by_label("Minutes").fill(str(minutes))
    page.get_by_role("button", name="Add this block").click()
    expect(page.get_by_role("columnheader", name="Block 1")).to_be_visible()
    for place in places:
        page.get_by_label("Place", exact=True).select_option(label=place.area)
        choose(page.get_by_label("Who runs it"), place.run_by)
        page.get_by_role("button", name="Add this station").click()
        expect(page.get_by_role("rowheader", name=place.area)).to_contain_text(place.run_by.split()[0])
    for place in places if put_too else ():
        put(page, place)
    shot(page, "3-plan-done")


def choose(select: Locator, words: str) -> None:
    """The first option with these words in it, which may say more: an adult's level, a drill's readiness."""
    select.select_option(label=select.locator("option", has_text=words).first.inner_text().strip())


def put(page: Page, place: Place) -> None:
    page.get_by_role("link", name=re.compile(f"Put here ?: {place.area}, block 1")).click()
    expect(page.get_by_role("heading", name=f"{place.area}, block 1")).to_be_visible()
    choose(page.get_by_label("What they do"), place.drill)
    for name in place.names:
        page.get_by_role("checkbox", name=re.compile(f"^{name}(,|$)")).check()  # who would move: with what they do now
    shot(page, f"2-plan-{place.area}")
    page.get_by_role("button", name="Put them here").click()
    expect(page.get_by_role("link", name=place.names[-1], exact=True)).to_be_visible()


def open_practice(page: Page, address: str) -> None:
    """By the list of practices, where it has its day and its hours."""
    page.get_by_role("link", name="Practices", exact=True).click()
    page.get_by_role("row", name=re.compile("23:59")).locator(f"a[href='{urlsplit(address).path}']").click()


def publish(page: Page) -> None:
    page.get_by_role("button", name="Publish", exact=True).click()
    expect(page.get_by_role("main")).to_contain_text("Published.")


def release(page: Page) -> float:
    """From the page of the practice, which still runs: it asks once. Returns the moment of the click, on the monotonic
    clock."""
    page.get_by_role("link", name="Release", exact=True).click()
    button = page.get_by_role("button", name="Release", exact=True)
    expect(button).to_be_visible()
    clicked = time.monotonic()
    button.click()
    return clicked


# --- the assistant is there ----------------------------------------------------------------------


def check_in(page: Page, adults: Sequence[str], athletes: Sequence[str]) -> None:
    """On the page of who is here."""
    page.get_by_role("link", name="Who is here").tap()
    for adult in adults:
        page.get_by_role("button", name=re.compile(f"Is here ?: {adult}")).tap()
        expect(page.get_by_role("button", name=re.compile(f"Leaves ?: {adult}"))).to_be_visible()
    for athlete in athletes:
        button = page.get_by_role("group", name=athlete).get_by_role("button", name=re.compile("^here$", re.I))
        button.tap()
        expect(button).to_have_attribute("aria-pressed", "true")
    shot(page, "4-who-is-here")


def open_station(page: Page, area: str, listed: bool = False) -> None:
    """From the list of today's stations, in the practice that lasts until the end of the day. listed: it is open."""
    if not listed:
        page.get_by_role("link", name="today’s stations").first.tap()
    shot(page, "5-todays-stations")
    page.get_by_role("region", name="to 23:59").get_by_role("link", name=area).tap()
    expect(page.get_by_text("on the server")).to_be_visible()


def log_set(page: Page, each: int, faulty: str, fault: str) -> None:
    """A set of everybody in line, in which one athlete showed a fault twice."""
    page.get_by_role("button", name=f"All did {each}", exact=True).tap()
    for _ in range(2):
        page.get_by_role("button", name=f"{faulty}: one rep more with a fault").tap()
    page.get_by_role("button", name=f"Which fault did {faulty} show?").tap()
    page.get_by_role("dialog").get_by_role("button", name=fault).tap()
    shot(page, "6-set")
    page.get_by_role("button", name="Log the set").tap()


def log_reps(page: Page, faults: Sequence[str]) -> float:
    """A rep for each word: the fault as its button reads, empty for a good rep. The queue says whose turn it is.

    Returns the moment of the last tap, on the monotonic clock.
    """
    large = page.get_by_role("button", name=re.compile("Tap (anywhere )?here"))
    tapped = 0.0
    for number, fault in enumerate(faults, 1):
        if fault:
            name_fault(page, large, fault)
        if number == len(faults):
            shot(page, "7-station")
        expect(large).to_be_enabled()  # it takes no second touch of one tap for 1.5 s
        tapped = time.monotonic()
        large.tap()
    return tapped


def name_fault(page: Page, large: Locator, fault: str) -> None:
    """Under the run, where it stands there for this athlete, else among all of them."""
    expect(large).to_be_enabled()  # whose turn it is has been drawn
    rail = page.get_by_role("region", name="Faults")
    if rail.get_by_role("button", name=fault).count():
        rail.get_by_role("button", name=fault).tap()
        return
    rail.get_by_role("button", name="more faults").tap()
    page.get_by_role("dialog").get_by_role("button", name=fault).tap()


def all_on_server(page: Page, entries: int) -> None:
    expect(page.get_by_text(f"{entries} on the tablet")).to_be_visible()
    expect(page.get_by_text(f"{entries} on the server")).to_be_visible()


# --- what the others see -------------------------------------------------------------------------


def counted(page: Page, row: str, drill_key: str) -> Locator:
    """The cell of an athlete and a drill on the squad board."""
    return page.get_by_role("row", name=row).locator(f"td [id$='-{drill_key}']")


def reps_counted(cell: Locator) -> int:
    """The number that a cell says; an athlete without a rep has nothing in it."""
    found = re.search(r"(\d+) reps? counted", cell.text_content() or "") if cell.count() else None
    return int(found.group(1)) if found else 0


def seconds_until(
    page: Page, words: Sequence[str], since: float, where: Locator | None = None, reload: bool = False
) -> float:
    """Seconds from that moment until all these words are there, at most ten. reload: the person reloads the page."""
    where = where or page.get_by_role("main")
    while time.monotonic() < since + 10:
        if reload:
            page.reload()
        if all(word in said(where) for word in words):
            return time.monotonic() - since
        page.wait_for_timeout(50)
    raise AssertionError(f"{words} not there: {said(where)}")


def said(part: Locator) -> str:
    """Its text, with every space plain."""
    return " ".join(part.inner_text().split()) if part.count() else ""
