"""The catalogue in a real browser, at a desk and on a phone: adding a drill, reading, the map, files, editing."""

import os
from collections.abc import Callable
from pathlib import Path

import pytest
from playwright.sync_api import Page, expect

from drills import queries
from drills.core.items import ItemId, Kind
from drills.core.reading import write_catalogue
from drills.models import Drill, Fault
from drills.shipped import load_shipped_catalogue
from tests.browser.conftest import PageFor
from tests.browser.sizes import DESK, PHONE, Size
from tests.builders import Cast

pytestmark = [pytest.mark.browser, pytest.mark.django_db(transaction=True)]
BOTH = pytest.mark.parametrize("size", [DESK, PHONE], ids=lambda size: size.name)
SHOTS = os.environ.get("SHOTS", "")
"""A folder for screenshots to be looked at; none are made where it is not named."""

Axe = Callable[[Page], list[str]]


@pytest.fixture
def club(transactional_db: None, cast: Cast) -> str:
    load_shipped_catalogue(cast.club)
    return f"/c/{cast.club.slug}"


def shot(page: Page, name: str, size: Size) -> None:
    if SHOTS:
        page.screenshot(path=str(Path(SHOTS) / f"{name}-{size.name}.png"), full_page=True)


def sound(page: Page, axe: Axe, sideways: Callable[[Page], int]) -> None:
    assert axe(page) == []
    assert sideways(page) == 0


def was_refused(page_for: PageFor) -> None:
    """Takes off the one error that a browser writes by itself when a page is answered with 422."""
    (error,) = page_for.errors
    assert "422" in error
    page_for.errors.clear()


@BOTH
def test_a_new_head_coach_adds_a_drill_with_all_that_belongs_to_it(
    club: str, cast: Cast, page_for: PageFor, size: Size, axe: Axe, sideways: Callable[[Page], int]
) -> None:
    """From the first page on, by what is written on it: no address is typed but the way in."""
    page = page_for(cast.head_coach, size)
    page.goto("/")
    page.get_by_role("link", name="Drills", exact=True).click()
    page.get_by_role("link", name="Add a drill").click()
    page.get_by_label("Name", exact=True).fill("Skipping drop")
    page.get_by_label("Stage").select_option(label="Walking")
    page.get_by_label("What it is for").fill("To drop on a beat that one can hear.")
    page.get_by_label("Easier drill").select_option(label="Three-step walking drop, low grip")
    page.get_by_role("button", name="Save").click()

    # What is missing is said, each at its field, and what was typed is still there.
    alert = page.get_by_role("alert").filter(has_text="Nothing is saved yet")
    expect(alert.get_by_role("link", name="Set-up")).to_be_visible()
    was_refused(page_for)
    expect(page.get_by_label("Name", exact=True)).to_have_value("Skipping drop")
    sound(page, axe, sideways)
    alert.get_by_role("link", name="Set-up").click()
    page.get_by_label("Set-up").fill("A smooth floor and a drum.")
    page.get_by_label("How it is done").fill("Skip along the line.\nLet the pole fall over three skips.")
    page.get_by_role("group", name="Parts of the run").get_by_label("drop", exact=True).check()
    page.locator("summary", has_text="A new checkpoint").click()
    page.get_by_label("Name of the checkpoint").fill("drop on the beat")
    page.get_by_label("Its part of the run").select_option(label="drop")
    new = page.locator("details", has=page.locator("summary", has_text="A new checkpoint"))
    new.get_by_label("What good looks like").fill("The hand falls with the skip, not between two.")
    new.get_by_label("from the front").check()
    new.get_by_label("It decides about a good rep").check()
    new.get_by_label("Fault 1 (may stay empty)", exact=True).fill("drop off the beat")
    new.get_by_label("Fault 1 goes wrong").select_option(label="too late")
    new.get_by_label("Cues for fault 1").fill("Sooner.")
    new.get_by_label("Remedy for fault 1").select_option(label="Slower")
    new.get_by_label("Fault 2 (may stay empty)", exact=True).fill("drop forgotten")
    page.get_by_role("button", name="Save").click()

    expect(page.get_by_role("heading", level=1)).to_have_text("Skipping drop")
    expect(page.get_by_text("The hand falls with the skip, not between two.")).to_be_visible()
    expect(page.get_by_text("Sooner.")).to_be_visible()
    sound(page, axe, sideways)
    shot(page, "new-drill", size)
    drill = Drill.objects.get(club=cast.club, key="skipping-drop")
    assert [need.needed.key for need in drill.need_rows.all()] == ["three-step-walking-drop"]
    late = Fault.objects.get(club=cast.club, name="drop off the beat")
    assert late.cues == ["Sooner."] and late.remedies.get().adjustment.key == "slower"
    assert late.checkpoint.faults.count() == 2


