"""After events were stored: derives the rows of everything they touch, from all stored events that bear on it.

What a rep becomes depends on its own event, on what speaks of it, on other reps of the athlete within 60 s, and on
who held which station. These are read again each time, under the practice's lock; so rows come out the same whatever
order the events came in.
"""

from collections.abc import Iterable
from dataclasses import dataclass, replace
from datetime import datetime
from uuid import UUID

from athletes.core.sequence import Place
from sessions.practices.models import Attendance, Practice, Station
from sessions.reps.actions import needs, rows
from sessions.reps.actions.rows import Desk
from sessions.reps.core import holding
from sessions.reps.core.derive import NEAR, Derived, LookValue, Spot, derive, nearest
from sessions.reps.core.events import Kind
from sessions.reps.core.holding import HoldSpan
from sessions.reps.core.stored import Need, Stored, sort_out
from sessions.reps.models import AdjustmentUsed, Device, Event, Hold, Rep, RepNote
from sessions.reps.queries import stored
from sessions.reps.queries.known import adjustments

LIVE_MARKS = frozenset({Kind.REP, Kind.SET, Kind.LOOK})
ATTENDS = frozenset({Kind.ATTENDANCE, Kind.OUT_OF_PRACTICE})
HOLDS = frozenset({Kind.HOLD, Kind.RELEASE})


@dataclass(frozen=True, slots=True)
class Region:
    """Where reps may bear on each other: these athletes (None: all), from ``since`` to ``until``."""

    athletes: frozenset[UUID] | None
    since: datetime
    until: datetime

    def wider(self, times: int) -> "Region":
        return replace(self, since=self.since - times * NEAR, until=self.until + times * NEAR)

    def has(self, at: datetime) -> bool:
        return self.since <= at <= self.until


def rederive(desk: Desk, touched: Iterable[Event]) -> set[str]:
    """Derives all that these events bear on; the keys of the ``day_counts`` duties to leave."""
    practice = desk.practice
    desk.events = stored.with_relatives(practice, touched)
    region = _region(desk.events.values())
    if region:
        near = region.wider(1)
        looks = stored.unnamed_looks(practice, near.athletes or (), near.since, near.until)
        if any(look.uuid not in desk.events for look in looks):
            desk.events |= stored.with_relatives(practice, looks)
    events = stored.as_stored(practice, desk.events.values(), desk.new, desk.waiting)
    derived = derive(events, sort_out(events), desk.rows.values)
    holds_changed = _holds(desk, events)
    _notes(desk, events)
    _adjustments(desk, events)
    _attendance(desk, events)
    _reps(desk, events, derived, _everything(practice, region) if holds_changed else region)
    return desk.keys


def _region(events: Iterable[Event]) -> Region | None:
    """The athletes that any of the events names, while reps and looks among them were made."""
    events = list(events)
    times = rows.window(event.at for event in events if event.kind in LIVE_MARKS)
    athletes = frozenset(event.athlete_id for event in events if event.athlete_id)
    return Region(athletes, *times) if times else None


def _everything(practice: Practice, region: Region | None) -> Region | None:
    """All reps of the practice, those still to be written (in ``region``) among them."""
    reps = Rep.objects.for_club(practice.club).filter(practice=practice)
    ends = [reps.order_by(way).values_list("at", flat=True).first() for way in ("at", "-at")]
    times = rows.window([at for at in ends if at] + ([region.since, region.until] if region else []))
    return Region(None, *times) if times else None


def _reps(desk: Desk, events: dict[UUID, Stored], derived: Derived, region: Region | None) -> None:
    stations = _stations(desk) if derived.reps else frozenset()
    written = rows.write_reps(desk, derived.reps, stations)
    if desk.only_new_reps and not (region and _others_near(desk, region.wider(1))):
        return
    spans = _spans(desk.practice)
    unnamed = [look for look in derived.looks if look.rep is None]
    near = _near(desk.practice, region) if region and (spans or unnamed) else []
    lacking = _looks(desk, events, derived, written, near)
    if region and spans:
        _contests(desk, region.wider(1), near, spans)
    needs.store(desk, events, [*derived.needs, *lacking])


