"""Reads everything that a viewer can reach, and looks for words that the policy keeps from them."""

import re
from collections import Counter, defaultdict, deque
from collections.abc import Iterable
from dataclasses import dataclass, field
from html import unescape
from urllib.parse import urljoin, urlsplit

import pypdfium2
from django.http import HttpResponse

from tests.club import policy
from tests.club.asking import Body, Browsers, Place, places, rolled_back
from tests.club.world import GUARDIANS_OF, TIED_TO, Canary, World

LINK = re.compile(r'(?:href|src|action|hx-get|hx-post|data-url|content)="([^"#]+)')
WORD = re.compile(r"zq[a-z]+\d*qz")
SAME_PAGE = 2
"""Query strings that links may add to one page: "the week before" has no end."""


def forbidden(canary: Canary, viewer: str) -> bool:
    """Whether the policy keeps this word from this viewer. Written from ``policy.FIELDS``, not from the code."""
    here, elsewhere = policy.VIEWERS[viewer]
    roles = {"here": here, "elsewhere": elsewhere, "both": here | elsewhere}[canary.club]
    if viewer in canary.about and "self" in policy.FIELDS.get(canary.kind, ()):
        return False
    if not roles:
        return True
    readers = policy.FIELDS.get(canary.kind, set(policy.ROLES))
    guards = any(viewer in GUARDIANS_OF.get(child, ()) for child in canary.about)
    stands = "helper" in roles and viewer in policy.OWN["station"]
    tied = guards or any(viewer in TIED_TO.get(child, ()) for child in canary.about)
    also = {"guardian": guards, "tied": tied, "station": stands, "guardian_role": "guardian" in roles}
    return not (
        roles & (readers - {"guardian", "tied"}) or any(word in readers for word, holds in also.items() if holds)
    )


def _pdf_text(body: bytes) -> str:
    """What stands on the pages of a PDF; words that the line broke in two are one again."""
    document = pypdfium2.PdfDocument(body)
    try:
        return "\n".join(page.get_textpage().get_text_range() for page in document)
    finally:
        document.close()


@dataclass(slots=True)
class Reading:
    """found: by viewer and canary word, the first address it was read at. answers: how many were read."""

    found: dict[str, dict[str, str]] = field(default_factory=lambda: defaultdict(dict))
    answers: int = 0


class Reader:
    """Collects answers. Words are looked for in the whole answer: body, headers, cookies."""

    def __init__(self, world: World) -> None:
        self.world, self.reading = world, Reading()
        self.by_word = {canary.word.lower(): canary for canary in world.canaries}
        self.others = [word for word in self.by_word if not WORD.fullmatch(word)]  # dates and hashes

    def take(self, viewer: str, url: str, answer: HttpResponse) -> str:
        body = b"".join(answer.streaming_content) if answer.streaming else answer.content
        text = _pdf_text(body) if body.startswith(b"%PDF") else unescape(body.decode("utf-8", "replace"))
        whole = text + repr(sorted(answer.headers.items())) + answer.cookies.output()
        self.reading.answers += 1
        whole = whole.lower()
        for word in (set(WORD.findall(whole)) & set(self.by_word)) | {word for word in self.others if word in whole}:
            self.reading.found[viewer].setdefault(word, url)
        return text

    def take_case(self, viewer: str, place: Place, method: str, answer: HttpResponse) -> None:
        self.take(viewer, f"{method} {place.url}", answer)

    def differences(self) -> list[str]:
        return [
            f"{viewer} reads {canary.kind} of {canary.about} ({canary.club}) at {url}"
            for viewer, words in self.reading.found.items()
            for canary, url in ((self.by_word[word], url) for word, url in words.items())
            if forbidden(canary, viewer)
        ]


# Pages that take query strings, with ids of one's own club and of the other; and those that answer htmx by a fragment.
QUERIES = (
    (r"/(changes|people)/$", "?page=2"),
    (r"/practices/$", "?when=past"),
    (r"/board/$", "?squad={squad}"),
    (r"/board/$", "?squad={other_squad}"),
    (r"/week/$", "?week={last_week}"),
    (r"/drills/.+/$", "?hand=left"),
    (r"/plan/$", "?block={block}&station={station}"),
    (r"/plan/$", "?at={station}"),
    (r"/plan/$", "?pick={place}"),
    (r"/without-plan/", "?drill=here-drop&athlete={athlete}"),
    (r"/without-plan/", "?drill=elsewhere-drop&athlete={other_athlete}"),
    (r"/station/.+/$", "?block=1"),
)
FRAGMENTS = re.compile(r"/(board|plan)/")


