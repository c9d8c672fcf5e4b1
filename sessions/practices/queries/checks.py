"""Which stations were checked, which need it before they open, and what is broken."""

from collections.abc import Iterable
from dataclasses import dataclass

from django.db.models import Q

from club.members import Member
from club.models import Area, Venue
from drills.core.catalogue import AreaKind, RiskClass
from sessions.practices.core.checks import items_of
from sessions.practices.models import Assignment, KitFault, Practice, Station, StationCheck


@dataclass(frozen=True, slots=True)
class StationLine:
    """needs: somebody does a contact drill there. check: the one that stands, None before. broken: kit of its place."""

    station: Station
    needs: bool
    check: StationCheck | None
    broken: tuple[KitFault, ...] = ()

    @property
    def shut(self) -> bool:
        """It must not open before it was checked."""
        return self.needs and self.check is None

    @property
    def items(self) -> tuple[str, ...]:
        return items_of(self.station.area.kind)


def station_lines(member: Member, practice: Practice) -> list[StationLine]:
    """The stations of a practice that the member may see. Four queries."""
    stations = list(Station.objects.for_member(member).filter(practice=practice).select_related("area", "run_by"))
    return _lines(member, stations)


def station_line(member: Member, station: Station) -> StationLine:
    return _lines(member, [station])[0]


def _lines(member: Member, stations: list[Station]) -> list[StationLine]:
    contact = _with_contact(member, stations)
    rows = StationCheck.objects.for_club(member.club).filter(station__in=stations, ended_at__isnull=True)
    checks = {row.station_id: row for row in rows.select_related("by")}
    places = {row.area_id for row in stations}
    kit = list(KitFault.objects.for_club(member.club).filter(area__in=places, mended_at__isnull=True))
    return [
        StationLine(row, row.pk in contact, checks.get(row.pk), tuple(k for k in kit if k.area_id == row.area_id))
        for row in stations
    ]


def _with_contact(member: Member, stations: Iterable[Station]) -> set[object]:
    """Where a contact drill is planned, or was logged, or whose place is a box with its pit."""
    stations = list(stations)
    rows = Assignment.objects.for_club(member.club).filter(station__in=stations, drill__risk=RiskClass.CONTACT)
    planned = set(rows.order_by().values_list("station", flat=True))
    return planned | {row.pk for row in stations if row.area.kind == AreaKind.BOX}


def broken_kit(member: Member, venue: Venue) -> list[KitFault]:
    """Of the venue, what nobody has mended yet."""
    rows = KitFault.objects.for_member(member).filter(venue=venue, mended_at__isnull=True)
    return list(rows.select_related("area", "by"))


def areas(member: Member, practice: Practice) -> "Iterable[Area]":
    return Area.objects.for_member(member).filter(Q(venue=practice.venue_id))
