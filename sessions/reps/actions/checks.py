"""Whether an event can be taken: what it names must be this club's, this practice's, and its author's to record."""

from collections.abc import Callable
from datetime import datetime
from typing import Any
from uuid import UUID

from club.roles import Permission
from sessions.reps.core import clock
from sessions.reps.core.events import Event, Kind
from sessions.reps.core.reading import Problem, Refused
from sessions.reps.core.stored import CORRECTABLE, VOIDABLE
from sessions.reps.queries.known import LIVE, Known

Check = Callable[[Event, datetime, Known], None]


def refusal(event: Event, at: datetime, known: Known) -> Problem | None:
    """Why it cannot be taken, or None. at: the corrected time."""
    try:
        _CHECKS[event.kind](event, at, known)
    except Refused as refused:
        return refused.problem
    return None


def gate(event: Event, at: datetime, known: Known) -> str | None:
    """Why it is kept until a coach lets it in, or None."""
    practice = known.practice
    span = clock.span(practice.day, practice.starts, practice.ends, practice.zone)
    if event.kind in LIVE and clock.is_far(at, span):
        return "far_from_practice"
    joined = known.athletes.get(event.athlete) if event.athlete else None
    if joined and practice.day < joined.joined_on:
        return "before_joined"
    if joined and joined.left_on and practice.day > joined.left_on:
        return "after_left"
    return None


def _athlete(athlete: UUID | None, known: Known) -> None:
    if athlete is not None and athlete not in known.athletes:
        raise Refused("unknown_athlete", "athlete")


def _station(station: UUID | None, known: Known) -> None:
    if station is not None and station not in known.stations:
        raise Refused("unknown_station", "station")
    if station is None and not known.member.sees_club:
        raise Refused("station_needed", "station")


def _drill(drill: str | None, known: Known) -> None:
    if drill is None:
        return
    if drill not in known.rows.drills:
        raise Refused("unknown_drill", "drill")
    if not known.member.sees_club and drill not in known.rows.floor:
        raise Refused("floor_drills_only", "drill")


def _seen(content: Any, known: Known) -> None:
    """Checkpoints and faults: the club's, and the drill's if it is named."""
    watched, faults = content.watched or frozenset(), content.faults or frozenset()
    if not watched <= known.rows.checkpoints.keys():
        raise Refused("unknown_checkpoint", "watched")
    if not faults <= known.rows.faults.keys():
        raise Refused("unknown_fault", "faults")
    if content.drill is None:
        return
    for name, fits in (("watched", (watched, frozenset())), ("faults", (frozenset(), faults))):
        if not known.rows.values.fits(content.drill, *fits):
            raise Refused("not_at_this_drill", name)


def _rep(event: Event, at: datetime, known: Known) -> None:
    content: Any = event.content
    _athlete(content.athlete, known)
    _drill(content.drill, known)
    _station(content.station, known)
    _seen(content, known)


def _set(event: Event, at: datetime, known: Known) -> None:
    content: Any = event.content
    _athlete(content.athlete, known)
    _drill(content.drill, known)
    _station(content.station, known)
    rows, faults = known.rows, frozenset(fault for fault, _ in content.counts)
    if not content.watch_set <= rows.checkpoints.keys():
        raise Refused("unknown_checkpoint", "watch_set")
    if not faults <= rows.faults.keys():
        raise Refused("unknown_fault", "counts")
    if not rows.values.fits(content.drill, content.watch_set, frozenset()):
        raise Refused("not_at_this_drill", "watch_set")
    if any(rows.values.checkpoint_of[fault] not in content.watch_set for fault in faults):
        raise Refused("fault_not_watched", "counts")


def _look(event: Event, at: datetime, known: Known) -> None:
    content: Any = event.content
    if content.target is None:
        _rep(event, at, known)
        return
    if not known.member.sees_club:
        raise Refused("station_needed", "station")
    _seen(content, known)
    _target(event, known, frozenset({Kind.REP, Kind.SET}), own=False)


def _target(event: Event, known: Known, kinds: frozenset[Kind], own: bool = True) -> None:
    """The target, if it has arrived. own: somebody else's takes the permission to correct."""
    target = known.targets.get(event.target)
    if target is None:
        return
    if target.practice != known.practice.pk:
        raise Refused("other_practice", "target")
    if target.kind not in kinds:
        raise Refused("cannot_be_changed", "target")
    if own and target.by != known.member.person.pk and not known.member.may(Permission.REPS_CORRECT):
        raise Refused("not_yours", "target")


def _void(event: Event, at: datetime, known: Known) -> None:
    _target(event, known, VOIDABLE)


def _correction(event: Event, at: datetime, known: Known) -> None:
    content: Any = event.content
    _athlete(content.athlete, known)
    _drill(content.drill, known)
    _seen(content, known)
    _target(event, known, CORRECTABLE)


def _hold(event: Event, at: datetime, known: Known) -> None:
    content: Any = event.content
    _station(content.station, known)


def _attendance(event: Event, at: datetime, known: Known) -> None:
    content: Any = event.content
    _coaches(known)
    _athlete(content.athlete, known)
    out: Any = known.out.get(content.athlete)
    if out is not None and at > out and not known.member.may(Permission.PRACTICE_PLAN):
        raise Refused("is_out", "athlete")


def _out(event: Event, at: datetime, known: Known) -> None:
    _athlete(event.athlete, known)


def _note(event: Event, at: datetime, known: Known) -> None:
    _coaches(known)
    _athlete(event.athlete, known)


def _adjustment(event: Event, at: datetime, known: Known) -> None:
    content: Any = event.content
    _coaches(known)
    _athlete(content.athlete, known)
    _drill(content.drill, known)
    if content.adjustment not in known.adjustments:
        raise Refused("unknown_adjustment", "adjustment")


def _coaches(known: Known) -> None:
    if not known.member.may(Permission.PRACTICE_RUN):
        raise Refused("coaches_only", "kind")


_CHECKS: dict[Kind, Check] = {
    Kind.REP: _rep,
    Kind.SET: _set,
    Kind.LOOK: _look,
    Kind.VOID: _void,
    Kind.CORRECTION: _correction,
    Kind.HOLD: _hold,
    Kind.RELEASE: _hold,
    Kind.ATTENDANCE: _attendance,
    Kind.OUT_OF_PRACTICE: _out,
    Kind.NOTE: _note,
    Kind.ADJUSTMENT: _adjustment,
}