def _stations(desk: Desk) -> frozenset[UUID]:
    """Stations may have been taken out of the plan since."""
    if desk.stations is not None:
        return desk.stations
    found = Station.objects.for_club(desk.practice.club).filter(practice=desk.practice).order_by()
    return frozenset(found.values_list("pk", flat=True))


def _others_near(desk: Desk, region: Region) -> bool:
    """Whether another device has logged one of these athletes there. Without one no new rep can be contested, and what
    was contested before stays so."""
    found = Rep.objects.for_club(desk.practice.club).filter(
        practice=desk.practice, athlete__in=region.athletes or (), at__range=(region.since, region.until)
    )
    return found.exclude(device__in={event.device_id for event in desk.events.values()}).exists()


def _near(practice: Practice, region: Region) -> list[Rep]:
    """Reps far enough around that those of the region and their neighbours are judged whole."""
    wide = region.wider(2)
    found = Rep.objects.for_club(practice.club).filter(practice=practice, at__range=(wide.since, wide.until))
    if wide.athletes is not None:
        found = found.filter(athlete__in=wide.athletes)
    return list(found.select_related("drill", "device"))


def _spot(rep: Rep) -> Spot:
    place = Place(rep.day, rep.at, str(rep.device.uuid), rep.sequence, rep.source, rep.place_in_set)
    return Spot(rep.uuid, rep.source, place, rep.athlete_id, rep.drill.key, rep.station_id)


def _looks(
    desk: Desk, events: dict[UUID, Stored], derived: Derived, written: dict[UUID, Rep], near: list[Rep]
) -> list[Need]:
    """Writes other observers' looks and what they say of safety; the looks that found no rep."""
    uuids = [event.uuid for event in events.values() if event.kind is Kind.LOOK]
    if not uuids:
        return []
    spots = {_spot(rep): rep.pk for rep in near if rep.state != Rep.State.VOID}
    attached = _attached(desk, derived.looks)
    matched: list[tuple[LookValue, int]] = []
    lacking = []
    for look in derived.looks:
        rep = attached.get(look.attached) if look.attached else _rep_of(look, written, spots)
        if rep is None:
            lacking.append(Need(look.uuid, "no_rep", look.uuid))
        else:
            matched.append((look, rep))
    touched = rows.write_looks(desk, uuids, matched)
    rows.mark_unsafe(desk, touched | {rep.pk for rep in written.values()})
    return lacking


def _attached(desk: Desk, looks: Iterable[LookValue]) -> dict[UUID, int]:
    """The reps to which a coach has attached looks, by uuid."""
    wanted = [look.attached for look in looks if look.attached]
    if not wanted:
        return {}
    rows = Rep.objects.for_club(desk.practice.club).filter(practice=desk.practice, uuid__in=wanted)
    return dict(rows.exclude(state=Rep.State.VOID).values_list("uuid", "pk"))


def _rep_of(look: LookValue, written: dict[UUID, Rep], spots: dict[Spot, int]) -> int | None:
    if look.rep:
        return written[look.rep].pk
    spot = nearest(look, spots)
    return spots[spot] if spot else None


def _contests(desk: Desk, region: Region, near: list[Rep], spans: list[HoldSpan]) -> None:
    """Which reps of the region wait for a coach to say one attempt or two."""
    settled = needs.settled_pairs(desk)
    spots = [_spot(rep) for rep in near if rep.state != Rep.State.VOID]
    pairs = holding.contested(spots, spans, settled)
    waiting = {(source, athlete) for pair, athlete in pairs for source in pair}
    inner = [rep for rep in near if region.has(rep.at)]
    states = {rep.pk: _state(rep, waiting) for rep in inner}
    rows.set_states(desk, inner, states)
    needs.store_pairs(desk, {rep.source for rep in inner}, pairs)


def _state(rep: Rep, waiting: set[tuple[UUID, UUID]]) -> str:
    if rep.state == Rep.State.VOID:
        return Rep.State.VOID
    return Rep.State.WAITS if (rep.source, rep.athlete_id) in waiting else Rep.State.COUNTS


def _spans(practice: Practice) -> list[HoldSpan]:
    found = Hold.objects.for_club(practice.club).filter(station__practice=practice).select_related("device")
    return [HoldSpan(h.source, h.station_id, str(h.device.uuid), h.person_id, h.since, h.until) for h in found]


