"""What befalls one tablet in the course of a practice, at random: reloads, kills, no network, other people, updates."""

import random
import time
from collections import Counter
from collections.abc import Callable
from contextlib import suppress
from threading import Event, Thread
from typing import Any

from playwright.sync_api import Error, Playwright, sync_playwright

from tests.faults.soak.hands import Hands
from tests.faults.soak.network import Network
from tests.faults.soak.tablet import Lost, Tablet

RECOVER_S = 150.0
PEOPLE = ("assistant", "head coach")


class Life(Thread):
    """until_reps: reps, sets and looks of this tablet, whose ticks were seen. act_share: of steps at
    which something befalls it. prepared: it has the app and the practice. enough: to end before its time.
    practised: it has logged enough. calm, all_there: told to it in the end.
    done: how often what befell it. lost: why pages had to be loaded again. broken: what ended it before its time.
    """

    def __init__(
        self,
        tablet: Tablet,
        network: Network,
        sign_out: Callable[[str], Any],
        chance: random.Random,
        until_reps: int,
        act_share: float,
    ) -> None:
        super().__init__(daemon=True)
        self.tablet, self.network, self.chance = tablet, network, chance
        self.until_reps, self.act_share, self.ends_session = until_reps, act_share, sign_out
        self.hands = Hands(tablet, chance)
        self.enough, self.prepared, self.practised = Event(), Event(), Event()
        self.calm, self.all_there = Event(), Event()
        self.done: Counter[str] = Counter()
        self.lost: Counter[str] = Counter()
        self.broken = ""
        self.signed_out = self.offline = False
        self.home = tablet.world["stations"][tablet.number]
        network.sign_out = self.sign_out

    def run(self) -> None:
        try:
            with sync_playwright() as playwright:
                self.practise(playwright)
                self.bring_home(playwright)
                self.tablet.close()
        except Exception as error:
            self.broken = f"tablet {self.tablet.number}: {type(error).__name__}: {error}"
            raise
        finally:
            self.prepared.set()
            self.practised.set()

    def practise(self, playwright: Playwright) -> None:
        self.playwright = playwright
        self.tablet.open(playwright)
        self.recover()
        self.tablet.take_along()
        self.prepared.set()
        self.network.calm = False
        while not self.enough.is_set() and self.tablet.truth.reps < self.until_reps:
            try:
                self.step()
            except (Lost, Error) as lost:
                self.lost[str(lost)[:90]] += 1
                self.recover()

    def step(self) -> None:
        if self.chance.random() >= self.act_share:
            self.hands.one()
            return
        acts: dict[Callable[[], None], int] = {
            self.reload: 4,
            self.other_tab: 4,
            self.kill: 5,
            self.lose_network: 5,
            self.open_cold: 4,
            self.expire: 3,
            self.other_person: 3,
            self.update: 2,
            self.visit: 3,
            self.take_along: 3,
        }
        (act,) = self.chance.choices(list(acts), list(acts.values()))
        self.done[act.__name__] += 1
        act()

    def some(self, least: int, most: int) -> None:
        for _ in range(self.chance.randint(least, most)):
            self.hands.one()

    # --- what may befall it ---

    def reload(self) -> None:
        self.tablet.go(self.tablet.tab.station, self.tablet.tab)

    def other_tab(self) -> None:
        """A second tab of the same station; the two are logged on by turns, while both send."""
        if len(self.tablet.tabs) < 2:
            self.tablet.go(self.tablet.tab.station)
        for _ in range(self.chance.randint(2, 4)):
            self.tablet.tabs.reverse()
            self.tablet.tab.page.bring_to_front()
            self.hands.one()
        if self.chance.random() < 0.3:
            self.tablet.tabs.pop(0).page.close()

    def kill(self) -> None:
        with suppress(Lost):
            self.hands.one(kill=True)
        self.tablet.kill()
        self.tablet.open(self.playwright)
        self.recover()

    def lose_network(self) -> None:
        self.set_offline(True)
        self.some(2, 8)
        self.set_offline(False)

    def open_cold(self) -> None:
        """Without a network, from what was taken along; at times in a browser that was just started."""
        station = self.tablet.tab.station
        if self.chance.random() < 0.3:
            self.tablet.kill()
            self.tablet.open(self.playwright)
        self.set_offline(True)
        while self.tablet.tabs:
            self.tablet.tabs.pop().page.close()
        self.tablet.go(station)
        self.some(2, 8)
        self.set_offline(False)

    def expire(self) -> None:
        self.sign_out()
        self.some(1, 4)
        self.tablet.sign_in(self.tablet.person)
        self.signed_out = False

    def other_person(self) -> None:
        """Signs in while the page of the one before is still open, goes on there, and opens their own."""
        self.tablet.sign_in(PEOPLE[self.tablet.person == PEOPLE[0]])
        self.some(0, 3)
        self.reload()

    def update(self) -> None:
        self.network.edition += 1
        self.reload()
        self.some(1, 3)

    def visit(self) -> None:
        """The station of another tablet, which may hold it meanwhile."""
        others = [one for one in self.tablet.world["stations"] if one is not self.home]
        self.tablet.go(self.chance.choice(others), self.tablet.tab)
        self.some(2, 6)
        self.tablet.go(self.home, self.tablet.tab)

    def take_along(self) -> None:
        if not self.tablet.take_along():
            raise Lost("not taken along")

    # --- what it needs for it ---

    def set_offline(self, offline: bool) -> None:
        assert self.tablet.context
        self.tablet.context.set_offline(offline)

    def sign_out(self) -> None:
        """The session ends on the server; the tablet learns of it when it asks."""
        self.signed_out = True
        self.ends_session(self.tablet.session)

    def recover(self) -> None:
        """As a person would: looks for the network, signs in, loads the page, starts the browser again."""
        until = time.monotonic() + RECOVER_S
        while time.monotonic() < until:
            try:
                self.set_offline(False)
                if self.signed_out:
                    self.tablet.sign_in(self.tablet.person)
                    self.signed_out = False
                self.tablet.go(self.home, self.tablet.tabs[-1] if self.tablet.tabs else None)
            except Lost as lost:
                self.lost[str(lost)] += 1
                time.sleep(0.2)
            except Error:
                self.tablet.kill()
                self.tablet.open(self.playwright)
            else:
                return
        raise AssertionError(f"no page in {RECOVER_S} s: {dict(self.lost)}")

    # --- in the end ---

    def bring_home(self, playwright: Playwright) -> None:
        """Once nothing disturbs any more: signs in as each in turn, until told that all of it is there."""
        self.practised.set()
        self.calm.wait()
        while not self.all_there.is_set():
            for person in PEOPLE:
                try:
                    self.set_offline(False)
                    self.tablet.sign_in(person)
                    self.tablet.open_start()
                except (Lost, Error):
                    self.tablet.kill()
                    self.tablet.open(playwright)
                self.all_there.wait(2)
