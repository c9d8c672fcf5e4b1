"""One tablet: a real browser with a profile of its own, touched as an assistant would touch it."""

import os
import random
import signal
from contextlib import suppress
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any

from playwright.sync_api import BrowserContext, Error, Page, Playwright

from tests.browser.chromium import CHROMIUM, FLAGS
from tests.browser.sizes import TABLET
from tests.deploy.running import until
from tests.faults.soak.truth import Entry, Said, Truth, now, plain

EYES = (Path(__file__).with_name("eyes.js")).read_text(encoding="utf-8").split("\n", 2)[2]
PATIENCE_MS = 4000
LOAD_MS = 12000

TAKEN = "document.querySelector('[data-fresh]').textContent.includes('With you')"
TAKEN += " && document.getElementById('tablet-verdict').textContent.startsWith('works')"


class Lost(Exception):
    """The page is not there, or not what it should be; a person would load it again."""


@dataclass
class Tab:
    """person: whose page it is: what is touched here is recorded as theirs."""

    page: Page
    station: dict[str, Any]
    person: str
    entries: list[Entry] = field(default_factory=list)
    focus: tuple[str, ...] | None = None
    watches: bool = False


class Tablet:
    """off_h: how far its clock is from the true one. person: who is signed in; along: who took the practice along."""

    def __init__(self, number: int, world: dict[str, Any], port: int, folder: Path, chance: random.Random) -> None:
        self.number, self.world, self.chance = number, world, chance
        self.url, self.folder = f"http://localhost:{port}", folder
        self.off_h = 0.0
        self.truth = Truth()
        self.person, self.along, self.session = "assistant", "", ""
        self.used = dict.fromkeys(world["people"], number)
        self.context: BrowserContext | None = None
        self.tabs: list[Tab] = []
        self.wrong: list[str] = []

    # --- the browser ---

    def open(self, playwright: Playwright) -> None:
        self.context = playwright.chromium.launch_persistent_context(
            self.folder,
            executable_path=CHROMIUM,
            headless=True,
            args=FLAGS,
            handle_sigint=False,
            reduced_motion="reduce",
            **TABLET.context,
        )
        self.context.set_default_timeout(LOAD_MS)
        self.context.add_init_script(f"({EYES.rstrip().rstrip(';')})({self.off_h * 3_600_000:.0f})")
        self.tabs = []
        self.sign_in(self.person, anew=not self.session)

    def kill(self) -> None:
        """Outright, with all its processes, whatever they are at."""
        for pid in self._pids():
            with suppress(ProcessLookupError):
                os.kill(pid, signal.SIGKILL)
        assert until(lambda: not self._pids(), 10, pause_s=0.005)
        self.tabs = []
        with suppress(Error):
            assert self.context
            self.context.close()

    def _pids(self) -> list[int]:
        """Each process of the browser names its profile; zombies have no command line."""
        wanted = f"--user-data-dir={self.folder}".encode()
        found = []
        for entry in Path("/proc").glob("[0-9]*/cmdline"):
            with suppress(OSError):
                if wanted in entry.read_bytes().split(b"\0"):
                    found.append(int(entry.parent.name))
        return found

    def close(self) -> None:
        with suppress(Error):
            if self.context:
                self.context.close()

    # --- who is signed in ---

    def sign_in(self, person: str, *, anew: bool = True) -> None:
        if anew:
            sessions = self.world["people"][person]["sessions"]
            self.session = sessions[self.used[person] % len(sessions)]
            self.used[person] += 3  # the tablets take turns
        self.person = person
        assert self.context
        self.context.add_cookies([{"name": "sessionid", "value": self.session, "url": self.url}])

    def id_of(self, person: str) -> str:
        return self.world["people"][person]["id"]

    # --- pages ---

    @property
    def tab(self) -> Tab:
        if not self.tabs:
            raise Lost
        return self.tabs[-1]

    @property
    def start(self) -> str:
        return f"{self.url}/c/{self.world['club']}/station/"

    def go(self, station: dict[str, Any], tab: Tab | None = None) -> Tab:
        """To the page of a station, in that tab or a new one. Raises Lost if it does not come."""
        assert self.context
        page = tab.page if tab else self.context.new_page()
        if tab and tab in self.tabs:
            self.tabs.remove(tab)
        try:
            page.goto(f"{self.start}{station['id']}/", wait_until="domcontentloaded")
            page.wait_for_selector("#acts:not([hidden])", state="attached", timeout=LOAD_MS)
            shell = page.evaluate("Boolean(document.getElementById('logging-part'))")
        except Error as error:
            shown = ""
            with suppress(Error):
                shown = page.evaluate("`${location.pathname}: ${document.body.innerText.slice(0, 120)}`")
                page.close()
            raise Lost(f"no station, but {shown!r}") from error
        made = Tab(page, station, self.along if shell else self.person)
        self.tabs.append(made)
        self._settle_hold(made)
        return made

    def _settle_hold(self, tab: Tab) -> None:
        """A free station is held at once; of one that is held the page asks."""
        with suppress(Error):
            if tab.page.evaluate("document.getElementById('hold-dialog').open"):
                tab.watches = self.chance.random() < 0.3
                self.touch("#hold-watch" if tab.watches else "#hold-take")
        hold = self._said(tab, "hold", {"station": tab.station["id"]})
        self.truth.unsure.append(hold)
        self._tick(tab, 150)

    def _tick(self, tab: Tab, patience: int) -> list[dict[str, str]] | None:
        """What the next tick was for; holds, which come by themselves, are noted and passed over."""
        with suppress(Error):
            while (told := tab.page.evaluate("ms => eyes.tick(ms)", patience)) is not None:
                held = [one for one in told if one["kind"] == "hold"]
                content = {"station": tab.station["id"]}
                self.truth.ticked += [self._said(tab, "hold", content, one["uuid"]) for one in held]
                if told and not held:
                    return told
        return None

    def open_start(self) -> None:
        """Today's stations, on which whatever waits is sent too."""
        assert self.context
        page = self.tabs[0].page if self.tabs else self.context.new_page()
        self.tabs = [Tab(page, {}, self.person)]
        try:
            page.goto(self.start, wait_until="domcontentloaded")
        except Error as error:
            raise Lost from error

    def take_along(self) -> bool:
        """The practice, and the app itself, for the time without a network."""
        assert self.context
        page = self.context.new_page()
        try:
            page.goto(self.start, wait_until="domcontentloaded")
            page.get_by_role("button", name="Take this practice with me").tap(timeout=PATIENCE_MS)
            taken = page.evaluate(f"ms => eyes.until(() => {TAKEN}, ms)", LOAD_MS)
        except Error:
            return False
        else:
            self.along = self.person if taken else self.along
            return bool(taken)
        finally:
            with suppress(Error):
                page.close()

    # --- touching ---

    def touch(self, selector: str, text: str | None = None, patience: int = PATIENCE_MS) -> None:
        try:
            page = self.tab.page
            spot = page.evaluate("([what, text, ms]) => eyes.spot(what, text, ms)", [selector, text, patience])
            if spot is None:
                raise Lost(f"{selector} {text or ''} is not there")
            page.touchscreen.tap(spot["x"], spot["y"])
        except Error as error:
            raise Lost(str(error)) from error

    def see(self, condition: str, value: Any = None) -> None:
        """Waits for what the driver looks at before it goes on."""
        look = f"([value, ms]) => eyes.until(() => {condition}, ms)"
        try:
            seen = self.tab.page.evaluate(look, [value, PATIENCE_MS])
        except Error as error:
            raise Lost(str(error)) from error
        if not seen:
            raise Lost(f"not seen: {condition} {value}")

    def texts(self, selector: str) -> list[str]:
        try:
            found: list[str] = self.tab.page.evaluate("what => eyes.texts(what)", selector)
        except Error as error:
            raise Lost(str(error)) from error
        return found

    def commit(
        self, selector: str, means: list[tuple[str, dict[str, Any]]], *, text: str | None = None, kill: bool = False
    ) -> list[Said]:
        """The touch that records. means: kind and content of each event. Returns them once the first tick was seen.

        kill: the browser dies in the middle of it, or right after the tick.
        """
        tab = self.tab
        unsure = [self._said(tab, kind, content) for kind, content in means]
        before_tick = kill and self.chance.random() < 0.5
        self.touch(selector, text)
        told = None
        if not before_tick:
            told = self._tick(tab, 2 * PATIENCE_MS)
        elif self.chance.random() < 0.7:
            with suppress(Error):
                tab.page.wait_for_timeout(self.chance.random() * 25)
        if kill:
            self.kill()
        if told is None:
            self.truth.unsure += unsure
            raise Lost("no tick")
        if [one["kind"] for one in told] != [one.kind for one in unsure]:
            self.wrong.append(f"{[one.kind for one in unsure]} touched, ticked {[one['kind'] for one in told]}")
            raise Lost
        said = [self._said(tab, *means[n], one["uuid"], unsure[n].true) for n, one in enumerate(told)]
        self.truth.ticked += said
        if not kill and (found := tab.page.evaluate("eyes.wrong.splice(0)")):
            self.wrong += found
        return said

    def _said(self, tab: Tab, kind: str, content: dict[str, Any], uuid: str = "", true: Any = None) -> Said:
        return Said(kind, plain(content), self.id_of(tab.person), true or now(), self.number, uuid)
