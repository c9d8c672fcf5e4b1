"""A practice is cancelled at the desk: how soon the page, the mails and the feed of a parent say so.

`python -m tests.benchmarks.cancellation [--times N]`. It starts the real site (web and worker processes) with a club of
its own and a mail server on loopback, and cancels N practices, one after the other, by the form of the desk. Seconds
from the moment in which the form is sent.
"""

import argparse
import json
import statistics
import tempfile
import time
from collections.abc import Callable
from pathlib import Path
from urllib.request import Request, urlopen

from tests.benchmarks.reading_pages import LINK, Reader
from tests.benchmarks.report import Report, at_most
from tests.deploy.running import Place, Up, place, up
from tests.mailing import LoopbackServer, loopback

PAGE_S, MAIL_S, FEED_S = 1.0, 5.0, 2.0
GIVE_UP_S, PAUSE_S = 60.0, 0.1
# Run inside the site: the parent and the child get addresses, the parent a calendar; prints what is asked for then.
PREPARE = """
import json
from django.utils import timezone
from athletes.models import Athlete
from club.models import Membership, Person
from club.members import find_member
from club.roles import Permission
from sessions.feeds.actions import make
from sessions.boards.queries.reader import coming
from club.clock import club_now
person = Membership.objects.filter(role="guardian").order_by("pk")[0].person
club = Membership.objects.filter(person=person)[0].club
member = find_member(person, club.slug)
athlete = Athlete.objects.for_club(club).filter(person__in=member.ties).order_by("pk")[0]
Person.objects.filter(pk=person.pk).update(email="parent@home.example")
Person.objects.filter(pk=athlete.person_id).update(email="child@home.example")
feed = make(by=member.acting(Permission.CALENDAR_KEEP), value=f"athlete:{athlete.pk}", now=timezone.now())
dates = [one for one in coming(member.acting(Permission.CHILD_READ), athlete, club_now(club)) if not one.cancelled]
print(json.dumps({"club": club.slug, "athlete": str(athlete.pk), "feed": feed.token, "practice": str(dates[-1].id)}))
"""


class Watched:
    """The parent's page, their feed and their mailbox."""

    def __init__(self, site: Up, parent: Reader, asked: dict[str, str], server: LoopbackServer) -> None:
        self.root, self.parent, self.server = f"http://localhost:{site.port}", parent, server
        self.page = f"{self.root}/c/{asked['club']}/children/{asked['athlete']}/"
        self.feed = f"{self.root}/calendar/{asked['feed']}.ics"

    def on_page(self) -> int:
        """How many practices it says are cancelled."""
        with self.parent.open(self.page) as answer:
            return answer.read().decode().count(">Cancelled<")

    def in_feed(self) -> int:
        with urlopen(Request(self.feed)) as answer:
            return answer.read().count(b"STATUS:CANCELLED")

    def mails(self) -> int:
        return len(self.server.to("parent@home.example"))


def seconds_until(true: Callable[[], bool], began: float) -> float:
    """Raises TimeoutError."""
    while not true():
        if time.perf_counter() - began > GIVE_UP_S:
            raise TimeoutError(true)
        time.sleep(PAUSE_S)
    return time.perf_counter() - began


def once(desk: Reader, act: str, watched: Watched, more: int) -> dict[str, float]:
    """One tap at the desk: seconds until each says so. more: how many more are cancelled by it. Feed and mail are asked
    for after the page, so that the time of each holds that of those before it."""
    page, feed, mails = watched.on_page(), watched.in_feed(), watched.mails()
    began = time.perf_counter()
    desk.post(act)
    return {
        "page": seconds_until(lambda: watched.on_page() == page + more, began),
        "feed": seconds_until(lambda: watched.in_feed() == feed + more, began),
        "mail": seconds_until(lambda: watched.mails() > mails, began),
    }


def measured(site: Up, where: Place, server: LoopbackServer, times: int) -> list[dict[str, float]]:
    done = where.manage("shell", "-c", PREPARE)
    assert done.returncode == 0, done.stderr
    asked = json.loads(done.stdout.splitlines()[-1])
    links = {found["role"]: found["link"] for found in LINK.finditer(site.text)}
    desk, parent = Reader(links["head coach"]), Reader(links["guardian"])
    watched = Watched(site, parent, asked, server)
    practice = f"http://localhost:{site.port}/c/{asked['club']}/practices/{asked['practice']}"
    found = []
    for _n in range(times):
        found.append(once(desk, f"{practice}/cancel/", watched, more=1))
        once(desk, f"{practice}/uncancel/", watched, more=-1)
    return found


def main() -> None:
    parser = argparse.ArgumentParser(description="From the tap at the desk to the parent.")
    parser.add_argument("--times", type=int, default=10)
    options = parser.parse_args()
    report = Report("cancellation")
    with loopback() as server, tempfile.TemporaryDirectory() as made, place(Path(made)) as where:
        mail = {"HOST": "127.0.0.1", "PORT": str(server.port), "SECURITY": "none", "FROM": "practice@club.example"}
        where.environment.update({f"SIXMARK_MAIL_{name}": value for name, value in mail.items()})
        with up(where, "--demo") as site:
            found = measured(site, where, server, options.times)
    for name, limit in (("page", PAGE_S), ("feed", FEED_S), ("mail", MAIL_S)):
        report.add(f"{name}: slowest, s", at_most(round(max(one[name] for one in found), 2), limit))
        report.add(f"{name}: median, s", at_most(round(statistics.median(one[name] for one in found), 2), limit))
    report.finish()


if __name__ == "__main__":
    main()
