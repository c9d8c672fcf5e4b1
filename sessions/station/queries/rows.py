"""Rows that pages of logging share: places at stations, spans of blocks, who is kept off a drill."""

from collections import defaultdict
from collections.abc import Iterable
from datetime import date, datetime, timedelta
from uuid import UUID
from zoneinfo import ZoneInfo

from django.db.models import QuerySet

from athletes.models import Athlete, Restriction
from club.members import Member
from drills.core.catalogue import RiskClass
from sessions.practices.core.clock import SkippedTime, instant
from sessions.practices.core.rules import ADULTS_ON_SITE
from sessions.practices.models import AdultPresence, Assignment, Block, Practice, Station
from sessions.station.core import FullName


def assigned(member: Member) -> QuerySet[Assignment]:
    """Places with a drill at stations that the member may see; floor drills only for one who sees just a station."""
    seen = Station.objects.for_member(member)
    rows = Assignment.objects.for_club(member.club).filter(station__in=seen, drill__isnull=False)
    if not member.sees_club:
        rows = rows.filter(drill__risk=RiskClass.FLOOR)
    return rows.select_related("athlete__person", "drill")


def excluded(member: Member, day: date, athletes: Iterable[Athlete]) -> dict[UUID, set[RiskClass]]:
    """Risk classes that a restriction in force excludes, by athlete. Only whether, never why."""
    rows = Restriction.objects.for_club(member.club).filter(athlete__in=list(athletes))
    found: dict[UUID, set[RiskClass]] = defaultdict(set)
    for row in rows.filter(Restriction.binding_on(day)):
        found[row.athlete_id] |= row.excluded
    return found


def full_name(athlete: Athlete) -> FullName:
    return FullName(athlete.person.given_name, athlete.person.family_name)


def zone(practice: Practice) -> ZoneInfo:
    return ZoneInfo(practice.zone)


def span(practice: Practice, block: Block) -> tuple[datetime, datetime]:
    """From when until when a block runs."""
    try:
        starts = instant(practice.day, block.starts, practice.zone)
    except SkippedTime:  # the hour that spring takes away: what was planned in it begins when the clocks go on
        starts = datetime.combine(practice.day, block.starts, zone(practice))
    return starts, starts + timedelta(minutes=block.minutes)


def floor_only(member: Member, practice: Practice) -> bool:
    """Fewer than two adults are checked in: nobody moves with a pole or meets anything solid."""
    rows = AdultPresence.objects.for_club(member.club).filter(practice=practice)
    return rows.filter(came_at__isnull=False, left_at__isnull=True).count() < ADULTS_ON_SITE