def queries(world: World) -> list[tuple[str, str]]:
    """Patterns of addresses, and the query string to ask them with."""
    rows = world.objects
    values = {
        "squad": world.parts["terns"].pk,
        "other_squad": world.parts["others"].pk,
        "last_week": rows["practice"]["released"].day,
        "block": rows["block"]["today_block"].pk,
        "station": rows["station"]["today_floor"].pk,
        "place": rows["assignment"]["today_place"].pk,
        "athlete": rows["athlete"]["nandi"].pk,
        "other_athlete": rows["athlete"]["elsewhere_athlete"].pk,
    }
    return [(pattern, query.format(**values)) for pattern, query in QUERIES]


def crawl(world: World, viewers: Iterable[str] | None = None, names: set[str] | None = None) -> Reader:
    """Every page that opens to each viewer, as page and as fragment, whatever these link to, and pages of errors.

    Refusals and answers to unsafe requests are read where they are asked for, in ``asking.access``.
    names: only these addresses, and no links.
    """
    reader, browsers = Reader(world), Browsers(world)
    found = [place for place in places(world, names) if "GET" in place.address.door.methods]  # type: ignore[union-attr]
    for viewer in viewers or policy.VIEWERS:
        opens = [place.url for place in found if _opens(viewer, place)]
        asked = [url + query for url in opens for pattern, query in queries(world) if re.search(pattern, url)]
        _read(reader, browsers, viewer, deque([*opens, *asked]), follow=names is None)
        for url in filter(FRAGMENTS.search, opens):
            _take(reader, browsers, viewer, "GET", url, None, **{"hx-request": "true"})
        if names is None:
            _errors(reader, browsers, viewer)
    return reader


def _opens(viewer: str, place: Place) -> bool:
    found = policy.expected(viewer, place.address.name, place.in_other_club, place.targets, place.consistent)
    return found == policy.IN


def _read(reader: Reader, browsers: Browsers, viewer: str, waiting: deque[str], follow: bool) -> None:
    seen: set[str] = set(waiting)
    times = Counter(urlsplit(url).path for url in seen)
    while waiting:
        links = _take(reader, browsers, viewer, "GET", waiting.popleft(), None)
        for link in sorted(links - seen) if follow else ():
            seen.add(link)
            times[urlsplit(link).path] += 1
            if times[urlsplit(link).path] <= SAME_PAGE:
                waiting.append(link)


def _take(
    reader: Reader, browsers: Browsers, viewer: str, method: str, url: str, body: Body | None, **headers: str
) -> set[str]:
    """Asks, reads, and gives the links of the answer."""
    with rolled_back():
        answer = browsers.ask(viewer, method, url, body, **headers)
    return _links(url, reader.take(viewer, f"{method} {url}", answer), answer)


def _links(url: str, text: str, answer: HttpResponse) -> set[str]:
    named = {unescape(link) for link in LINK.findall(text)} | {answer.headers.get("Location", "")}
    ours = {urljoin(url, link) for link in named if not urlsplit(link).scheme and not link.startswith("//")}
    return {link for link in ours if link.startswith("/") and not link.startswith("/static/")}


def _errors(reader: Reader, browsers: Browsers, viewer: str) -> None:
    """Pages of errors: no such page, bad method, bad JSON, a form left empty."""
    world = browsers.world
    today = world.objects["practice"]["today"].pk
    empty = ("plan/assign/", "plan/block/", "plan/station/", "edit/", "attendance/")
    tries = [
        ("GET", "/no-such-page/", None),
        ("GET", "/c/no-such-club/", None),
        ("GET", "/c/ternfield/week/?week=nonsense", None),
        ("DELETE", "/c/ternfield/people/", None),
        ("POST", f"/api/v1/clubs/ternfield/practices/{today}/events/", Body("{not json", "application/json")),
        ("POST", "/c/ternfield/practices/new/", Body({})),
        *(("POST", f"/c/ternfield/practices/{today}/{path}", Body({})) for path in empty),
    ]
    for method, url, body in tries:
        _take(reader, browsers, viewer, method, url, body)
