"""What is done around a practice of the invented club: stations checked by name, who left with whom, what happened."""

from datetime import datetime, timedelta

from athletes.models import Athlete
from club.members import Member
from sessions.practices.actions import incidents, pick_up
from sessions.practices.actions.checks import check_station
from sessions.practices.core.checks import items_of
from sessions.practices.models import Incident, Practice, Station
from sessions.practices.queries.pick_up import athletes_there, collecting

CHECKED_BEFORE, A_CHILD, WRITTEN_AFTER = timedelta(minutes=6), timedelta(seconds=40), timedelta(minutes=25)
NEIGHBOUR = "Ada Thrift"
"""Who fetches the last one: a name that a guardian gave by phone."""
TWISTED = {
    "place": "Lane 2, beside the start mark",
    "happened": "Stepped beside the lane while walking back and turned the left ankle. Stopped at once.",
    "done": "Sat down, cold pack for ten minutes, walked without pain afterwards. No more drills that day.",
    "told": "Marta, by phone, before the end of practice",
    "witness": "Joren",
}


def check(*, by: Member, stations: list[Station], begins: datetime) -> None:
    """By the adult who runs it."""
    for station in stations:
        check_station(by=by, station=station, items=items_of(station.area.kind), now=begins - CHECKED_BEFORE)


def all_leave(*, by: Member, practice: Practice, ends: datetime) -> None:
    """One after the other, with a guardian; the last one with a neighbour."""
    there = athletes_there(by, practice)
    for number, athlete in enumerate(there):
        at = ends + number * A_CHILD
        _leaves(by, practice, athlete, at, last=number == len(there) - 1)


def _leaves(by: Member, practice: Practice, athlete: Athlete, at: datetime, last: bool) -> None:
    guardians = collecting(by, practice, athlete, at).guardians
    if last or not guardians:
        pick_up.leave_with_other(by=by, practice=practice, athlete=athlete, name=NEIGHBOUR, now=at)
    else:
        pick_up.leave_with_guardian(by=by, practice=practice, athlete=athlete, guardian=guardians[0], now=at)


def write_up(*, by: Member, practice: Practice, ends: datetime) -> None:
    """The record that the tap "injured" has opened."""
    for row in Incident.objects.for_member(by).filter(practice=practice).select_related("athlete"):
        incidents.add_entry(by=by, incident=row, now=ends + WRITTEN_AFTER, **TWISTED)
