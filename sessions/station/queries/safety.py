"""What whoever stands at a station must not miss: how many adults are here, and whether the place was checked."""

from dataclasses import dataclass

from club.members import Member
from club.roles import Permission
from sessions.practices.models import Station
from sessions.practices.queries.checks import StationLine, station_line
from sessions.station.queries.rows import floor_only


@dataclass(frozen=True, slots=True)
class Safety:
    """floor_only: fewer than two adults are checked in."""

    floor_only: bool
    line: StationLine
    may_check: bool


def safety(member: Member, station: Station) -> Safety:
    """Four queries, and the practice and place of the station where they were not read yet."""
    return Safety(
        floor_only(member, station.practice), station_line(member, station), member.may(Permission.PRACTICE_RUN)
    )
