"""Who holds a station, and what follows when two did without knowing of each other; who is at a practice."""

from collections.abc import Collection, Iterable
from dataclasses import dataclass, replace
from datetime import datetime
from uuid import UUID

from sessions.reps.core.derive import NEAR, Spot
from sessions.reps.core.events import AttendanceMark, Hold, Kind, OutOfPractice, Release
from sessions.reps.core.stored import Stored


@dataclass(frozen=True, slots=True)
class HoldSpan:
    """A device holding a station from ``since`` until ``until`` (None: still). source: the hold event."""

    source: UUID
    station: UUID
    device: str
    person: UUID
    since: datetime
    until: datetime | None = None

    def covers(self, at: datetime) -> bool:
        return self.since <= at and (self.until is None or at < self.until)


def hold_spans(events: Iterable[Stored]) -> list[HoldSpan]:
    """Each hold lasts until the same device releases that station or takes it again, or another one takes it over."""
    spans: list[HoldSpan] = []
    held: dict[tuple[UUID, str], int] = {}
    for e in sorted((e for e in events if not e.blocked), key=lambda e: e.place):
        if not isinstance(e.content, Hold | Release):
            continue
        station = e.content.station
        for device in _ended_by(e):
            number = held.pop((station, device), None)
            if number is not None:
                spans[number] = replace(spans[number], until=e.place.at)
        if isinstance(e.content, Hold):
            held[station, e.place.device] = len(spans)
            spans.append(HoldSpan(e.uuid, e.content.station, e.place.device, e.by, e.place.at))
    return spans


def _ended_by(e: Stored) -> set[str]:
    """The devices that hold the station no longer."""
    taken = isinstance(e.content, Hold) and e.content.takes_over
    return {e.place.device, str(taken)} if taken else {e.place.device}


Pair = tuple[UUID, UUID]


def contested(
    spots: Iterable[Spot], spans: Collection[HoldSpan], settled: Collection[Pair] = ()
) -> set[tuple[Pair, UUID]]:
    """Pairs (earlier, later) of recordings that may be one attempt, with their athlete.

    Two devices recorded one athlete within 60 s, each of them while it held a station or while another held the
    one it named. Pairs that a coach has settled as two attempts are left out.
    """
    if not spans:
        return set()
    by_athlete: dict[UUID, dict[UUID, Spot]] = {}
    for spot in spots:
        if _is_held(spot, spans):
            by_athlete.setdefault(spot.athlete, {}).setdefault(spot.source, spot)
    found = {
        ((a.source, b.source), athlete)
        for athlete, sources in by_athlete.items()
        for a, b in _near_pairs(sorted(sources.values(), key=lambda s: replace(s.place, index=0)))
    }
    return {(pair, athlete) for pair, athlete in found if pair not in settled}


def _near_pairs(spots: list[Spot]) -> Iterable[tuple[Spot, Spot]]:
    for i, a in enumerate(spots):
        for b in spots[i + 1 :]:
            if b.place.at - a.place.at > NEAR:
                break
            if a.place.device != b.place.device:
                yield a, b


def _is_held(spot: Spot, spans: Collection[HoldSpan]) -> bool:
    return any(
        span.covers(spot.place.at)
        and (span.station == spot.station if spot.station else span.device == spot.place.device)
        for span in spans
    )


@dataclass(frozen=True, slots=True)
class Standing:
    """Whether an athlete is at a practice, since when. state: here, late, absent or out."""

    state: str
    at: datetime


def attendance(events: Iterable[Stored]) -> Standing | None:
    """The last word counts; but who was taken out comes back only by somebody who may bring them back."""
    standing: Standing | None = None
    for e in sorted((e for e in events if not e.blocked), key=lambda e: e.place):
        if isinstance(e.content, OutOfPractice):
            standing = Standing("out", e.place.at)
        elif isinstance(e.content, AttendanceMark) and (standing is None or standing.state != "out" or e.brings_back):
            standing = Standing(e.content.state, e.place.at)
    return standing


def is_about_attendance(e: Stored) -> bool:
    return e.kind in (Kind.ATTENDANCE, Kind.OUT_OF_PRACTICE)
