"""Many places of a plan at once, and places that stay whatever is planned anew."""

from collections.abc import Collection, Sequence
from dataclasses import dataclass, replace
from uuid import UUID

from club.members import Member
from sessions.practices.actions.plan import Put, _holding, _refuse, _rows, _words
from sessions.practices.core.rules import check, concerning
from sessions.practices.models import Assignment, Practice
from sessions.practices.queries.plan import as_plan, placing, read


@dataclass(frozen=True, slots=True)
class Exchanged:
    """taken: places that are gone, as they were. given: new ones. told: what the coach should know, in words."""

    taken: tuple[Assignment, ...]
    given: tuple[Assignment, ...]
    told: tuple[str, ...]


def exchange(*, by: Member, practice: Practice, taken: Collection[UUID], puts: Sequence[Put]) -> Exchanged:
    """Takes these places away, pinned ones excepted, and gives others: all or nothing. Raises PlanRefused."""
    with _holding(by, practice) as row:
        rows = read(by, row)
        gone = tuple(one for one in rows.assignments if one.pk in taken and not one.pinned)
        kept = [one for one in rows.assignments if one not in gone]
        new = tuple(placing for put in puts for placing in put.placings())
        after = replace(as_plan(rows), placings=(*map(placing, kept), *new))
        findings = concerning(check(after), new)
        _refuse(findings, after)
        Assignment.objects.for_member(by).filter(pk__in=[one.pk for one in gone]).delete()
        given = Assignment.objects.bulk_create(_in_order(by, kept, puts))
    return Exchanged(gone, tuple(given), _words(findings, after))


def _in_order(by: Member, kept: Sequence[Assignment], puts: Sequence[Put]) -> list[Assignment]:
    """Behind those who are at the same place in the block already."""
    last: dict[tuple[int, UUID | None], int] = {}
    for one in kept:
        last[one.block_id, one.station_id] = max(one.order, last.get((one.block_id, one.station_id), 0))
    made: list[Assignment] = []
    for put in puts:
        place = put.block.pk, put.station.pk if put.station else None
        made += _rows(by, put, last.get(place, 0) + 1)
        last[place] = made[-1].order if made else 0
    return made


def pin(*, by: Member, practice: Practice, assignment: Assignment, pinned: bool) -> None:
    """Whether the place stays when the plan is filled anew."""
    with _holding(by, practice):
        Assignment.objects.for_member(by).filter(pk=assignment.pk, block__practice=practice).update(pinned=pinned)
