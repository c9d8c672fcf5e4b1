"""Puts derived values into rows. Rows of what is new are added in bulk; those that were there are written over."""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field
from datetime import datetime
from typing import Any
from uuid import UUID

from sessions.practices.models import Practice
from sessions.reps.core.derive import LookValue, RepValue
from sessions.reps.core.events import Content, Kind
from sessions.reps.core.identity import watch_set_digest
from sessions.reps.models import Device, Event, Look, LookFault, Rep, Watched, WatchSet
from sessions.reps.queries.known import CatalogueRows

WatchSets = Mapping[frozenset[str], int]
MAKE_REPS = frozenset({Kind.REP, Kind.SET})


@dataclass(slots=True)
class Desk:
    """What one derivation works with. keys: the duties it leaves.

    new: what the events say that were stored in this very transaction, all by one device. Nothing was derived from
    them yet, and what waits for a coach because of them was put there at this desk: ``waiting``, by event.
    stations: all of the practice's, if they are known.
    """

    practice: Practice
    rows: CatalogueRows
    events: dict[UUID, Event] = field(default_factory=dict)
    keys: set[str] = field(default_factory=set)
    new: Mapping[UUID, Content] = field(default_factory=dict)
    stations: frozenset[UUID] | None = None
    waiting: dict[UUID, str] = field(default_factory=dict)

    @property
    def only_new_reps(self) -> bool:
        """Whether there is nothing but reps and sets stored just now: no other event bears on them."""
        return all(row.kind in MAKE_REPS and uuid in self.new for uuid, row in self.events.items())

    def touch(self, rep: Rep) -> None:
        self.keys.add(f"{rep.athlete_id}/{rep.drill_id}/{rep.day.isoformat()}")

    def device(self, uuid: UUID) -> Device:
        return self.events[uuid].device


def watch_sets(desk: Desk, sets: Iterable[frozenset[str]]) -> WatchSets:
    """The row of each set of checkpoints, made if it is new. Two at once make one: the second finds the first's."""
    by_digest = {watch_set_digest(keys): keys for keys in sets}
    found = _watch_set_ids(desk, by_digest)
    missing = sorted(digest for digest in by_digest if digest not in found)
    if missing:
        club = desk.practice.club
        WatchSet.objects.bulk_create([WatchSet(club=club, digest=digest) for digest in missing], ignore_conflicts=True)
        found |= _watch_set_ids(desk, missing)
        Watched.objects.bulk_create(
            [
                Watched(club=club, watch_set_id=found[digest], checkpoint_id=desk.rows.checkpoints[key])
                for digest in missing
                for key in sorted(by_digest[digest])
            ],
            ignore_conflicts=True,
        )
    return {keys: found[digest] for digest, keys in by_digest.items()}


def _watch_set_ids(desk: Desk, digests: Iterable[str]) -> dict[str, int]:
    rows = WatchSet.objects.for_club(desk.practice.club).filter(digest__in=list(digests))
    return dict(rows.values_list("digest", "pk"))


def write_reps(desk: Desk, values: Iterable[RepValue], stations: frozenset[UUID]) -> dict[UUID, Rep]:
    """The rows of these reps with their deciding looks, by uuid. A rep's row is never deleted: it becomes void."""
    values = list(values)
    sets = watch_sets(desk, {value.marks.watched for value in values})
    there = {row.uuid: row for row in _rows_of(desk, values)}
    old = [(there[value.uuid], value) for value in values if value.uuid in there]
    for row, value in old:
        desk.touch(row)
        _fill(desk, row, value)
    Rep.objects.bulk_update([row for row, _ in old], ["athlete", "drill", "unsafe", "state"])
    fresh = [(_new_rep(desk, value, stations), value) for value in values if value.uuid not in there]
    Rep.objects.bulk_create([row for row, _ in fresh])
    for row, _ in (*old, *fresh):
        desk.touch(row)
    _rewrite_looks(desk, old, sets)
    _write_looks(desk, fresh, sets)
    return there | {row.uuid: row for row, _ in fresh}


def _rows_of(desk: Desk, values: list[RepValue]) -> Iterable[Rep]:
    sources = {value.source for value in values} - desk.new.keys()
    if not sources:
        return []
    return Rep.objects.for_club(desk.practice.club).filter(source__in=sources)


def _new_rep(desk: Desk, value: RepValue, stations: frozenset[UUID]) -> Rep:
    row = Rep(
        club=desk.practice.club,
        uuid=value.uuid,
        practice=desk.practice,
        station_id=value.station if value.station in stations else None,
        day=desk.practice.day,
        at=value.place.at,
        device=desk.device(value.source),
        sequence=value.place.sequence,
        source=value.source,
        place_in_set=value.index,
    )
    _fill(desk, row, value)
    return row


