"""What a tablet's browser makes of --lan: a warning before it trusts the certificate, a secure context after, and an
app that is installed, opens without a network, logs and sends."""

import json
import subprocess
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

import pytest
from playwright.sync_api import BrowserContext, Error, Page, expect, sync_playwright

from deploy import health
from deploy.listening import free_port
from tests.deploy.running import Up, place, up
from tests.faults.forked import Duties

pytestmark = pytest.mark.browser

NAME, SESSION = "vault-browser.local", "sessionid"
ARGUMENTS = [
    *("--no-sandbox", "--disable-gpu", "--disable-quic", "--no-first-run", "--disable-sync"),
    *("--disable-background-networking", "--disable-component-update"),
    f"--host-resolver-rules=MAP {NAME} 127.0.0.1",
]

STATION = """
import json
from tests.faults.site_crew import session
from tests.browser.station_world import make_station_world
from tests.builders import make_cast
cast = make_cast()
print(json.dumps({"session": session(cast.assistant), "station": make_station_world(cast).address}))
"""
"""Run on the site's own data: a station of today with four athletes, and the session of who logs there."""


@pytest.fixture(scope="module")
def lan(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Up]:
    with place(tmp_path_factory.mktemp("lan")) as where:
        where.environment["DJANGO_SETTINGS_MODULE"] = "club.settings"
        port = free_port()
        authority = where.data / "lan" / "authority.crt"
        address = health.Address("127.0.0.1", port, f"https://{NAME}:{port}", authority)
        with up(where, "--lan", NAME, "--bind", "127.0.0.1", address=address) as site:
            yield site


@contextmanager
def _browser(home: Path) -> Iterator[BrowserContext]:
    """A browser of a person whose home is this folder; the certificates that they trust lie there."""
    with sync_playwright() as playwright:
        context = playwright.chromium.launch_persistent_context(
            home / "profile", executable_path="/usr/bin/chromium", args=ARGUMENTS, env={"HOME": str(home)}
        )
        yield context
        context.close()


def _trust(home: Path, authority: Path) -> None:
    store = home / ".pki" / "nssdb"
    store.mkdir(parents=True)
    for arguments in (
        ["-N", "--empty-password"],
        ["-A", "-t", "C,,", "-n", "club", "-i", str(authority)],
    ):
        subprocess.run(["certutil", "-d", f"sql:{store}", *arguments], check=True, capture_output=True)


def test_a_browser_that_was_told_nothing_refuses(lan: Up, tmp_path: Path) -> None:
    with _browser(tmp_path) as browser, pytest.raises(Error, match="ERR_CERT_AUTHORITY_INVALID"):
        browser.new_page().goto(f"{lan.address.base_url}/sign-in/")


def test_a_browser_that_trusts_the_club_s_certificate_gets_a_secure_context(lan: Up, tmp_path: Path) -> None:
    assert lan.address.authority is not None
    _trust(tmp_path, lan.address.authority)
    with _browser(tmp_path) as browser:
        page = browser.new_page()
        answer = page.goto(f"{lan.address.base_url}/sign-in/")
        assert answer is not None and answer.status == 200
        assert page.evaluate("window.isSecureContext && 'serviceWorker' in navigator")


def _taken_along(page: Page, start: str) -> None:
    page.goto(start)
    page.set_default_timeout(60_000)
    expect(page.get_by_role("heading", name="Where do you stand?")).to_be_visible(timeout=30_000)
    page.get_by_role("button", name="Take this practice with me").click()
    expect(page.locator("#tablet-verdict")).to_have_text("works without a network", timeout=30_000)


def test_the_stations_are_installed_opened_without_a_network_logged_on_and_sent(lan: Up, tmp_path: Path) -> None:
    assert lan.address.authority is not None
    _trust(tmp_path, lan.address.authority)
    made = json.loads(lan.place.manage("shell", "-c", STATION).stdout.splitlines()[-1])
    start = f"{lan.address.base_url}{made['station'].rsplit('/', 2)[0]}/"
    with _browser(tmp_path) as browser:
        cookie = {"name": SESSION, "value": made["session"], "domain": NAME, "path": "/", "secure": True}
        browser.add_cookies([cookie])
        page = browser.new_page()
        _taken_along(page, start)
        assert browser.new_cdp_session(page).send("Page.getInstallabilityErrors")["installabilityErrors"] == []
        browser.set_offline(True)
        cold = browser.new_page()
        page.close()
        cold.goto(lan.address.base_url + made["station"])
        expect(cold.locator("#from-along")).to_contain_text("No network")
        cold.locator("#area:not([aria-disabled])").click()
        expect(cold.locator("#on-tablet")).to_have_text("1 on the tablet")
        browser.set_offline(False)
        expect(cold.locator("#on-server")).to_have_text("1 on the server", timeout=30_000)
    assert Duties(lan.place).ask("SELECT count(*) FROM reps_rep") == [(1,)]


def test_the_page_about_trust_shows_the_code_and_leads_to_the_site(lan: Up, tmp_path: Path) -> None:
    with _browser(tmp_path) as browser:
        page = browser.new_page()
        page.set_viewport_size({"width": 390, "height": 844})
        said: list[str] = []
        page.on("console", lambda message: said.append(message.text))
        page.goto(f"http://{NAME}:{lan.port + 1}/")
        assert page.get_by_role("img").evaluate("image => image.naturalWidth > 0")
        assert page.get_by_role("link", name=lan.address.base_url).get_attribute("href") == f"{lan.address.base_url}/"
        assert page.evaluate("document.documentElement.scrollWidth") <= 390
        assert said == []
