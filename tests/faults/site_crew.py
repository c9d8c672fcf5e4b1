"""Makes a club with practices of today, loads the site once and forks its real processes from there, as deploy/up does.

``python -m tests.faults.site_crew PORT [TABLETS]``. The first line it writes is JSON: the places where reps are logged.
Each line of its input is the name of a process of the site; it answers with its id. Each leads its own group, so that
it can be killed whole.
"""

import json
import signal
import sys
from typing import Any

import django

django.setup()

from django.conf import settings  # noqa: E402
from django.core.management import call_command  # noqa: E402
from django.db import connections  # noqa: E402
from django.test import Client  # noqa: E402
from django.urls import get_resolver, reverse  # noqa: E402

from club.members import Member  # noqa: E402
from deploy.health import Address  # noqa: E402
from deploy.processes import spawn  # noqa: E402
from deploy.roles import roles  # noqa: E402
from deploy.site import Site  # noqa: E402
from drills.actions.rows import new_stamp  # noqa: E402
from sessions.practices.models import Practice  # noqa: E402
from tests.browser.station_world import practice_now  # noqa: E402
from tests.builders import (  # noqa: E402
    make_athlete,
    make_cast,
    make_checkpoint,
    make_drill,
    make_person,
    make_squad,
    make_station,
)

LANES = 4
LANES_A_PRACTICE = 5
ATHLETES = 3


def make_lanes(count: int) -> list[dict[str, Any]]:
    """Stations of two or more practices of today, each with its own athletes, logged at by two coaches."""
    cast = make_cast()
    timing = make_checkpoint(cast.club, key="timing")
    feet = make_checkpoint(cast.club, key="feet")
    for key in ("drop", "walk"):
        make_drill(cast.club, gate=(timing,), offers=(feet,), key=key)
    new_stamp(cast.club)  # as whoever writes a catalogue does
    practices = [practice_now(cast) for _ in range(max(2, count // LANES_A_PRACTICE))]
    sessions = [session(member) for member in (cast.assistant, cast.head_coach)]
    return [lane(practices[n % len(practices)], sessions[n * 2 // count]) for n in range(count)]


def lane(practice: Practice, session: str) -> dict[str, Any]:
    club = practice.club
    athletes = [make_athlete(club, make_person(club, "athlete", given_name=f"N{n}")) for n in range(ATHLETES)]
    practice.squads.add(make_squad(club, *athletes))
    return {
        "path": reverse("api_events", kwargs={"club": club.slug, "practice": practice.pk}),
        "session": session,
        "practice": str(practice.pk),
        "station": str(make_station(practice).pk),
        "athletes": [str(athlete.pk) for athlete in athletes],
    }


def session(member: Member) -> str:
    client = Client()
    client.force_login(member.person, backend=settings.AUTHENTICATION_BACKENDS[0])
    return client.cookies[settings.SESSION_COOKIE_NAME].value


def main(port: int, count: int = LANES) -> None:
    lay_ground()
    serve(port, make_lanes(count))


def lay_ground() -> None:
    call_command("migrate", interactive=False, verbosity=0)
    call_command("createcachetable", verbosity=0)


def serve(port: int, greeting: object) -> None:
    """Says what is there, then forks what each line of the input names."""
    connections.close_all()  # a child must not share one
    _ = get_resolver().url_patterns
    address = Address("127.0.0.1", port, f"http://localhost:{port}")
    named = {role.name: role for role in roles(Site(address, ("127.0.0.1",)))}
    signal.signal(signal.SIGCHLD, signal.SIG_IGN)  # nobody waits for the dead
    print(json.dumps(greeting), flush=True)
    for line in sys.stdin:
        role = named[line.strip()]
        print(spawn(role.run, name=role.name, output=sys.stderr.fileno(), nice=role.nice), flush=True)


if __name__ == "__main__":
    main(*map(int, sys.argv[1:]))