def _fill(desk: Desk, row: Rep, value: RepValue) -> None:
    """What corrections and voids may change. A rep that waits goes on waiting until the pairs are looked at."""
    row.athlete_id = value.marks.athlete
    row.drill_id = desk.rows.drills[value.marks.drill]
    row.unsafe = value.unsafe
    if value.void:  # for good: nothing takes a void back
        row.state = Rep.State.VOID


def _write_looks(desk: Desk, made: list[tuple[Rep, RepValue]], sets: WatchSets) -> None:
    looks = [_deciding(desk, row, value, sets) for row, value in made]
    Look.objects.bulk_create(looks)
    _write_faults(
        desk, [(look, value.marks.watched, value.marks.faults) for look, (_, value) in zip(looks, made, strict=True)]
    )


def _deciding(desk: Desk, row: Rep, value: RepValue, sets: WatchSets) -> Look:
    return Look(
        club=row.club,
        uuid=value.uuid,
        rep=row,
        observer_id=value.by,
        device=desk.device(value.source),
        watch_set_id=sets[value.marks.watched],
        deciding=True,
        unnamed_fault=value.marks.unnamed,
        unsafe=value.unsafe,
        at=value.place.at,
    )


def _rewrite_looks(desk: Desk, made: list[tuple[Rep, RepValue]], sets: WatchSets) -> None:
    """Corrects the live looks in place. Which look decides is not changed here."""
    values = {value.uuid: value for _, value in made}
    looks = list(Look.objects.for_club(desk.practice.club).filter(uuid__in=values)) if values else []
    for look in looks:
        value = values[look.uuid]
        look.watch_set_id, look.unsafe = sets[value.marks.watched], value.unsafe
        look.unnamed_fault = value.marks.unnamed
    Look.objects.bulk_update(looks, ["watch_set", "unsafe", "unnamed_fault"])
    if looks:
        LookFault.objects.for_club(desk.practice.club).filter(look__in=looks).delete()
    _write_faults(desk, [(look, values[look.uuid].marks.watched, values[look.uuid].marks.faults) for look in looks])


def _write_faults(desk: Desk, seen: Iterable[tuple[Look, frozenset[str], frozenset[str]]]) -> None:
    rows = [
        LookFault(
            club=desk.practice.club,
            look=look,
            fault_id=desk.rows.faults[fault],
            checkpoint_id=desk.rows.checkpoints[checkpoint],
            inside=checkpoint in watched,
        )
        for look, watched, faults in seen
        for fault in sorted(faults)
        if (checkpoint := desk.rows.values.checkpoint_of[fault])
    ]
    LookFault.objects.bulk_create(rows)


def write_looks(desk: Desk, uuids: Iterable[UUID], matched: list[tuple[LookValue, int]]) -> set[int]:
    """Other observers' looks: those under ``uuids`` are replaced by the matched ones. Ids of the reps concerned."""
    old = Look.objects.for_club(desk.practice.club).filter(uuid__in=list(uuids), deciding=False)
    touched = set(old.values_list("rep_id", flat=True)) | {rep for _, rep in matched}
    if touched:
        old.delete()
        sets = watch_sets(desk, {value.watched for value, _ in matched})
        looks = [_second(desk, value, rep, sets) for value, rep in matched]
        Look.objects.bulk_create(looks)
        _write_faults(desk, [(look, v.watched, v.faults) for look, (v, _) in zip(looks, matched, strict=True)])
    return touched


def _second(desk: Desk, value: LookValue, rep: int, sets: WatchSets) -> Look:
    return Look(
        club=desk.practice.club,
        uuid=value.uuid,
        rep_id=rep,
        observer_id=value.by,
        device=desk.device(value.uuid),
        watch_set_id=sets[value.watched],
        deciding=False,
        unsafe=value.unsafe,
        at=value.place.at,
    )


def mark_unsafe(desk: Desk, rep_ids: set[int]) -> None:
    """A rep is unsafe if one look at it says so."""
    if not rep_ids:
        return
    said = set(
        Look.objects.for_club(desk.practice.club).filter(rep__in=rep_ids, unsafe=True).values_list("rep_id", flat=True)
    )
    changed = [
        row for row in Rep.objects.for_club(desk.practice.club).filter(pk__in=rep_ids) if row.unsafe != (row.pk in said)
    ]
    _save(desk, changed, "unsafe", lambda row: row.pk in said)


def set_states(desk: Desk, reps: Iterable[Rep], states: Mapping[int, str]) -> None:
    changed = [row for row in reps if row.state != states[row.pk]]
    _save(desk, changed, "state", lambda row: states[row.pk])


def _save(desk: Desk, rows: list[Rep], name: str, value: Any) -> None:
    for row in rows:
        setattr(row, name, value(row))
        desk.touch(row)
    Rep.objects.bulk_update(rows, [name])


def window(rows: Iterable[datetime]) -> tuple[datetime, datetime] | None:
    moments = sorted(rows)
    return (moments[0], moments[-1]) if moments else None
