"""What the ids inside posted events mean, to this member, in this practice. A fixed number of queries a batch."""

from collections.abc import Collection, Iterable
from dataclasses import dataclass
from datetime import date
from functools import reduce
from operator import or_
from uuid import UUID

from django.db.models import OuterRef, Q, Subquery, Value

from athletes.models import Athlete
from club.members import Member
from club.models import Club
from drills.models import Adjustment, CatalogueStamp, Checkpoint, Drill, DrillCheckpoint, Fault
from sessions.practices.models import Attendance, Practice, Station
from sessions.reps.core.events import Adjusted, Kind
from sessions.reps.core.events import Event as Sent
from sessions.reps.core.stored import Catalogue
from sessions.reps.models import Event, Rep


@dataclass(frozen=True, slots=True)
class CatalogueRows:
    """A club's catalogue by key, retired things included: what happened at a station stays recorded."""

    drills: dict[str, int]
    floor: frozenset[str]
    checkpoints: dict[str, int]
    faults: dict[str, int]
    values: Catalogue


STAMP_OF_CLUB = Subquery(CatalogueStamp.objects.filter(club=OuterRef("club")).values("stamp"))
"""To be asked for along with a row of the club's: the stamp of its catalogue."""
_kept: dict[UUID, tuple[UUID, CatalogueRows]] = {}
KEPT_CLUBS = 100


def catalogue_rows(club: Club, stamp: UUID | None) -> CatalogueRows:
    """What this process read of the catalogue while it had this stamp; else it is read. stamp: read before."""
    if stamp is None:
        return _read_catalogue(club)
    kept = _kept.get(club.pk)
    if kept is None or kept[0] != stamp:
        if len(_kept) >= KEPT_CLUBS:
            _kept.clear()
        kept = _kept[club.pk] = (stamp, _read_catalogue(club))
    return kept[1]


def _read_catalogue(club: Club) -> CatalogueRows:
    """Four queries of the catalogue's size."""
    drills = list(Drill.objects.for_club(club).order_by().values_list("key", "pk", "risk"))
    faults = list(Fault.objects.for_club(club).order_by().values_list("key", "pk", "checkpoint__key", "unsafe"))
    offers: dict[str, set[str]] = {}
    for drill, checkpoint in (
        DrillCheckpoint.objects.for_club(club).order_by().values_list("drill__key", "checkpoint__key")
    ):
        offers.setdefault(drill, set()).add(checkpoint)
    return CatalogueRows(
        drills={key: pk for key, pk, _ in drills},
        floor=frozenset(key for key, _, risk in drills if risk == "floor"),
        checkpoints=dict(Checkpoint.objects.for_club(club).order_by().values_list("key", "pk")),
        faults={key: pk for key, pk, _, _ in faults},
        values=Catalogue(
            offers={drill: frozenset(keys) for drill, keys in offers.items()},
            checkpoint_of={key: checkpoint for key, _, checkpoint, _ in faults},
            unsafe_faults=frozenset(key for key, _, _, unsafe in faults if unsafe),
        ),
    )


@dataclass(frozen=True, slots=True)
class Target:
    """An event that another one speaks of."""

    kind: str
    by: UUID
    practice: UUID


@dataclass(frozen=True, slots=True)
class Joined:
    """When an athlete joined, and left if they did."""

    joined_on: date
    left_on: date | None


@dataclass(frozen=True, slots=True)
class Known:
    """Everything that the checks of a batch ask for.

    out: since when those whose attendance it says are out of this practice. stations: those the member may name.
    """

    member: Member
    practice: Practice
    athletes: dict[UUID, Joined]
    out: dict[UUID, object]
    stations: frozenset[UUID]
    rows: CatalogueRows
    targets: dict[UUID, Target]
    adjustments: frozenset[str] = frozenset()


def known(member: Member, practice: Practice, sent: Collection[Sent], rows: CatalogueRows) -> Known:
    athletes = {event.athlete for event in sent if event.athlete}
    stations = Station.objects.for_member(member).filter(practice=practice)
    return Known(
        member=member,
        practice=practice,
        athletes=_athletes(member, practice, athletes),
        out=_out(practice, {event.athlete for event in sent if event.kind is Kind.ATTENDANCE and event.athlete}),
        stations=frozenset(stations.order_by().values_list("pk", flat=True)),
        rows=rows,
        targets=_targets(member.club, {event.target for event in sent if event.target != event.uuid}),
        adjustments=frozenset(adjustments(member.club, _adjustments_in(sent))),
    )


def _adjustments_in(sent: Iterable[Sent]) -> set[str]:
    return {event.content.adjustment for event in sent if isinstance(event.content, Adjusted)}


def adjustments(club: Club, keys: Collection[str]) -> dict[str, int]:
    """The rows of these adjustments of the catalogue, retired ones too, by key. No query for none."""
    if not keys:
        return {}
    return dict(Adjustment.objects.for_club(club).filter(key__in=keys).values_list("key", "pk"))


def _athletes(member: Member, practice: Practice, ids: Collection[UUID]) -> dict[UUID, Joined]:
    """A coach's: all of the club. A helper's: those of this practice."""
    if member.sees_club:
        rows = Athlete.objects.for_member(member)
    else:
        club = Athlete.objects.for_club(member.club)
        ways = (  # each on its own: joined together they would multiply everybody's history
            club.filter(squads__practices=practice),
            club.filter(attendances__practice=practice),
            club.filter(assignments__block__practice=practice),
        )
        rows = club.filter(reduce(or_, (Q(pk__in=way.values("pk")) for way in ways)))
    found = rows.filter(pk__in=ids).values_list("pk", "joined_on", "left_on")
    return {pk: Joined(joined, left) for pk, joined, left in found}


def _out(practice: Practice, ids: Collection[UUID]) -> dict[UUID, object]:
    if not ids:
        return {}
    rows = Attendance.objects.for_club(practice.club).filter(
        practice=practice, athlete__in=ids, state=Attendance.State.OUT
    )
    return dict(rows.values_list("athlete_id", "at"))


def _targets(club: Club, uuids: Collection[UUID]) -> dict[UUID, Target]:
    """Stored events by their uuid, and sets by the uuids of their reps."""
    if not uuids:
        return {}
    of_sets = dict(Rep.objects.for_club(club).filter(uuid__in=uuids, place_in_set__gt=0).values_list("uuid", "source"))
    rows = Event.objects.for_club(club).filter(uuid__in={*uuids, *of_sets.values()})
    found = {
        uuid: Target(kind, by, at) for uuid, kind, by, at in rows.values_list("uuid", "kind", "by_id", "practice_id")
    }
    return found | {rep: found[source] for rep, source in of_sets.items() if source in found}


def taken_uuids(club: Club, own: Iterable[UUID], sent: Iterable[UUID]) -> tuple[dict[UUID, str], set[UUID]]:
    """The content hashes of the events already stored under ``own``; those of ``sent`` that are a set's reps."""
    events = Event.objects.for_club(club).filter(uuid__in=set(own)).order_by()
    reps = Rep.objects.for_club(club).filter(uuid__in=set(sent), place_in_set__gt=0).order_by()
    found = events.values_list("uuid", "content_hash").union(reps.values_list("uuid", Value("")), all=True)
    rows = list(found)
    return {uuid: digest for uuid, digest in rows if digest}, {uuid for uuid, digest in rows if not digest}


LIVE = frozenset(Kind) - {Kind.VOID, Kind.CORRECTION, Kind.NOTE}
"""Kinds that are recorded while it happens. The others may well be written days later."""
