"""The page of a station in Chromium with a processor slowed fourfold, on a really started site, with forty athletes.

``python -m tests.benchmarks.tablet [--quick]``.

* First load: bytes that the server sends to a browser that has nothing, from today's stations until the tablet works
  without a network and the station's page takes a tap; counted outside the browser, headers and worker included. All
  script: its files as the server packs them.
* Cold start: a browser started anew without a network; from the address of the station to the large area that takes a
  tap. The slowest of several. The worker's own thread cannot be slowed.
* A tap: from the finger's touch, as the browser stamps it, to the first tick, which sounds when the rep is on the disk.
  Of the last fifty reps before each mark, when a finger takes a fifth of a second from one place to the next; those
  before follow each other as fast as they go. The network is there: each rep is sent at once.
* Memory: script's heap after a collection, when 500, 1,000 and 2,000 reps have been logged on one page.
"""

import argparse
import gzip
import json
import os
import socket
import statistics
import sys
import threading
import urllib.request
from collections.abc import Iterator
from contextlib import contextmanager, suppress
from pathlib import Path
from tempfile import TemporaryDirectory
from typing import Any

from playwright.sync_api import BrowserContext, CDPSession, Page, sync_playwright

from deploy import health
from tests.benchmarks.ingest import site
from tests.benchmarks.report import Figure, Report, at_most
from tests.browser.chromium import CHROMIUM, FLAGS
from tests.browser.sizes import TABLET
from tests.deploy.running import until

CREW = "tests.benchmarks.tablet_crew"  # started, not imported: it loads the site
SLOWED = 4
MARKS, QUICK_MARKS = (500, 1000, 2000), (100, 200)
STARTS = 5
FAULT_EVERY, PACED, BETWEEN_MS = 3, 50, 200
TAP_MS, START_MS, LOAD_BYTES, SCRIPT_BYTES = 50.0, 1500.0, 200_000, 60_000
HEAP_SHARE = 0.25
"""By how much the heap may have grown from the first mark to the last."""

READY = """() => new Promise((resolve) => {
  const ready = () => {
    const area = document.getElementById("area");
    if (area && area.offsetParent && !area.hasAttribute("aria-disabled")) resolve(performance.now());
    else requestAnimationFrame(ready);
  };
  ready();
})"""
# Between the touch and the tick; the finger's time is the browser's own stamp of its event.
TAPS = """() => {
  window.taps = [];
  let touched = 0;
  document.addEventListener("pointerdown", (event) => { touched = event.timeStamp; }, true);
  document.addEventListener("sixmark:kept", ({ detail }) => {
    if (detail.some(({ kind }) => kind === "rep")) window.taps.push(performance.now() - touched);
  });
}"""


class Wire:
    """Stands between browser and site, and counts what the site sends."""

    def __init__(self, port: int) -> None:
        self.to, self.sent = port, 0
        self.listener = socket.create_server(("127.0.0.1", 0))
        self.port: int = self.listener.getsockname()[1]
        threading.Thread(target=self._accept, daemon=True).start()

    def _accept(self) -> None:
        with suppress(OSError):
            while True:
                near, _ = self.listener.accept()
                far = socket.create_connection(("127.0.0.1", self.to))
                threading.Thread(target=self._pass, args=(near, far, False), daemon=True).start()
                threading.Thread(target=self._pass, args=(far, near, True), daemon=True).start()

    def _pass(self, source: socket.socket, target: socket.socket, counted: bool) -> None:
        with suppress(OSError):
            while data := source.recv(65536):
                if counted:
                    self.sent += len(data)
                target.sendall(data)
        for end in (source, target):
            with suppress(OSError):
                end.shutdown(socket.SHUT_RDWR)


@contextmanager
def tablet(profile: Path, address: str, session: str = "") -> Iterator[tuple[BrowserContext, Page, CDPSession]]:
    """A browser of its own process, slowed; what it keeps lies in the profile."""
    with sync_playwright() as playwright:
        context = playwright.chromium.launch_persistent_context(
            profile, executable_path=CHROMIUM, args=FLAGS, base_url=address, **TABLET.context
        )
        if session:
            context.add_cookies([{"name": "sessionid", "value": session, "url": address}])
        page = context.pages[0]
        chromium = context.new_cdp_session(page)
        chromium.send("Emulation.setCPUThrottlingRate", {"rate": SLOWED})
        try:
            yield context, page, chromium
        finally:
            context.close()


def first_load(report: Report, page: Page, wire: Wire, where: dict[str, Any]) -> None:
    start = f"/c/{where['club']}/station/"
    page.goto(start)
    page.get_by_role("button", name="Take this practice with me").tap()
    page.get_by_text("works without a network").wait_for()
    page.goto(f"{start}{where['station']}/")
    page.evaluate(READY)
    page.wait_for_timeout(1000)
    report.add("first_load_bytes", at_most(wire.sent, LOAD_BYTES))
    report.add("script_bytes", at_most(_script_bytes(page), SCRIPT_BYTES))


