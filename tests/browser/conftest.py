"""A real browser, signed in as one of the cast, that reports every error of the console and every breach of the
accessibility rules.

A test asks for ``page_for``: ``page_for(cast.assistant, TABLET)`` gives a page on the running site. When the test ends,
any error that a console wrote fails it, unless the test took it off ``page_for.errors`` because it provoked it.
"""

import os
from collections.abc import Callable, Iterator
from pathlib import Path
from typing import Any

import axe_playwright_python
import pytest
from django.conf import settings
from django.test import Client
from playwright.sync_api import Browser, BrowserContext, ConsoleMessage, Page, sync_playwright
from pytest_django.live_server_helper import LiveServer

from club.members import Member
from tests.browser.chromium import CHROMIUM, FLAGS
from tests.browser.sizes import Size

AXE = Path(axe_playwright_python.__file__).with_name("axe.min.js")
# Contrast is judged on what stays, not on a colour half way to another. Who tests the app without a network asks for
# its worker: service_workers="allow".
NO_WORKER = "Service Worker registration blocked"
STILL = {"reduced_motion": "reduce", "service_workers": "block"}
RULES = ["wcag2a", "wcag2aa", "wcag21a", "wcag21aa", "wcag22aa"]


@pytest.fixture(scope="module")
def browser() -> Iterator[Browser]:
    """One Chromium for a file of tests. Its driver runs an event loop here, beside which Django must be let work."""
    before = os.environ.get("DJANGO_ALLOW_ASYNC_UNSAFE")
    os.environ["DJANGO_ALLOW_ASYNC_UNSAFE"] = "true"
    try:
        with sync_playwright() as playwright:
            started = playwright.chromium.launch(executable_path=CHROMIUM, headless=True, args=FLAGS)
            yield started
            started.close()
    finally:
        os.environ.pop("DJANGO_ALLOW_ASYNC_UNSAFE")
        if before is not None:
            os.environ["DJANGO_ALLOW_ASYNC_UNSAFE"] = before


class PageFor:
    """Opens pages: ``page_for(member, size)``; member None is nobody. ``errors``: what consoles have written."""

    def __init__(self, browser: Browser, address: str) -> None:
        self.browser, self.address = browser, address
        self.errors: list[str] = []
        self.contexts: list[BrowserContext] = []

    def __call__(self, member: Member | None, size: Size, **context: Any) -> Page:
        made = self.browser.new_context(base_url=self.address, **{**STILL, **size.context, **context})
        self.contexts.append(made)
        if member is not None:
            made.add_cookies([{**session_cookie(member), "url": self.address}])
        page = made.new_page()
        page.on("console", self._heard)
        page.on("pageerror", lambda error: self.errors.append(str(error)))
        return page

    def _heard(self, message: ConsoleMessage) -> None:
        if message.type in {"error", "warning"} and NO_WORKER not in message.text:
            self.errors.append(f"{message.text} ({message.location.get('url', '')})")

    def close(self) -> None:
        for context in self.contexts:
            context.close()


def session_cookie(member: Member) -> dict[str, str]:
    """A session of this member's own, made on the server."""
    client = Client()
    client.force_login(member.person, backend=settings.AUTHENTICATION_BACKENDS[0])
    return {"name": settings.SESSION_COOKIE_NAME, "value": client.cookies[settings.SESSION_COOKIE_NAME].value}


@pytest.fixture
def page_for(browser: Browser, live_server: LiveServer) -> Iterator[PageFor]:
    opener = PageFor(browser, live_server.url)
    yield opener
    opener.close()
    assert opener.errors == []


@pytest.fixture
def axe() -> Callable[[Page], list[str]]:
    """Breaches of WCAG 2.0 to 2.2, A and AA, on the page as it stands: rule and where."""

    def violations(page: Page) -> list[str]:
        # By evaluation, because the content policy lets no page load another script.
        page.evaluate(AXE.read_text(encoding="utf-8"))
        found = page.evaluate("rules => axe.run(document, {runOnly: {type: 'tag', values: rules}})", RULES)
        return [
            f"{broken['id']}: {part['target']} {part.get('failureSummary', '')}"
            for broken in found["violations"]
            for part in broken["nodes"]
        ]

    return violations


@pytest.fixture
def sideways() -> Callable[[Page], int]:
    """Pixels that a page is wider than its window: 0 on every page."""

    def scroll(page: Page) -> int:
        return page.evaluate("document.documentElement.scrollWidth - document.documentElement.clientWidth")

    return scroll
