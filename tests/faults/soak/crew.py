"""A club whose practice runs now at three stations, and the site's real processes, forked on request.

``python -m tests.faults.soak.crew PORT [BUG]``. The first line it writes is JSON: who is there and what is done. A bug
is one of ``server_bugs.SERVER`` and is in the site from its start on.
"""

import json
import sys
from pathlib import Path
from typing import Any

import django

django.setup()

from django.conf import settings  # noqa: E402
from django.core.management import call_command  # noqa: E402

from club.clock import club_now  # noqa: E402
from club.members import Member  # noqa: E402
from club.roles import Permission  # noqa: E402
from drills.models import Drill  # noqa: E402
from drills.shipped import load_shipped_catalogue  # noqa: E402
from sessions.practices.models import Assignment, Block, Practice  # noqa: E402
from sessions.station.queries.along import along  # noqa: E402
from sessions.station.serializers import bundle_data  # noqa: E402
from tests.browser.station_world import practice_now  # noqa: E402
from tests.builders import (  # noqa: E402
    Cast,
    make_area,
    make_athlete,
    make_block,
    make_cast,
    make_person,
    make_station,
)
from tests.faults.site_crew import lay_ground, serve, session  # noqa: E402
from tests.faults.soak.server_bugs import SERVER  # noqa: E402

TURNS, SETS = "running-drop-and-plant", "standing-drop"
STATIONS = ((TURNS, ("Abeni", "Bram", "Chidi", "Dagny")), (TURNS, ("Elif", "Fumi", "Goran", "Hine")))
STATIONS += ((SETS, ("Ines", "Jory", "Kalea", "Leif")),)
SESSIONS = 99
"""A person's, of which each sign-in takes the next."""


def make_world() -> dict[str, Any]:
    cast = make_cast()
    load_shipped_catalogue(cast.club)
    practice = practice_now(cast)
    block = make_block(practice, minutes=59)
    stations = [station(practice, block, number, *told) for number, told in enumerate(STATIONS, 1)]
    coach = cast.head_coach.acting(Permission.REPS_LOG)
    taken = along(coach, practice, club_now(cast.club))
    assert taken is not None
    return {
        "club": cast.club.slug,
        "practice": str(practice.pk),
        "day": practice.day.isoformat(),
        "people": people(cast),
        "stations": stations,
        "drills": bundle_data(coach, taken, club_now(cast.club))["drills"],
    }


def people(cast: Cast) -> dict[str, dict[str, Any]]:
    def told(member: Member) -> dict[str, Any]:
        return {"id": str(member.person.pk), "sessions": [session(member) for _ in range(SESSIONS)]}

    return {"assistant": told(cast.assistant), "head coach": told(cast.head_coach)}


def station(practice: Practice, block: Block, number: int, drill: str, names: tuple[str, ...]) -> dict[str, Any]:
    club = practice.club
    place = make_station(practice, area=make_area(practice.venue, name=f"Floor {number}"))
    done = Drill.objects.get(club=club, key=drill)
    athletes = {name: make_athlete(club, make_person(club, "athlete", given_name=name)) for name in names}
    for order, athlete in enumerate(athletes.values()):
        Assignment.objects.create(club=club, block=block, station=place, athlete=athlete, drill=done, order=order)
    ids = {name: str(athlete.pk) for name, athlete in athletes.items()}
    return {"id": str(place.pk), "drill": drill, "athletes": ids}


def world() -> dict[str, Any]:
    """As it was left in the data folder; else it is made and left there, for copies of the folder."""
    kept = Path(settings.DATA_DIR) / "world.json"
    if not kept.exists():
        lay_ground()
        call_command("collectstatic", interactive=False, verbosity=0)
        kept.write_text(json.dumps(make_world()), encoding="utf-8")
    made: dict[str, Any] = json.loads(kept.read_text(encoding="utf-8"))
    return made


def main(port: int, bug: str = "") -> None:
    if bug:
        SERVER[bug]()
    serve(port, world())


if __name__ == "__main__":
    main(int(sys.argv[1]), *sys.argv[2:])
