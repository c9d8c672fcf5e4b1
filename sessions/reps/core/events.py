"""Events as a device sends them: one frozen value a kind, read strictly from JSON, written back in one form only.

Format versions 1 and 2: the same events; from 2 on a batch names who recorded it. Unknown fields are refused, so
that nothing a newer client says is lost without a word.
"""

from collections.abc import Callable, Mapping
from dataclasses import dataclass, fields
from datetime import datetime
from enum import StrEnum
from typing import Any, TypeAlias
from uuid import UUID

from sessions.reps.core import reading
from sessions.reps.core.reading import Fields, Refused, a_bool, a_key, a_number, a_text, a_time, a_uuid

VERSION = 2
VERSIONS = (1, 2)
"""The version written now and the one before it: a tablet that was away while the app changed still sends."""
MOST_EVENTS = 200
MOST_REPS = 2000
MOST_IN_A_SET = 200
MOST_KEYS = 30
LONGEST_NOTE = 2000
LONGEST_NAME = 60
LAST_SEQUENCE = 2**31 - 1


class Kind(StrEnum):
    REP = "rep"
    SET = "set"
    LOOK = "look"
    VOID = "void"
    CORRECTION = "correction"
    HOLD = "hold"
    RELEASE = "release"
    ATTENDANCE = "attendance"
    OUT_OF_PRACTICE = "out_of_practice"
    NOTE = "note"
    ADJUSTMENT = "adjustment"


@dataclass(frozen=True, slots=True)
class RepMarks:
    athlete: UUID
    drill: str
    watched: frozenset[str]
    faults: frozenset[str]
    station: UUID | None = None
    unsafe: bool | None = None


@dataclass(frozen=True, slots=True)
class SetOfReps:
    """done ≥ watched ≥ faulty ≥ each count; ``counts`` by fault."""

    athlete: UUID
    drill: str
    done: int
    watch_set: frozenset[str]
    watched: int
    faulty: int
    counts: tuple[tuple[str, int], ...]
    station: UUID | None = None


@dataclass(frozen=True, slots=True)
class LookMarks:
    """Another observer's record: of the rep ``target``, else of the nearest rep of athlete, drill and station."""

    watched: frozenset[str]
    faults: frozenset[str]
    target: UUID | None = None
    athlete: UUID | None = None
    drill: str | None = None
    station: UUID | None = None
    unsafe: bool | None = None


@dataclass(frozen=True, slots=True)
class Void:
    target: UUID


@dataclass(frozen=True, slots=True)
class Correction:
    """What is to stand instead; None leaves it as it was."""

    target: UUID
    athlete: UUID | None = None
    drill: str | None = None
    watched: frozenset[str] | None = None
    faults: frozenset[str] | None = None
    unsafe: bool | None = None


@dataclass(frozen=True, slots=True)
class Hold:
    """takes_over: the device that was seen to hold the station; its hold ends here."""

    station: UUID
    takes_over: UUID | None = None


@dataclass(frozen=True, slots=True)
class Release:
    station: UUID


@dataclass(frozen=True, slots=True)
class AttendanceMark:
    athlete: UUID
    state: str


@dataclass(frozen=True, slots=True)
class OutOfPractice:
    athlete: UUID
    reason: str


@dataclass(frozen=True, slots=True)
class Note:
    athlete: UUID
    text: str
    reader: str


@dataclass(frozen=True, slots=True)
class Adjusted:
    """What was changed for an athlete at a drill from now on: a lighter pole, a lower grip."""

    athlete: UUID
    drill: str
    adjustment: str


Content: TypeAlias = (
    RepMarks
    | SetOfReps
    | LookMarks
    | Void
    | Correction
    | Hold
    | Release
    | AttendanceMark
    | OutOfPractice
    | Note
    | Adjusted
)


@dataclass(frozen=True, slots=True)
class Event:
    """One event as read. at: by the device's own clock."""

    uuid: UUID
    kind: Kind
    at: datetime
    sequence: int
    content: Content

    @property
    def target(self) -> UUID:
        """What it speaks of; itself if it names nothing else."""
        return getattr(self.content, "target", None) or self.uuid

    @property
    def athlete(self) -> UUID | None:
        return getattr(self.content, "athlete", None)


_WATCHED = reading.keys(MOST_KEYS)


def _rep(f: Fields) -> RepMarks:
    return RepMarks(
        athlete=f.need("athlete", a_uuid),
        drill=f.need("drill", a_key),
        watched=f.need("watched", _WATCHED),
        faults=f.need("faults", _WATCHED),
        station=f.maybe("station", a_uuid),
        unsafe=f.maybe("unsafe", a_bool),
    )


