"""One practice that runs now, with a station, the shipped catalogue and four athletes."""

from dataclasses import dataclass
from datetime import datetime, time, timedelta
from typing import Any

from athletes.models import Athlete
from club.clock import club_now
from drills.models import Drill
from drills.shipped import load_shipped_catalogue
from sessions.practices.models import Assignment, Block, Practice, Station
from tests.builders import Cast, make_area, make_athlete, make_block, make_person, make_practice, make_station


@dataclass(frozen=True, slots=True)
class StationWorld:
    practice: Practice
    station: Station
    block: Block
    athletes: dict[str, Athlete]

    @property
    def address(self) -> str:
        return f"/c/{self.practice.club.slug}/station/{self.station.pk}/"


def make_station_world(cast: Cast, drill: str = "running-drop-and-plant", **station: Any) -> StationWorld:
    """Nandi, Eero, Saoirse and Amara do one drill at one station, in that order, in a block that runs now."""
    load_shipped_catalogue(cast.club)
    practice = practice_now(cast)
    place = make_station(practice, area=make_area(practice.venue, name="Smooth floor"), **station)
    block = make_block(practice, minutes=59)
    athletes = {"Nandi": cast.vaulter, "Eero": cast.team_mate}
    for given, family in (("Saoirse", "Mallow"), ("Amara", "Dune")):
        person = make_person(cast.club, "athlete", given_name=given, family_name=family)
        athletes[given] = make_athlete(cast.club, person)
    done = Drill.objects.get(club=cast.club, key=drill)
    for order, athlete in enumerate(athletes.values()):
        Assignment.objects.create(club=cast.club, block=block, station=place, athlete=athlete, drill=done, order=order)
    return StationWorld(practice, place, block, athletes)


def practice_now(cast: Cast, **overrides: Any) -> Practice:
    """A practice of today that began up to half an hour ago, on the club's clock."""
    now = club_now(cast.club)
    midnight = datetime.combine(now.date(), time(0), now.tzinfo)
    starts = max(midnight, now - timedelta(minutes=30))
    values = {"day": now.date(), "starts": starts.time().replace(microsecond=0), "ends": time(23, 59, 59)}
    return make_practice(cast.club, published_at=now, **{**values, **overrides})