@BOTH
def test_the_map_leads_to_a_drill_by_drawing_or_by_list(
    club: str, cast: Cast, page_for: PageFor, size: Size, axe: Axe, sideways: Callable[[Page], int]
) -> None:
    page = page_for(cast.assistant, size)
    page.goto(f"{club}/drills/")
    sound(page, axe, sideways)
    shot(page, "map", size)
    if size is DESK:
        link = page.get_by_role("group", name="Progression map").get_by_role("link", name="Wall plant, walked, contact")
        link.focus()
        page.keyboard.press("Enter")
    else:
        expect(page.locator(".pmap")).to_be_hidden()
        page.get_by_role("link", name="Wall plant, walked").click()
    expect(page.get_by_role("heading", level=1)).to_have_text("Wall plant, walked")
    expect(page.get_by_role("link", name="Change this drill")).to_have_count(0)


@BOTH
def test_a_drill_page_is_drawn_for_the_hand_and_the_run_one_chooses(
    club: str, cast: Cast, page_for: PageFor, size: Size, axe: Axe, sideways: Callable[[Page], int]
) -> None:
    page = page_for(cast.assistant, size)
    page.goto(f"{club}/drills/run-in-place/")
    expect(page.locator("figcaption")).to_contain_text("take-off from the left")
    sound(page, axe, sideways)
    shot(page, "drill-right", size)
    page.get_by_label("left-handed").check()
    page.get_by_label("6 steps").check()
    page.get_by_role("button", name="Draw it so").click()
    expect(page.locator("figcaption")).to_contain_text(
        "6 steps: the drop from landing 6 on the right foot, the plant from landing 3 on the left foot, "
        "take-off from the right."
    )
    sound(page, axe, sideways)
    shot(page, "drill-left", size)
    page.goto(f"{club}/drills/wall-plant/?hand=left")
    expect(page.locator(".drill-page .safety").first).to_contain_text("Local rules")
    details = page.locator(".watch details").first
    details.locator("summary").click()
    expect(details.locator(".faults")).to_be_visible()
    sound(page, axe, sideways)


@BOTH
def test_a_file_is_refused_with_its_problems_or_taken_item_by_item(
    club: str, cast: Cast, page_for: PageFor, size: Size, axe: Axe, sideways: Callable[[Page], int]
) -> None:
    page = page_for(cast.head_coach, size)
    text = write_catalogue(queries.catalogue(cast.head_coach))
    page.goto(f"{club}/catalogue/import/")
    bad = text.replace("  key: carry-walk\n", "  key: carry-walk\n  colour: red\n", 1).replace("carry-walk", "x y", 1)
    page.get_by_label("Catalogue file").set_input_files(
        {"name": "bad.yaml", "mimeType": "text/yaml", "buffer": bad.encode()}
    )
    page.get_by_role("button", name="Read it").click()
    expect(page.get_by_role("heading", name="The file was refused")).to_be_visible()
    was_refused(page_for)
    expect(page.get_by_role("cell").filter(has_text="must be a key").first).to_be_visible()
    sound(page, axe, sideways)
    shot(page, "import-refused", size)

    good = text.replace("Walk tall with the pole", "Walk very tall with the pole").replace("name: Slower", "name: Slow")
    page.get_by_label("Catalogue file").set_input_files(
        {"name": "good.yaml", "mimeType": "text/yaml", "buffer": good.encode()}
    )
    page.get_by_role("button", name="Read it").click()
    expect(page.get_by_text("2 items are different.")).to_be_visible()
    sound(page, axe, sideways)
    shot(page, "import-chosen", size)
    page.get_by_role("checkbox", name="adjustment Slower").uncheck()
    page.get_by_role("button", name="Take what is ticked").click()
    expect(page.get_by_text("Saved: drill Carry walk.")).to_be_visible()
    items = queries.items(cast.head_coach)
    assert str(items[ItemId(Kind.DRILL, "carry-walk")]["purpose"]).startswith("Walk very tall")
    assert items[ItemId(Kind.ADJUSTMENT, "slower")]["name"] == "Slower"


@BOTH
def test_every_editing_page_is_sound(
    club: str, cast: Cast, page_for: PageFor, size: Size, axe: Axe, sideways: Callable[[Page], int]
) -> None:
    page = page_for(cast.head_coach, size)
    for path in (
        "catalogue/", "catalogue/edition/", "catalogue/cover/", "drills/wall-plant/edit/",
        "catalogue/checkpoints/drop-start/edit/", "catalogue/checkpoints/new/",
        "catalogue/faults/drop-starts-late/edit/", "catalogue/links/new/",
        "catalogue/safety/wet/edit/", "catalogue/activities/new/",
    ):  # fmt: skip
        page.goto(f"{club}/{path}")
        sound(page, axe, sideways)
    page.goto(f"{club}/drills/wall-plant/edit/")
    page.locator("[data-dialog]").click()
    expect(page.get_by_role("dialog")).to_contain_text("Take this out of the catalogue?")
    sound(page, axe, sideways)
