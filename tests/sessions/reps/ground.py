"""A practice with a station, drills and people, events as a tablet would send them, and the rows they come to."""

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import datetime, timedelta
from typing import Any
from uuid import UUID, uuid4

from club.models import Duty
from drills.models import Checkpoint, Drill, Fault
from sessions.practices.models import Attendance, Practice, Station
from sessions.reps.actions import Answer, take_events
from sessions.reps.models import AdjustmentUsed, Event, Hold, Look, NeedsLook, Rep, RepNote
from tests.builders import (
    Cast,
    aware,
    make_adjustment,
    make_cast,
    make_checkpoint,
    make_drill,
    make_practice,
    make_squad,
    make_station,
)

TABLET, SECOND = UUID(int=0xA), UUID(int=0xB)
Sent = dict[str, Any]


@dataclass(frozen=True, slots=True)
class Ground:
    """``drop`` offers timing (its gate), and feet, on which jumping is unsafe; ``wall`` is a contact drill."""

    cast: Cast
    practice: Practice
    station: Station
    other_station: Station
    timing: Checkpoint
    feet: Checkpoint
    drop: Drill
    walk: Drill
    wall: Drill

    @property
    def at(self) -> datetime:
        return aware(self.practice.day)

    def rep(self, seconds: float = 0, **changes: Any) -> Sent:
        said = {
            "kind": "rep",
            "athlete": self.cast.vaulter.pk,
            "drill": "drop",
            "station": self.station.pk,
            "watched": ["timing"],
            "faults": [],
        }
        return self.event(seconds, **{**said, **changes})

    def set(self, seconds: float = 0, **changes: Any) -> Sent:
        said = {
            "kind": "set",
            "athlete": self.cast.vaulter.pk,
            "drill": "drop",
            "station": self.station.pk,
            "done": 5,
            "watch_set": ["timing"],
            "watched": 4,
            "faulty": 2,
            "counts": {"timing-late": 1},
        }
        return self.event(seconds, **{**said, **changes})

    def look(self, seconds: float = 0, **changes: Any) -> Sent:
        said: Sent = {"kind": "look", "watched": ["timing"], "faults": ["timing-late"]}
        if "target" not in changes:
            said |= {"athlete": self.cast.vaulter.pk, "drill": "drop"}
        return self.event(seconds, **{**said, **changes})

    def void(self, target: Sent | UUID | str, seconds: float = 600, **changes: Any) -> Sent:
        return self.event(seconds, kind="void", target=_uuid(target), **changes)

    def correct(self, target: Sent | UUID | str, seconds: float = 600, **changes: Any) -> Sent:
        return self.event(seconds, kind="correction", target=_uuid(target), **changes)

    def event(self, seconds: float, **said: Any) -> Sent:
        """JSON of one event; fields given as None are left out."""
        moment = self.at + timedelta(seconds=seconds)
        values = {"uuid": uuid4(), "at": moment.isoformat(), "sequence": int(seconds) + 1000, **said}
        return {k: str(v) if isinstance(v, UUID) else v for k, v in values.items() if v is not None}

    def batch(self, *sent: Any, device: UUID = TABLET, **changes: Any) -> Sent:
        later = self.at + timedelta(hours=1)
        return {
            "version": 1,
            "device": {"uuid": str(device), "name": "Tablet"},
            "sent_at": later.isoformat(),
            "events": list(sent),
            **changes,
        }

    def send(self, *sent: Any, by: Any = None, device: UUID = TABLET, received_at: datetime | None = None) -> Answer:
        return take_events(
            by=by or self.cast.assistant,
            practice=self.practice,
            batch=self.batch(*sent, device=device),
            received_at=received_at or self.at + timedelta(hours=1),
        )

    def states(self, *sent: Any, **how: Any) -> list[tuple[str, str]]:
        return [(result.state, result.reason) for result in self.send(*sent, **how).results]


def _uuid(target: Sent | UUID | str) -> str:
    return str(target["uuid"] if isinstance(target, dict) else target)


def make_ground(**of_practice: Any) -> Ground:
    cast = make_cast()
    club = cast.club
    timing = make_checkpoint(club, key="timing")
    feet = make_checkpoint(club, faults=("bent",), key="feet")
    Fault.objects.create(
        club=club, checkpoint=feet, key="feet-jumps", name="jumps", label="jumps", kind="other", unsafe=True
    )
    elsewhere = make_checkpoint(club, key="elsewhere")
    make_adjustment(club)
    drop = make_drill(club, gate=(timing,), offers=(feet,), key="drop")
    squad = make_squad(club, cast.vaulter, cast.team_mate)
    practice = make_practice(club, squads=[squad], **of_practice)
    return Ground(
        cast=cast,
        practice=practice,
        station=make_station(practice, run_by=cast.helper.person),
        other_station=make_station(practice),
        timing=timing,
        feet=feet,
        drop=drop,
        walk=make_drill(club, gate=(timing,), offers=(elsewhere,), key="walk"),
        wall=make_drill(club, gate=(feet,), key="wall", risk="contact", adult="contact"),
    )


def derived() -> dict[str, list[tuple[Any, ...]]]:
    """All derived rows, without what only counts rows or says when they were written."""
    reps = Rep.objects.values_list(
        "uuid", "athlete", "drill__key", "station", "day", "at", "device__uuid", "sequence", "source", "place_in_set",
        "unsafe", "state",
    )  # fmt: skip
    looks = [
        (
            look.uuid, look.rep.uuid, look.observer_id, look.device.uuid, look.deciding, look.unnamed_fault,
            look.unsafe, look.at,
            tuple(sorted(c.key for c in look.watch_set.checkpoints.all())),
            tuple(sorted((f.fault.key, f.checkpoint.key, f.inside) for f in look.faults.all())),
        )
        for look in Look.objects.select_related("rep", "device", "watch_set").prefetch_related(
            "watch_set__checkpoints", "faults__fault", "faults__checkpoint"
        )
    ]  # fmt: skip
    return {
        "reps": _sorted(reps),
        "looks": _sorted(looks),
        "notes": _sorted(RepNote.objects.values_list("uuid", "athlete", "by", "reader", "text", "at")),
        "adjustments": _sorted(AdjustmentUsed.objects.values_list("uuid", "athlete", "drill", "adjustment__key", "by")),
        "holds": _sorted(Hold.objects.values_list("source", "station", "device__uuid", "person", "since", "until")),
        "attendance": _sorted(Attendance.objects.values_list("athlete", "state", "at")),
        "needs": _sorted(
            NeedsLook.objects.values_list("event", "reason", "target", "athlete", "by", "at", "unsafe", "settled_as")
        ),
    }


def _sorted(rows: Iterable[tuple[Any, ...]]) -> list[tuple[Any, ...]]:
    return sorted(rows, key=repr)


def dump() -> dict[str, Any]:
    """Everything that an event may change."""
    events = _sorted(Event.objects.values_list("uuid", "content_hash", "at", "received_at"))
    duties = _sorted(Duty.objects.values_list("kind", "key", "asked"))
    return {**derived(), "events": events, "duties": duties}
