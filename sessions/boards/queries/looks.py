"""What waits for a coach, with what is needed to answer it: both recordings, or the reps a look may belong to."""

from collections import defaultdict
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from datetime import datetime, timedelta
from typing import Any
from uuid import UUID

from django.db.models import Q

from club.members import Member
from drills.models import Drill, Fault
from sessions.boards.words import listed
from sessions.practices.models import Practice
from sessions.reps.actions.settle import MAY_ENTER
from sessions.reps.models import Event, NeedsLook, Rep
from sessions.reps.queries import needs_a_look

SHOWN = 30
NEAREST = 6
AROUND = timedelta(minutes=45)


@dataclass(frozen=True, slots=True)
class Candidate:
    uuid: UUID
    name: str
    drill: str
    at: datetime


@dataclass(frozen=True, slots=True)
class Waiting:
    """row: what waits. drill, seen: what it says. acts: of ``ACTS``. pair: two recordings of what may be one attempt;
    candidates: reps that a look without one may belong to, the nearest first."""

    row: NeedsLook
    drill: str
    seen: str
    acts: tuple[str, ...]
    pair: tuple[Candidate, ...] = ()
    candidates: tuple[Candidate, ...] = ()


ACCEPT, DROP, ONE, TWO, ATTACH, OWN = "accept", "drop", "one", "two", "attach", "own"
ACTS = (ACCEPT, DROP, ONE, TWO, ATTACH, OWN)


@dataclass(frozen=True, slots=True)
class _Known:
    contents: Mapping[UUID, Mapping[str, Any]]
    drills: Mapping[str, str]
    faults: Mapping[str, str]
    reps: Sequence[Rep]


def waiting(member: Member, practice: Practice) -> tuple[list[Waiting], int]:
    """The first of what waits at this practice, and how much there is in all. Six queries."""
    rows = needs_a_look(member, practice)
    shown = list(rows[:SHOWN])
    known = _known(member, practice, shown)
    return [_waiting(row, known) for row in shown], rows.count()


def _known(member: Member, practice: Practice, rows: Iterable[NeedsLook]) -> _Known:
    uuids = {row.event for row in rows} | {row.target for row in rows}
    events = Event.objects.for_member(member).filter(practice=practice, uuid__in=uuids)
    contents = dict(events.values_list("uuid", "content"))
    contents |= {row.event: row.content for row in rows if row.content}
    faults = {key for content in contents.values() for key in content.get("faults") or ()}
    athletes = {row.athlete_id for row in rows if row.reason == NeedsLook.Reason.NO_REP}
    reps = Rep.objects.for_member(member).filter(practice=practice).exclude(state=Rep.State.VOID)
    reps = reps.filter(Q(source__in=uuids) | Q(athlete__in=athletes))
    return _Known(
        contents=contents,
        drills=dict(Drill.objects.for_member(member).values_list("key", "name")),
        faults=dict(Fault.objects.for_member(member).filter(key__in=faults).values_list("key", "label")),
        reps=list(reps.select_related("athlete__person", "drill").order_by("at", "pk")),
    )


def _waiting(row: NeedsLook, known: _Known) -> Waiting:
    content = known.contents.get(row.event, {})
    seen = listed([known.faults.get(key, key) for key in content.get("faults") or ()])
    drill = content.get("drill") or ""
    pair = _pair(row, known) if row.reason == NeedsLook.Reason.TWO_DEVICES else ()
    near = _near(row, drill, known) if row.reason == NeedsLook.Reason.NO_REP else ()
    return Waiting(row, known.drills.get(drill, drill), seen, _acts(row, near), pair, near)


def _acts(row: NeedsLook, near: Sequence[Candidate]) -> tuple[str, ...]:
    if row.reason == NeedsLook.Reason.TWO_DEVICES:
        return (ONE, TWO)
    if row.reason == NeedsLook.Reason.NO_REP:
        return (ATTACH, OWN, DROP) if near else (OWN, DROP)
    return (ACCEPT, DROP) if row.reason in MAY_ENTER else (DROP,)


def _pair(row: NeedsLook, known: _Known) -> tuple[Candidate, ...]:
    by_source: dict[UUID, list[Rep]] = defaultdict(list)
    for rep in known.reps:
        by_source[rep.source].append(rep)
    return tuple(_candidate(by_source[source][0]) for source in (row.target, row.event) if by_source[source])


def _near(row: NeedsLook, drill: str, known: _Known) -> tuple[Candidate, ...]:
    """Reps of the athlete at the same drill, within a practice's reach of the look."""
    fits = [rep for rep in known.reps if rep.athlete_id == row.athlete_id and rep.drill.key == drill]
    near = sorted((rep for rep in fits if abs(rep.at - row.at) <= AROUND), key=lambda rep: abs(rep.at - row.at))
    return tuple(_candidate(rep) for rep in near[:NEAREST])


def _candidate(rep: Rep) -> Candidate:
    return Candidate(rep.uuid, str(rep.athlete), rep.drill.name, rep.at)
