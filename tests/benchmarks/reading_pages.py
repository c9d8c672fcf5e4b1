"""Lighthouse on the pages that athletes and parents read: performance, accessibility, best practices.

`python -m tests.benchmarks.reading_pages [--runs N] [--npm-cache FOLDER] [--only PAGE ...]`. It starts the site with
its invented club, signs in by the printed links, and fetches the pinned Lighthouse with npx into a temporary folder
(or FOLDER, which is kept). Needs Node, npx and Chromium. Each score is the median of the runs, as a phone on a slow
network would have it (Lighthouse's own mobile setting).
"""

import argparse
import json
import os
import re
import statistics
import subprocess
import tempfile
from collections.abc import Iterator
from dataclasses import dataclass
from http.cookiejar import CookieJar
from pathlib import Path
from typing import Any
from urllib.parse import urlencode, urlsplit
from urllib.request import HTTPCookieProcessor, build_opener

from tests.benchmarks.report import Report, at_least
from tests.deploy.running import Up, place, up

LIGHTHOUSE = "lighthouse@12.8.2"  # the last that runs on Node 18 and 20
CHROMIUM = "/usr/bin/chromium"
CATEGORIES = ("performance", "accessibility", "best-practices")
LEAST = 95
LINK = re.compile(r"^(?P<role>[^\t\n]+)\t[^\t\n]+\t(?P<link>\S+#\S+)$", re.M)
# By the role of who reads it: what each page is called here, and how its address looks on the page they sign in to.
LINKED = {
    "athlete": {"calendar": r"/calendar/$", "account": r"/account/$"},
    "guardian": {
        "summary": r"/summaries/[^/]+/$",
        "hurt or unwell": r"/restriction/$",
        "emergency card": r"/card/keep/$",
        "calendar": r"/calendar/$",
    },
}


@dataclass(frozen=True, slots=True)
class Page:
    """cookies: of whoever reads it; "" for nobody."""

    name: str
    address: str
    cookies: str


class Reader:
    """One of the four people, signed in by their link."""

    def __init__(self, link: str) -> None:
        self.jar = CookieJar()
        self.open = build_opener(HTTPCookieProcessor(self.jar)).open
        address, _, token = link.partition("#")
        self.open(address).read()
        sent = {"token": token, "csrfmiddlewaretoken": self.cookie("csrftoken")}
        with self.open(address, urlencode(sent).encode()) as answer:
            self.home, self.text = answer.url, answer.read().decode()

    def cookie(self, name: str) -> str:
        return next(cookie.value or "" for cookie in self.jar if cookie.name == name)

    @property
    def cookies(self) -> str:
        return "; ".join(f"{cookie.name}={cookie.value}" for cookie in self.jar)

    def post(self, address: str) -> None:
        """A form without fields."""
        sent = {"csrfmiddlewaretoken": self.cookie("csrftoken")}
        self.open(address, urlencode(sent).encode()).read()

    def linked(self, pattern: str) -> str:
        """Raises StopIteration where the page leads to no such address."""
        paths = re.findall(r'href="(/[^"#]*)"', self.text)
        path = next(path for path in paths if re.search(pattern, path))
        return "{0.scheme}://{0.netloc}".format(urlsplit(self.home)) + path


def pages(site: Up) -> Iterator[Page]:
    links = {found["role"]: found["link"] for found in LINK.finditer(site.text)}
    yield Page("signing in by link", links["guardian"].partition("#")[0], "")
    yield Page("signing in", f"http://localhost:{site.port}/sign-in/", "")
    for role, linked in LINKED.items():
        reader = Reader(links[role])
        yield Page(f"{role}: first page", reader.home, reader.cookies)
        for name, pattern in linked.items():
            yield Page(f"{role}: {name}", reader.linked(pattern), reader.cookies)


def scores(page: Page, npx: dict[str, str], folder: Path) -> dict[str, float]:
    """0 to 100 by category; what misses is printed. Raises CalledProcessError where Lighthouse fails."""
    headers, out = folder / "headers.json", folder / "report.json"
    headers.write_text(json.dumps({"Cookie": page.cookies} if page.cookies else {}))
    headers.chmod(0o600)
    asked = ["npx", "--yes", LIGHTHOUSE, page.address, "--quiet", "--output=json", f"--output-path={out}"]
    asked += [f"--only-categories={','.join(CATEGORIES)}", f"--extra-headers={headers}", "--no-enable-error-reporting"]
    flags = "--headless=new --no-sandbox --disable-gpu --disable-background-networking"
    subprocess.run([*asked, f"--chrome-flags={flags}"], env=npx, check=True, stdin=subprocess.DEVNULL)
    found: dict[str, Any] = json.loads(out.read_text())
    assert found["finalDisplayedUrl"].rstrip("/") == page.address.rstrip("/"), found["finalDisplayedUrl"]
    for line in missed(found):
        print(f"    {page.name}: {line}", flush=True)
    return {name: 100 * found["categories"][name]["score"] for name in CATEGORIES}


def missed(found: dict[str, Any]) -> Iterator[str]:
    """Audits that cost points, each with what Lighthouse says of it."""
    for name in CATEGORIES:
        for part in found["categories"][name]["auditRefs"]:
            audit = found["audits"][part["id"]]
            if part["weight"] and audit["score"] is not None and audit["score"] < 0.9:
                yield f"{name}: {audit['title']} {audit.get('displayValue', '')}".rstrip()


def main() -> None:
    parser = argparse.ArgumentParser(description="Lighthouse on the pages of athletes and parents.")
    parser.add_argument("--runs", type=int, default=3)
    parser.add_argument("--npm-cache", type=Path, help="where npx keeps Lighthouse from one time to the next")
    parser.add_argument("--only", nargs="+", help="names of pages")
    options = parser.parse_args()
    report = Report("reading pages")
    with tempfile.TemporaryDirectory() as made, place(Path(made)) as where, up(where, "--demo") as site:
        cache = str(options.npm_cache or Path(made) / "npm")
        npx = {**os.environ, "CHROME_PATH": CHROMIUM, "npm_config_cache": cache, "npm_config_update_notifier": "false"}
        for page in pages(site):
            if options.only and page.name not in options.only:
                continue
            runs = [scores(page, npx, Path(made)) for _ in range(options.runs)]
            for name in CATEGORIES:
                report.add(f"{page.name}: {name}", at_least(statistics.median(run[name] for run in runs), LEAST))
    report.finish()


if __name__ == "__main__":
    main()
