"""What waits for a coach: rows that come and go with the events they are about, and stay once they are settled."""

from collections.abc import Iterable
from collections.abc import Set as AbstractSet
from uuid import UUID

from sessions.reps.actions.rows import Desk
from sessions.reps.core.holding import Pair
from sessions.reps.core.stored import Need, Stored
from sessions.reps.models import Event, NeedsLook

DERIVED = ("no_target", "no_rep", "second_correction", "does_not_fit", "not_yours")


def store(desk: Desk, events: dict[UUID, Stored], needed: Iterable[Need]) -> None:
    """Of these events, exactly the needed ones wait; what a coach has settled stays settled."""
    wanted = {(need.event, need.reason, need.target or need.event) for need in needed}
    there = _there(desk, events.keys() - desk.new.keys())
    stale = [row.pk for key, row in there.items() if key not in wanted and not row.settled_as]
    if stale:
        NeedsLook.objects.for_club(desk.practice.club).filter(pk__in=stale).delete()
    NeedsLook.objects.bulk_create(
        [
            _row(desk, desk.events[event], reason, target, is_unsafe(desk, desk.events[event]))
            for event, reason, target in sorted(wanted, key=str)
            if (event, reason, target) not in there
        ]
    )


def _there(desk: Desk, events: AbstractSet[UUID]) -> dict[tuple[UUID, str, UUID], NeedsLook]:
    if not events:
        return {}
    rows = NeedsLook.objects.for_club(desk.practice.club).filter(event__in=list(events), reason__in=DERIVED)
    return {(row.event, row.reason, row.target): row for row in rows}


def _row(desk: Desk, event: Event, reason: str, target: UUID, unsafe: bool) -> NeedsLook:
    desk.waiting[event.uuid] = reason
    return NeedsLook(
        club=desk.practice.club,
        practice=desk.practice,
        event=event.uuid,
        reason=reason,
        target=target,
        athlete_id=event.athlete_id,
        by_id=event.by_id,
        device_id=event.device_id,
        at=event.at,
        unsafe=unsafe,
    )


def is_unsafe(desk: Desk, event: Event) -> bool:
    """Whether the event says by itself that something was unsafe."""
    faults = event.content.get("faults", event.content.get("counts", ()))
    return bool(event.content.get("unsafe")) or desk.rows.values.unsafe(frozenset(faults))


def keep(desk: Desk, kept: Iterable[tuple[Event, str]]) -> None:
    """Events that make nothing until a coach lets them in, with why."""
    NeedsLook.objects.bulk_create([_row(desk, e, reason, e.target, is_unsafe(desk, e)) for e, reason in kept])


def settled_pairs(desk: Desk) -> set[Pair]:
    """Pairs of recordings that a coach has called two attempts."""
    rows = NeedsLook.objects.for_club(desk.practice.club).filter(
        practice=desk.practice, reason="two_devices", settled_as=NeedsLook.Settled.TWO
    )
    return set(rows.order_by().values_list("target", "event"))


def store_pairs(desk: Desk, sources: set[UUID], pairs: Iterable[tuple[Pair, UUID]]) -> None:
    """Of the recordings ``sources``, exactly these pairs (earlier, later) wait. Whether unsafe, their reps say."""
    club = desk.practice.club
    wanted = {pair: athlete for pair, athlete in pairs if set(pair) & sources}
    open_ = NeedsLook.objects.for_club(club).filter(practice=desk.practice, reason="two_devices", settled_as="")
    there = {(row.target, row.event): row for row in open_}
    stale = [row.pk for pair, row in there.items() if set(pair) & sources and pair not in wanted]
    if stale:
        open_.filter(pk__in=stale).delete()
    _add_pairs(desk, {pair: athlete for pair, athlete in wanted.items() if pair not in there})


def _add_pairs(desk: Desk, pairs: dict[Pair, UUID]) -> None:
    if not pairs:
        return
    later = [pair[1] for pair in pairs]
    events = {e.uuid: e for e in Event.objects.for_club(desk.practice.club).filter(uuid__in=later)}
    made = []
    for (earlier, late), athlete in sorted(pairs.items(), key=str):
        row = _row(desk, events[late], "two_devices", earlier, unsafe=False)
        row.athlete_id = athlete
        made.append(row)
    NeedsLook.objects.bulk_create(made, ignore_conflicts=True)
