"""Who goes first: the order of turns at each station in each block."""

from collections import defaultdict
from collections.abc import Sequence

from athletes.models import Athlete
from club.members import Member
from sessions.practices.actions.plan import _holding
from sessions.practices.models import Assignment, Practice


def move_up(*, by: Member, practice: Practice, assignment: Assignment, first: bool = False) -> None:
    """One place further ahead in the queue, or to its head. Whoever is first already stays."""
    with _holding(by, practice) as row:
        queues = _queues(by, row)
        queue = next((found for found in queues if any(one.pk == assignment.pk for one in found)), [])
        at = next((place for place, one in enumerate(queue) if one.pk == assignment.pk), 0)
        if at:
            queue.insert(0 if first else at - 1, queue.pop(at))
            _store(queue)


def left_handers_together(*, by: Member, practice: Practice) -> None:
    """In each queue behind the others, in the order in which they stood: marks and coach change sides once."""
    with _holding(by, practice) as row:
        for queue in _queues(by, row):
            _store(sorted(queue, key=lambda one: one.athlete.hand == Athlete.Hand.LEFT))


def _queues(by: Member, practice: Practice) -> list[list[Assignment]]:
    """Those with one drill or activity at one station in one block, in order."""
    rows = Assignment.objects.for_member(by).filter(block__practice=practice).select_related("athlete")
    queues: dict[object, list[Assignment]] = defaultdict(list)
    for one in rows.order_by("block__number", "order", "pk"):
        queues[one.block_id, one.station_id].append(one)
    return list(queues.values())


def _store(queue: Sequence[Assignment]) -> None:
    for place, one in enumerate(queue, 1):
        one.order = place
    Assignment.objects.bulk_update(queue, ["order"])