def _script_bytes(page: Page) -> int:
    """Of every script that the page and its worker run, as it comes over the wire."""
    urls = page.evaluate(
        "performance.getEntriesByType('resource').map(({ name }) => name).filter((u) => u.endsWith('.js'))"
    )
    return sum(map(_packed, set(urls))) + len(gzip.compress(_worker(page)))


def _packed(url: str) -> int:
    asked = urllib.request.Request(url, headers={"Accept-Encoding": "gzip"})
    with urllib.request.urlopen(asked) as answer:
        return len(answer.read())


def _worker(page: Page) -> bytes:
    address = page.evaluate("JSON.parse(document.getElementById('station-setup').textContent).worker")
    return page.request.get(address).body()


def cold_start_ms(profile: Path, address: str, station: str) -> float:
    with tablet(profile, address) as (context, page, _chromium):
        context.set_offline(True)
        page.goto(station, wait_until="commit")
        ready: float = page.evaluate(READY)
        assert page.locator("#from-along").is_visible()
        return ready


class Logger:
    """One finger: a fault, then the area, now and then; else an athlete's name, then the area. Whoever names either on
    purpose need not wait for the guard against a second touch."""

    def __init__(self, page: Page, chromium: CDPSession) -> None:
        self.page, self.chromium, self.reps = page, chromium, 0
        page.evaluate(TAPS)

    def log(self, reps: int, pause_ms: float = 0) -> list[float]:
        """Milliseconds from each touch to its tick."""
        until_now = self.reps
        for _ in range(reps):
            first = (
                f"#rail > div:nth-child({self.reps % 4 + 1}) .fchip" if self.reps % FAULT_EVERY == 0 else "#line .pick"
            )
            for target in (first, "#area"):
                self.touch(target)
                self.page.wait_for_timeout(pause_ms)
            self.reps += 1
            self.page.wait_for_function("count => window.taps.length >= count", arg=self.reps, polling=5)
        taken: list[float] = self.page.evaluate("from => window.taps.slice(from)", until_now)
        return taken

    def touch(self, selector: str) -> None:
        box = self.page.locator(selector).first.bounding_box()
        assert box
        self.page.touchscreen.tap(box["x"] + box["width"] / 2, box["y"] + box["height"] / 2)

    def heap(self) -> int:
        self.chromium.send("HeapProfiler.collectGarbage")
        used: int = self.chromium.send("Runtime.getHeapUsage")["usedSize"]
        return used


def log_all(report: Report, page: Page, chromium: CDPSession, marks: tuple[int, ...]) -> None:
    finger, heaps = Logger(page, chromium), list[int]()
    for mark in marks:
        finger.log(mark - finger.reps - PACED)
        taps = finger.log(PACED, BETWEEN_MS)
        heaps.append(finger.heap())
        print(f"reps to {mark}: median {statistics.median(taps):.1f} ms", flush=True)
        report.add(f"tap_to_tick_p95_ms_at_{mark}", at_most(statistics.quantiles(taps, n=20)[-1], TAP_MS))
        report.add(f"heap_bytes_at_{mark}", Figure(float(heaps[-1]), "printed", True))
    report.add("heap_growth_share", at_most(heaps[-1] / heaps[0] - 1, HEAP_SHARE))
    kept = page.locator("#on-tablet").inner_text()
    report.add("reps_missing_on_the_tablet", at_most(marks[-1] - int(kept.split()[0]), 0))


def measure(report: Report, marks: tuple[int, ...]) -> None:
    with TemporaryDirectory() as folder, site(Path(folder), CREW) as (_where, crew, port):
        address = health.Address("127.0.0.1", port, f"http://localhost:{port}")
        where = json.loads(crew.greeting or "{}")
        assert until(lambda: health.ask(address).good, 60), crew.log.read_text()
        wire, profile = Wire(port), Path(folder) / "profile"
        base = f"http://localhost:{wire.port}"
        station = f"/c/{where['club']}/station/{where['station']}/"
        with tablet(profile, base, where["session"]) as (context, page, chromium):
            first_load(report, page, wire, where)
        report.add(
            "cold_start_ms", at_most(max(cold_start_ms(profile, base, station) for _ in range(STARTS)), START_MS)
        )
        with tablet(profile, base, where["session"]) as (context, page, chromium):
            page.goto(station)
            page.evaluate(READY)
            log_all(report, page, chromium, marks)
        print(f"load of the machine meanwhile: {os.getloadavg()[1]:.1f} on {os.cpu_count()} processors", flush=True)


def main() -> None:
    parser = argparse.ArgumentParser()
    parser.add_argument("--quick", action="store_true", help=f"{QUICK_MARKS[-1]} reps instead of {MARKS[-1]}")
    given = parser.parse_args()
    report = Report("tablet")
    measure(report, QUICK_MARKS if given.quick else MARKS)
    report.finish()


if __name__ == "__main__":
    sys.exit(main())
