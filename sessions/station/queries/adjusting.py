"""What can be adjusted at a station, what helps which fault, and what is in use for an athlete today already."""

from collections import defaultdict
from collections.abc import Collection
from dataclasses import dataclass, field
from uuid import UUID

from athletes.models import Athlete
from club.members import Member
from drills.models import Adjustment, Remedy
from sessions.practices.models import Practice
from sessions.reps.models import AdjustmentUsed


@dataclass(frozen=True, slots=True)
class Used:
    """An adjustment in use. uuid: of the event that said so, by which it is taken back."""

    key: str
    uuid: UUID


@dataclass(frozen=True, slots=True)
class Adjusting:
    """everything: of the catalogue, in its order. mends: fault → keys of what helps it. used: by athlete."""

    everything: tuple[Adjustment, ...] = ()
    mends: dict[str, list[str]] = field(default_factory=dict)
    used: dict[UUID, list[Used]] = field(default_factory=dict)


def adjusting(member: Member, practice: Practice, athletes: Collection[Athlete], faults: Collection[str]) -> Adjusting:
    """For coaches. Three queries, whatever was done before."""
    everything = Adjustment.objects.for_member(member).filter(retired=False)
    mends: dict[str, list[str]] = defaultdict(list)
    remedies = Remedy.objects.for_member(member).filter(fault__key__in=faults, adjustment__retired=False)
    for fault, adjustment in remedies.values_list("fault__key", "adjustment__key"):
        mends[fault].append(adjustment)
    used: dict[UUID, list[Used]] = defaultdict(list)
    rows = AdjustmentUsed.objects.for_member(member).filter(practice=practice, athlete__in=list(athletes))
    for row in rows.select_related("adjustment").order_by("at", "pk"):
        if row.adjustment.key not in {one.key for one in used[row.athlete_id]}:
            used[row.athlete_id].append(Used(row.adjustment.key, row.uuid))
    return Adjusting(tuple(everything), dict(mends), dict(used))
