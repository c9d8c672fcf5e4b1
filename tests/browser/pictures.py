"""The pictures of the README, made on demand from the invented club: ``python -m tests.browser.pictures``.

It starts a site of its own with the demo club, signs in as the four people by the printed links, and writes
``fixtures/pictures/*.webp``. Nobody in them exists.
"""

import io
import os
import sys
import tempfile
from collections.abc import Callable
from pathlib import Path

import django
from PIL import Image
from playwright.sync_api import Page, expect, sync_playwright

os.environ.setdefault("DJANGO_SETTINGS_MODULE", "tests.settings")
django.setup()

from tests.browser.chromium import CHROMIUM, FLAGS  # noqa: E402
from tests.browser.circle import People  # noqa: E402
from tests.browser.sizes import DESK, PHONE, TABLET, Size  # noqa: E402
from tests.deploy.running import place, up  # noqa: E402

FOLDER = Path(__file__).parents[2] / "fixtures" / "pictures"
MOST_BYTES = 150_000
QUALITIES = (85, 75, 65, 50)


def keep(page: Page, name: str) -> None:
    """What the window shows, as small as it must be."""
    page.wait_for_load_state("networkidle")
    image = Image.open(io.BytesIO(page.screenshot(caret="initial")))
    for quality in QUALITIES:
        out = io.BytesIO()
        image.save(out, "WEBP", quality=quality, method=6)
        if out.tell() <= MOST_BYTES:
            break
    else:
        raise ValueError(f"{name} stays larger than {MOST_BYTES} bytes")
    (FOLDER / f"{name}.webp").write_bytes(out.getvalue())
    print(f"{name}: {out.tell()} bytes, quality {quality}")


# --- where each is -------------------------------------------------------------------------------


def week(page: Page) -> None:
    page.get_by_role("link", name="This week", exact=True).first.click()


def plan(page: Page) -> None:
    week(page)
    page.locator("article.day.now").get_by_role("link", name="Open practice").first.click()
    page.get_by_role("link", name="Plan", exact=True).click()


def board(page: Page) -> None:
    page.get_by_role("link", name="Squad board").click()


def athlete(page: Page) -> None:
    board(page)
    page.get_by_role("link", name="Nandi").first.click()


def station(page: Page) -> None:
    page.get_by_role("link", name="Today’s stations").click()
    page.locator(".station-link").first.click()
    expect(page.locator("#acts")).to_be_visible()


def at_once(_page: Page) -> None:
    """They sign in to it."""


PICTURES: tuple[tuple[str, str, Size, Callable[[Page], None]], ...] = (
    ("week-desk", "head coach", DESK, week),
    ("plan", "head coach", DESK, plan),
    ("board", "head coach", DESK, board),
    ("athlete", "head coach", DESK, athlete),
    ("week-phone", "head coach", PHONE, week),
    ("station", "assistant", TABLET, station),
    ("my-practice", "athlete", PHONE, at_once),
    ("child", "guardian", PHONE, at_once),
)


def main() -> int:
    FOLDER.mkdir(parents=True, exist_ok=True)
    with (
        tempfile.TemporaryDirectory() as made,
        place(Path(made)) as folder,
        up(folder, "--demo") as site,
        sync_playwright() as playwright,
    ):
        browser = playwright.chromium.launch(executable_path=CHROMIUM, headless=True, args=FLAGS)
        people, pages = People(browser, site), dict[str, Page]()
        for name, role, size, go in PICTURES:
            if role not in pages:  # a link signs in once
                pages[role] = people.sign_in(role, size)
            pages[role].set_viewport_size({"width": size.width, "height": size.height})
            go(pages[role])
            keep(pages[role], name)
        errors = people.close()
        browser.close()
    print("\n".join(errors))
    return 1 if errors else 0


if __name__ == "__main__":
    sys.exit(main())
