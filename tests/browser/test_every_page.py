"""Every page of the site as everybody who may open it, at the three sizes: no accessibility rule is broken, the console
stays silent, and no page is wider than its window. Light, and some pages dark too.

The addresses come from the resolver and the objects from the invented club, so a page that is added is a page that is
looked at; one for which the club has nothing to show fails.
"""

import re
from collections.abc import Iterator
from dataclasses import dataclass, field
from itertools import product
from typing import Any

import pytest
from django.conf import settings
from django.urls import reverse
from playwright.sync_api import Browser, BrowserContext, ConsoleMessage, Page
from pytest_django.live_server_helper import LiveServer

from club.mail import stopping
from club.mail.kinds import CHANGES
from club.members import Member
from club.roles import Role
from tests.browser.conftest import AXE, RULES, session_cookie
from tests.browser.demo_world import DemoWorld, make_demo_world
from tests.browser.sizes import DESK, SIZES
from tests.laws.addresses import Address, addresses

pytestmark = [pytest.mark.browser, pytest.mark.django_db(transaction=True)]

SEVERAL = {"drill": 3, "athlete_page": 2}  # objects of an address that are worth a look; else one
TRIED = 12  # objects of an address until one of them opens
DARK = {"week", "squad_board", "plan", "practice", "station", "drill", "my_practice", "child_page", "people", "summary"}
FILES = {"healthz", "api_schema", "feed", "export_catalogue", "wall_pdf", "summary_pdf", "station_worker"}
FRAGMENTS = {"station_safety", "practice_banner"}
NO_PAGE = {*FILES, *FRAGMENTS, "api_hello", "api_bundle", "station_manifest"}  # or JSON


@dataclass
class Inspector:
    """One browser window of one person. problems: sentences. name, where: of the address at hand. seen: what
    was looked at; the same is not looked at again."""

    page: Page
    who: str
    problems: list[str]
    seen: set[str]
    where: str = ""
    name: str = ""
    count: int = 0
    visited: set[str] = field(default_factory=set)

    def __post_init__(self) -> None:
        self.page.on("console", self._heard)
        self.page.on("pageerror", lambda error: self._say(f"script: {error}"))

    def _heard(self, message: ConsoleMessage) -> None:
        # The browser writes one for each answer that is no page; those are judged by their status.
        if message.type in {"error", "warning"} and "Failed to load resource" not in message.text:
            self._say(f"console: {message.text}")

    def _say(self, what: str) -> None:
        self.problems.append(f"{self.who} {self.where}: {what}")

    def opens(self, url: str) -> bool:
        """Whether it answers with a page; then it has been looked at."""
        self.where = url
        self.page.set_viewport_size({"width": DESK.width, "height": DESK.height})
        answer = self.page.goto(url)
        assert answer is not None
        if answer.status == 404:
            return False
        if answer.status != 200 or "text/html" not in answer.headers.get("content-type", ""):
            self._say(f"answered {answer.status} {answer.headers.get('content-type')}")
        elif self.page.locator("main:visible").count() != 1:
            self._say("shows not exactly one main part")
        else:
            self.look()
        return True

    def look(self) -> None:
        drawn = self.page.locator("main:visible").evaluate("main => main.outerHTML")
        words = re.sub(r'name="csrfmiddlewaretoken" value="\w+"', "", drawn)
        if self.page.url in self.visited or words in self.seen:
            return
        self.visited.add(self.page.url)
        self.seen.add(words)
        self.count += 1
        for size in SIZES:
            self.page.set_viewport_size({"width": size.width, "height": size.height})
            self.judge(size.name)
        if self.name in DARK:
            self.page.emulate_media(color_scheme="dark")
            self.judge("dark")
            self.page.emulate_media(color_scheme="light")

    def judge(self, how: str) -> None:
        wider = self.page.evaluate("document.documentElement.scrollWidth - document.documentElement.clientWidth")
        if wider > 0:
            self._say(f"{how}: {wider} px wider than the window")
        found = self.page.evaluate(
            "rules => axe.run(document, {runOnly: {type: 'tag', values: rules}, resultTypes: ['violations']})", RULES
        )
        for broken in found["violations"]:
            for part in broken["nodes"][:3]:
                self._say(f"{how}: {broken['id']} {part['target']} {part.get('failureSummary', '')}")


@pytest.fixture
def world(transactional_db: None) -> DemoWorld:
    return make_demo_world()


def context_for(browser: Browser, live_server: LiveServer, member: Member | None) -> BrowserContext:
    manner: dict[str, Any] = {"color_scheme": "light", "reduced_motion": "reduce", "has_touch": True}
    context = browser.new_context(base_url=live_server.url, **manner)
    if member is not None:
        context.add_cookies([{**session_cookie(member), "url": live_server.url}])
    context.add_init_script(path=AXE)
    return context


