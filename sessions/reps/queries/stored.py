"""Stored events read back as values, with all that speak of each other."""

from collections import defaultdict
from collections.abc import Collection, Iterable, Mapping
from datetime import datetime
from typing import Any
from uuid import UUID

from django.db.models import F, QuerySet

from athletes.core.sequence import Place
from sessions.practices.models import Practice
from sessions.reps.core.events import Content, Kind, SetOfReps, read_content
from sessions.reps.core.identity import set_rep
from sessions.reps.core.stored import Stored
from sessions.reps.models import Event, NeedsLook, Rep

GATES = frozenset({"far_from_practice", "before_joined", "after_left"})
"""An event with one of these makes nothing until a coach accepts it."""


NOTHING_NEW: Mapping[UUID, Any] = {}


def events_of(practice: Practice) -> QuerySet[Event]:
    return Event.objects.for_club(practice.club).filter(practice=practice).select_related("device")


def with_relatives(practice: Practice, rows: Iterable[Event], touched: Collection[UUID] = ()) -> dict[UUID, Event]:
    """The events, those that they speak of, and all that speak of any of these."""
    found = {row.uuid: row for row in rows}
    _add_targets(practice, found, set(touched))
    _add_speakers(practice, found)
    return found


def _add_targets(practice: Practice, found: dict[UUID, Event], touched: set[UUID]) -> None:
    """Up: from what speaks to what is spoken of; a set's rep stands for its set. At most three steps."""
    wanted = (touched | {row.target for row in found.values()}) - set(found)
    seen: set[UUID] = set()
    while wanted := wanted - seen:
        seen |= wanted
        above = {row.uuid: row for row in events_of(practice).filter(uuid__in=wanted)}
        of_sets = Rep.objects.for_club(practice.club).filter(practice=practice, uuid__in=wanted, place_in_set__gt=0)
        sources = set(of_sets.values_list("source", flat=True))
        found |= above
        wanted = (sources | {row.target for row in above.values()}) - set(found)


def _add_speakers(practice: Practice, found: dict[UUID, Event]) -> None:
    """Down: voids, corrections and looks of what was found, then voids and corrections of those."""
    fresh = dict(found)
    while fresh:
        names = {uuid for row in fresh.values() for uuid in _names(row)}
        rows = events_of(practice).filter(target__in=names)
        fresh = {row.uuid: row for row in rows if row.uuid not in found}
        found |= fresh


def _names(row: Event) -> list[UUID]:
    """The uuids under which others may speak of it."""
    if row.kind != Kind.SET:
        return [row.uuid]
    return [row.uuid, *(set_rep(row.uuid, place) for place in range(1, row.content["done"] + 1))]


def unnamed_looks(practice: Practice, athletes: Collection[UUID], since: datetime, until: datetime) -> list[Event]:
    """Looks that name no rep, of these athletes in that time."""
    rows = events_of(practice).filter(kind=Kind.LOOK, target=F("uuid"))
    return list(rows.filter(athlete__in=athletes, at__range=(since, until)))


Said = Collection[tuple[str, str]]
"""What a coach was asked about an event, and how it was settled: pairs of reason and answer."""


def as_stored(
    practice: Practice,
    rows: Iterable[Event],
    new: Mapping[UUID, Content] = NOTHING_NEW,
    waiting: Mapping[UUID, str] = NOTHING_NEW,
) -> dict[UUID, Stored]:
    """The events as values, with what coaches have said of them. One query, unless all are new.

    new: what those say that were stored just now. waiting: why a coach has to let them in, if so.
    """
    rows = list(rows)
    said: defaultdict[UUID, set[tuple[str, str]]] = defaultdict(set)
    attached: dict[UUID, UUID] = {}
    if old := [row.uuid for row in rows if row.uuid not in new]:
        needs = NeedsLook.objects.for_club(practice.club).filter(event__in=old).order_by()
        for event, reason, settled, rep in needs.values_list("event", "reason", "settled_as", "attached_to"):
            said[event].add((reason, settled))
            if rep:
                attached[event] = rep
    for event in new.keys() & waiting.keys():
        said[event].add((waiting[event], ""))
    return {row.uuid: _as_value(practice, row, said[row.uuid], attached.get(row.uuid), new) for row in rows}


def _as_value(practice: Practice, row: Event, said: Said, attached: UUID | None, new: Mapping[UUID, Content]) -> Stored:
    return Stored(
        uuid=row.uuid,
        kind=Kind(row.kind),
        place=Place(practice.day, row.at, str(row.device.uuid), row.sequence, row.uuid),
        by=row.by_id,
        content=new.get(row.uuid) or read_content(row.kind, row.content),
        corrects_others=row.corrects_others or ("not_yours", "accepted") in said,
        brings_back=row.brings_back,
        blocked=any(_blocks(reason, settled) for reason, settled in said),
        attached=attached,
    )


def _blocks(reason: str, settled: str) -> bool:
    if reason in GATES:
        return settled != NeedsLook.Settled.ACCEPTED
    return settled in {NeedsLook.Settled.DROPPED, NeedsLook.Settled.OWN} and reason != NeedsLook.Reason.CONFLICT


def makes_reps(event: Stored) -> bool:
    return event.kind is Kind.REP or isinstance(event.content, SetOfReps)