def _set(f: Fields) -> SetOfReps:
    marks = SetOfReps(
        athlete=f.need("athlete", a_uuid),
        drill=f.need("drill", a_key),
        done=f.need("done", a_number(1, MOST_IN_A_SET)),
        watch_set=f.need("watch_set", _WATCHED),
        watched=f.need("watched", a_number(0, MOST_IN_A_SET)),
        faulty=f.need("faulty", a_number(0, MOST_IN_A_SET)),
        counts=f.need("counts", reading.counts(MOST_KEYS, MOST_IN_A_SET)),
        station=f.maybe("station", a_uuid),
    )
    _nests(marks)
    return marks


def _nests(marks: SetOfReps) -> None:
    if marks.watched > marks.done:
        raise Refused("more_than_done", "watched", marks.done)
    if marks.watched and not marks.watch_set:
        raise Refused("nothing_watched", "watch_set")
    if marks.faulty > marks.watched:
        raise Refused("more_than_watched", "faulty", marks.watched)
    if any(times > marks.faulty for _, times in marks.counts):
        raise Refused("more_than_faulty", "counts", marks.faulty)


def _look(f: Fields) -> LookMarks:
    target = f.maybe("target", a_uuid)
    which = f.maybe if target else f.need
    return LookMarks(
        target=target,
        athlete=None if target else which("athlete", a_uuid),
        drill=None if target else which("drill", a_key),
        station=None if target else f.maybe("station", a_uuid),
        watched=f.need("watched", _WATCHED),
        faults=f.need("faults", _WATCHED),
        unsafe=f.maybe("unsafe", a_bool),
    )


def _void(f: Fields) -> Void:
    return Void(target=f.need("target", a_uuid))


def _correction(f: Fields) -> Correction:
    found = Correction(
        target=f.need("target", a_uuid),
        athlete=f.maybe("athlete", a_uuid),
        drill=f.maybe("drill", a_key),
        watched=f.maybe("watched", _WATCHED),
        faults=f.maybe("faults", _WATCHED),
        unsafe=f.maybe("unsafe", a_bool),
    )
    if all(getattr(found, name) is None for name in ("athlete", "drill", "watched", "faults", "unsafe")):
        raise Refused("corrects_nothing")
    return found


def _hold(f: Fields) -> Hold:
    return Hold(station=f.need("station", a_uuid), takes_over=f.maybe("takes_over", a_uuid))


def _release(f: Fields) -> Release:
    return Release(station=f.need("station", a_uuid))


def _attendance(f: Fields) -> AttendanceMark:
    return AttendanceMark(f.need("athlete", a_uuid), f.need("state", reading.one_of("here", "late", "absent")))


def _out(f: Fields) -> OutOfPractice:
    return OutOfPractice(f.need("athlete", a_uuid), f.need("reason", reading.one_of("injured", "unwell", "other")))


def _note(f: Fields) -> Note:
    return Note(
        athlete=f.need("athlete", a_uuid),
        text=f.need("text", a_text(LONGEST_NOTE)),
        reader=f.need("reader", reading.one_of("coaches", "athlete")),
    )


def _adjustment(f: Fields) -> Adjusted:
    return Adjusted(f.need("athlete", a_uuid), f.need("drill", a_key), f.need("adjustment", a_key))


_READERS: dict[Kind, Callable[[Fields], Content]] = {
    Kind.REP: _rep,
    Kind.SET: _set,
    Kind.LOOK: _look,
    Kind.VOID: _void,
    Kind.CORRECTION: _correction,
    Kind.HOLD: _hold,
    Kind.RELEASE: _release,
    Kind.ATTENDANCE: _attendance,
    Kind.OUT_OF_PRACTICE: _out,
    Kind.NOTE: _note,
    Kind.ADJUSTMENT: _adjustment,
}


def read_event(value: Any) -> Event:
    """One event of a batch. Raises Refused."""
    f = reading.an_object(value)
    uuid = f.need("uuid", a_uuid)
    kind = Kind(f.need("kind", reading.one_of(*Kind)))
    at = f.need("at", a_time)
    sequence = f.need("sequence", a_number(0, LAST_SEQUENCE))
    content = _READERS[kind](f)
    f.done()
    return Event(uuid, kind, at, sequence, content)


def read_content(kind: str, plain: Mapping[str, Any]) -> Content:
    """The content as ``plain`` wrote it."""
    return _READERS[Kind(kind)](Fields(plain))


def plain(content: Content) -> dict[str, Any]:
    """The content as JSON values, always in the same form; what was left out stays out."""
    values = {f.name: getattr(content, f.name) for f in fields(content)}
    return {name: _plain(value) for name, value in values.items() if value is not None}


def _plain(value: Any) -> Any:
    if isinstance(value, UUID):
        return str(value)
    if isinstance(value, frozenset):
        return sorted(value)
    return dict(value) if isinstance(value, tuple) else value
