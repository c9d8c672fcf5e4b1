"""Lists for pages. Figures about the past are not made here: they come from the day counts."""

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import datetime
from uuid import UUID

from django.db.models import Count, Prefetch, Q, QuerySet

from athletes.models import Athlete
from club.members import Member
from sessions.practices.models import Practice, Station
from sessions.reps.models import Hold, Look, LookFault, NeedsLook, Rep

PAGE = 50
Cursor = tuple[datetime, int]
"""Time and row id of the last rep shown."""


@dataclass(frozen=True, slots=True)
class Page:
    """Some reps, the latest first. next: hand it in for the page after, None on the last one."""

    reps: list[Rep]
    next: Cursor | None


def reps_of_practice(member: Member, practice: Practice, after: Cursor | None = None, size: int = PAGE) -> Page:
    """The reps of one practice, void and waiting ones too."""
    return _page(Rep.objects.for_member(member).filter(practice=practice), after, size)


def reps_of_athlete(member: Member, athlete: Athlete, after: Cursor | None = None, size: int = PAGE) -> Page:
    """The reps of one athlete over all practices, void and waiting ones too."""
    return _page(Rep.objects.for_member(member).filter(athlete=athlete), after, size)


def _page(reps: QuerySet[Rep], after: Cursor | None, size: int) -> Page:
    if after:
        reps = reps.filter(Q(at__lt=after[0]) | Q(at=after[0], pk__lt=after[1]))
    found = list(reps.select_related("athlete__person", "drill", "station__area").order_by("-at", "-pk")[: size + 1])
    shown = found[:size]
    return Page(shown, (shown[-1].at, shown[-1].pk) if len(found) > size else None)


def deciding_looks(member: Member, reps: Iterable[Rep]) -> dict[int, Look]:
    """The deciding look of each of these reps by the rep's row id, with ``watch_set.checkpoints`` and ``faults``."""
    faults = Prefetch("faults", LookFault.objects.for_member(member).select_related("fault", "checkpoint"))
    rows = Look.objects.for_member(member).filter(rep__in=[rep.pk for rep in reps], deciding=True)
    looks = rows.select_related("observer", "watch_set").prefetch_related(faults, "watch_set__checkpoints")
    return {look.rep_id: look for look in looks}


def turns_done(member: Member, station: Station) -> dict[UUID, int]:
    """How many reps at this station count, by athlete. A helper asks for the station they stand at."""
    seen = Station.objects.for_member(member).filter(pk=station.pk)
    rows = Rep.objects.for_club(member.club).filter(station__in=seen, state=Rep.State.COUNTS)
    return dict(rows.values_list("athlete_id").annotate(Count("pk")).order_by())


def holds(member: Member, practice: Practice) -> list[Hold]:
    """The stations of this practice that are held now, by whom and on which device."""
    seen = Station.objects.for_member(member).filter(practice=practice)
    rows = Hold.objects.for_club(member.club).filter(station__in=seen, until__isnull=True)
    return list(rows.select_related("station__area", "device", "person").order_by("since"))


def needs_a_look(member: Member, practice: Practice | None = None) -> QuerySet[NeedsLook]:
    """What waits for a coach, of one practice or of all, unsafe things first."""
    rows = NeedsLook.objects.for_member(member).filter(settled_as="")
    if practice:
        rows = rows.filter(practice=practice)
    return rows.select_related("practice", "athlete__person", "by", "device").order_by("-unsafe", "at")