def urls(address: Address, world: DemoWorld, member: Member) -> Iterator[str]:
    """The address with every object that this member may see, a dozen at most."""
    assert address.door is not None and address.door.permission is not None
    acting = member.acting(address.door.permission)
    kinds = [name for name in address.arguments if name != "club"]
    rows = [list(address.door.kinds[kind]._default_manager.for_member(acting)[:TRIED]) for kind in kinds]  # type: ignore[attr-defined]
    for chosen in list(product(*rows))[:TRIED]:
        ids = {kind: getattr(row, getattr(row, "public_key", "pk")) for kind, row in zip(kinds, chosen, strict=True)}
        yield reverse(address.name, kwargs={"club": world.club.slug, **ids})


def more_urls(world: DemoWorld) -> dict[Role, list[tuple[str, str]]]:
    """Pages in a state that a question in the address brings about."""
    club, place = world.club.slug, world.rows["place"]
    plan = reverse("plan", args=[club, world.today.pk])
    free = reverse("station_without_plan", args=[club, world.today.pk])
    return {
        Role.HEAD_COACH: [
            *(("practice", reverse("practice", args=[club, row.pk])) for row in world.practices),
            *(("attendance", reverse("attendance", args=[club, row.pk])) for row in world.practices[:2]),
            ("wall_sheet", reverse("wall_sheet", args=[club, world.today.pk])),
            ("plan", plan),
            ("plan", f"{plan}?block={place.block_id}&station={place.station_id}"),
            ("plan", f"{plan}?pick={place.pk}"),
            ("plan", f"{plan}?at={place.station_id}"),
            ("practices", f"{reverse('practices', args=[club])}?when=past"),
            ("week", f"{reverse('week', args=[club])}?week=2026-01-05"),
        ],
        Role.ASSISTANT: [
            *(("station", reverse("station", args=[club, row.pk])) for row in world.today.stations.all()),
            ("station", f"{reverse('station', args=[club, place.station_id])}?block={place.block.number}"),
            ("station", f"{free}?drill={place.drill.key}&athlete={place.athlete_id}"),
        ],
    }


def test_every_page_is_usable_by_all_at_every_size(
    world: DemoWorld, browser: Browser, live_server: LiveServer, capsys: pytest.CaptureFixture[str]
) -> None:
    problems: list[str] = []
    opened: dict[str, int] = {}
    club_pages = [one for one in addresses() if one.door and one.door.permission and "GET" in one.door.methods]
    wanted = {one.name for one in club_pages} - NO_PAGE
    looked = 0
    for role, member in world.members.items():
        context = context_for(browser, live_server, member)
        inspector = Inspector(context.new_page(), role.value, problems, set())
        for address in club_pages:
            if address.name not in wanted or not member.may(address.door.permission):  # type: ignore[arg-type, union-attr]
                continue
            inspector.name = address.name
            left = SEVERAL.get(address.name, 1)
            for url in urls(address, world, member):
                if inspector.opens(url):
                    opened[address.name] = opened.get(address.name, 0) + 1
                    left -= 1
                if not left:
                    break
        for name, url in more_urls(world).get(role, []):
            inspector.name = name
            if not inspector.opens(url):
                problems.append(f"{role} {url}: not found")
        looked += inspector.count
        context.close()
    looked += look_outside_of_a_club(browser, live_server, problems, world)
    problems += [f"{name}: the invented club has nothing to show there" for name in sorted(wanted - set(opened))]
    with capsys.disabled():
        print(f"\n{looked} pages at {len(SIZES)} sizes")
    assert problems == [], "\n".join(problems)


def look_outside_of_a_club(browser: Browser, live_server: LiveServer, problems: list[str], world: DemoWorld) -> int:
    """The pages of whoever is not signed in, those of anybody who is, and those that say no."""
    context = context_for(browser, live_server, None)
    inspector = Inspector(context.new_page(), "nobody", problems, set())
    stop = stopping.address(world.club, world.members[Role.GUARDIAN].person, CHANGES).removeprefix(settings.SITE_URL)
    for url in (*map(reverse, names_outside(public=True)), stop):
        if not inspector.opens(url):
            problems.append(f"{url}: not found")
    context.close()
    context = context_for(browser, live_server, world.members[Role.ATHLETE])
    outsider = Inspector(context.new_page(), "athlete", problems, set())
    for name in names_outside(public=False):
        if not outsider.opens(reverse(name)):
            problems.append(f"{name}: not found")
    for url, status in (("/c/nowhere/", 404), (reverse("week", args=[world.club.slug]), 403)):
        outsider.where = url
        answer = outsider.page.goto(url)
        if answer is None or answer.status != status:
            problems.append(f"{url}: not {status}")
        outsider.look()
    context.close()
    return inspector.count + outsider.count


def names_outside(public: bool) -> list[str]:
    doors = [(one.name, one.door) for one in addresses() if one.door and one.name not in NO_PAGE]
    mine = [(name, door) for name, door in doors if door.permission is None and door.public == public]
    return [name for name, door in mine if "GET" in door.methods and not door.secret]