def _holds(desk: Desk, events: dict[UUID, Stored]) -> bool:
    """Derives all holds of the practice if one was taken or released; whether they changed."""
    if not any(event.kind in HOLDS for event in events.values()):
        return False
    practice = desk.practice
    found = {row.uuid: row for row in stored.events_of(practice).filter(kind__in=HOLDS)}
    stations = _stations(desk)
    made = {
        s.source: s
        for s in holding.hold_spans(stored.as_stored(practice, found.values()).values())
        if s.station in stations
    }
    old = Hold.objects.for_club(practice.club).filter(station__practice=practice)
    old.exclude(source__in=list(made)).delete()
    Hold.objects.bulk_create(
        [_hold(practice, span, found[span.source].device) for span in made.values()],
        update_conflicts=True,
        unique_fields=["club", "source"],
        update_fields=["until"],
    )
    return True


def _hold(practice: Practice, span: HoldSpan, device: Device) -> Hold:
    return Hold(
        club=practice.club,
        station_id=span.station,
        device=device,
        person_id=span.person,
        since=span.since,
        until=span.until,
        source=span.source,
    )


def _notes(desk: Desk, events: dict[UUID, Stored]) -> None:
    """A note is there unless it was taken back."""
    notes = [event for event in events.values() if event.kind is Kind.NOTE]
    if not notes:
        return
    gone = sort_out(events).gone
    club = desk.practice.club
    RepNote.objects.for_club(club).filter(uuid__in=[n.uuid for n in notes if n.uuid in gone or n.blocked]).delete()
    standing = [_note(desk, note) for note in notes if note.uuid not in gone and not note.blocked]
    RepNote.objects.bulk_create(standing, ignore_conflicts=True)


def _note(desk: Desk, event: Stored) -> RepNote:
    row = desk.events[event.uuid]
    return RepNote(
        club=desk.practice.club,
        uuid=event.uuid,
        practice=desk.practice,
        athlete_id=row.athlete_id,
        by_id=row.by_id,
        reader=row.content["reader"],
        text=row.content["text"],
        at=row.at,
    )


def _adjustments(desk: Desk, events: dict[UUID, Stored]) -> None:
    """What was adjusted stands unless it was taken back."""
    said = [event for event in events.values() if event.kind is Kind.ADJUSTMENT]
    if not said:
        return
    gone, club = sort_out(events).gone, desk.practice.club
    away = [event.uuid for event in said if event.uuid in gone or event.blocked]
    AdjustmentUsed.objects.for_club(club).filter(uuid__in=away).delete()
    keys = adjustments(club, {desk.events[event.uuid].content["adjustment"] for event in said})
    standing = [_adjustment(desk, desk.events[event.uuid], keys) for event in said if event.uuid not in away]
    AdjustmentUsed.objects.bulk_create(standing, ignore_conflicts=True)


def _adjustment(desk: Desk, row: Event, keys: dict[str, int]) -> AdjustmentUsed:
    return AdjustmentUsed(
        club=desk.practice.club,
        uuid=row.uuid,
        practice=desk.practice,
        athlete_id=row.athlete_id,
        drill_id=desk.rows.drills[row.content["drill"]],
        adjustment_id=keys[row.content["adjustment"]],
        by_id=row.by_id,
        at=row.at,
    )


def _attendance(desk: Desk, events: dict[UUID, Stored]) -> None:
    """Who is there, from all attendance events of each athlete concerned."""
    athletes = {desk.events[e.uuid].athlete_id for e in events.values() if e.kind in ATTENDS}
    if not athletes:
        return
    practice = desk.practice
    found = list(stored.events_of(practice).filter(kind__in=ATTENDS, athlete__in=athletes))
    values = stored.as_stored(practice, found)
    standing = {
        athlete: holding.attendance(values[r.uuid] for r in found if r.athlete_id == athlete) for athlete in athletes
    }
    Attendance.objects.bulk_create(
        [
            Attendance(club=practice.club, practice=practice, athlete_id=athlete, state=there.state, at=there.at)
            for athlete, there in standing.items()
            if there
        ],
        update_conflicts=True,
        unique_fields=["practice", "athlete"],
        update_fields=["state", "at"],
    )
