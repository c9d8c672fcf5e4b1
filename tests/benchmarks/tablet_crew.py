"""The site that the tablet's benchmark opens: the shipped catalogue, forty athletes at five stations in four blocks.

``python -m tests.benchmarks.tablet_crew PORT``. The first line it writes is JSON: the club's slug, the practice's and
the first station's id, and the assistant's session. Then it is as ``tests.faults.site_crew``.
"""

import sys
from datetime import datetime, timedelta

import django

django.setup()

from django.core.management import call_command  # noqa: E402

from drills.models import Drill  # noqa: E402
from drills.shipped import load_shipped_catalogue  # noqa: E402
from sessions.practices.models import Assignment, Practice, Station  # noqa: E402
from tests.browser.station_world import practice_now  # noqa: E402
from tests.builders import (  # noqa: E402
    Cast,
    make_area,
    make_athlete,
    make_block,
    make_cast,
    make_person,
    make_squad,
    make_station,
)
from tests.faults.site_crew import lay_ground, serve, session  # noqa: E402

DRILLS = (
    "running-drop-and-plant",
    "six-step-walking-drop-and-plant",
    "plant-run-6",
    "standing-drop-and-plant",
    "walking-stops",
)
BLOCKS, MINUTES, AT_A_STATION = 4, 15, 8
GIVEN = ("Nandi", "Eero", "Saoirse", "Amara", "Tove", "Idris", "Malin", "Kofi")
FAMILY = ("Alder", "Birch", "Cedar", "Dogwood", "Elm")


def make_practice_of_forty(cast: Cast) -> tuple[Practice, Station]:
    """Groups of eight go from station to station. The first station has the first drill, logged by the rep."""
    load_shipped_catalogue(cast.club)
    practice = practice_now(cast)
    areas = [make_area(practice.venue, name=f"Floor {number + 1}") for number in range(len(DRILLS))]
    stations = [make_station(practice, area=area) for area in areas]
    first = datetime.combine(practice.day, practice.starts)
    starts = [(first + timedelta(minutes=MINUTES * n)).time() for n in range(BLOCKS)]
    blocks = [make_block(practice, number=n + 1, starts=at, minutes=MINUTES) for n, at in enumerate(starts)]
    names = [(given, family) for family in FAMILY for given in GIVEN]
    people = [make_person(cast.club, "athlete", given_name=given, family_name=family) for given, family in names]
    athletes = [make_athlete(cast.club, person) for person in people]
    practice.squads.add(make_squad(cast.club, *athletes))
    drills = [Drill.objects.get(club=cast.club, key=key) for key in DRILLS]
    for turn, block in enumerate(blocks):
        for order, athlete in enumerate(athletes):
            place = (order // AT_A_STATION + turn) % len(stations)
            values = {"station": stations[place], "drill": drills[place], "order": order}
            Assignment.objects.create(club=cast.club, block=block, athlete=athlete, **values)
    return practice, stations[0]


def main(port: int) -> None:
    lay_ground()
    call_command("collectstatic", interactive=False, verbosity=0)
    cast = make_cast()
    practice, station = make_practice_of_forty(cast)
    ids = {"practice": str(practice.pk), "station": str(station.pk)}
    serve(port, {"club": cast.club.slug, "session": session(cast.assistant), **ids})


if __name__ == "__main__":
    main(int(sys.argv[1]))
