"""Reps, attendance and decisions as lines of a table, oldest first, read from the database as they are written out.

Times are ISO 8601 in the club's zone, ids those of the events API and the archive, what the catalogue names its key.
Text that a spreadsheet would compute is quoted. No notes, masses or reasons of restrictions.
"""

from collections import defaultdict
from collections.abc import Callable, Iterator, Sequence
from datetime import date
from itertools import islice
from typing import Any
from zoneinfo import ZoneInfo

from athletes.core.roster.values import quoted
from athletes.models import Decision
from club.members import Member
from sessions.practices.models import Attendance
from sessions.reps.models import Look, LookFault, Rep, Watched

Line = Sequence[str]
AT_ONCE = 1000
"""Rows that are in memory at a time."""

REPS = (
    "day", "at", "practice", "athlete", "name", "drill", "station", "rep", "place_in_set", "state", "unsafe",
    "watched", "faults", "also_noticed", "unnamed_fault", "seen_through",
)  # fmt: skip
ATTENDANCE = ("day", "practice", "venue", "athlete", "name", "state", "at")
DECISIONS = ("day", "at", "athlete", "name", "drill", "kind", "by", "advice", "side", "seen", "taken_back", "decision")


def reps(member: Member, since: date | None, until: date | None) -> Iterator[Line]:
    """One line a rep, taken back and waiting ones too. Checkpoints and faults as keys, with a blank between."""
    rows = Rep.objects.for_member(member).filter(**_between("day", since, until)).order_by("day", "at", "pk")
    rows = rows.select_related("athlete__person", "drill", "station__area")
    watched, zone = _watched(member), _zone(member)
    yield REPS
    for part in _parts(rows.iterator(chunk_size=AT_ONCE)):
        looks = _deciding(member, part)
        faults = _faults(member, looks.values())
        for rep in part:
            yield _line(_rep(rep, looks.get(rep.pk), watched, faults, zone))


def attendance(member: Member, since: date | None, until: date | None) -> Iterator[Line]:
    """One line an athlete and practice of which something was noted."""
    rows = Attendance.objects.for_member(member).filter(**_between("practice__day", since, until))
    rows = rows.select_related("practice__venue", "athlete__person")
    zone = _zone(member)
    yield ATTENDANCE
    for row in rows.order_by("practice__day", "practice__starts", "pk").iterator(chunk_size=AT_ONCE):
        practice = row.practice
        at = row.at.astimezone(zone).isoformat()
        yield _line((practice.day, practice.pk, practice.venue.name, row.athlete_id, row.athlete, row.state, at))


def decisions(member: Member, since: date | None, until: date | None) -> Iterator[Line]:
    """One line a decision; what was taken back says when."""
    rows = Decision.objects.for_member(member).filter(**_between("day", since, until))
    rows = rows.exclude(kind=Decision.Kind.TAKEN_BACK)
    rows = rows.select_related("athlete__person", "drill", "by", "taken_back_by").order_by("day", "at", "pk")
    zone = _zone(member)
    yield DECISIONS
    for row in rows.iterator(chunk_size=AT_ONCE):
        back = getattr(row, "taken_back_by", None)
        yield _line(
            (
                row.day,
                row.at.astimezone(zone).isoformat(),
                row.athlete_id,
                row.athlete,
                row.drill.key,
                row.kind,
                row.by or "",
                row.advice,
                row.side,
                row.seen,
                back.at.astimezone(zone).isoformat() if back else "",
                row.pk,
            )
        )


TABLES: dict[str, Callable[[Member, date | None, date | None], Iterator[Line]]] = {
    "reps": reps,
    "attendance": attendance,
    "decisions": decisions,
}


def _between(day: str, since: date | None, until: date | None) -> dict[str, date]:
    found = {f"{day}__gte": since, f"{day}__lte": until}
    return {name: value for name, value in found.items() if value}


def _zone(member: Member) -> ZoneInfo:
    return ZoneInfo(member.club.zone)


def _line(values: Sequence[Any]) -> Line:
    return [quoted(str(value)) for value in values]


def _parts(rows: Iterator[Rep]) -> Iterator[list[Rep]]:
    while part := list(islice(rows, AT_ONCE)):
        yield part


def _watched(member: Member) -> dict[int, str]:
    """Keys by watch set: there are as many sets as ways to watch, however many reps."""
    found = defaultdict(list)
    rows = Watched.objects.for_member(member).order_by("checkpoint__key")
    for watch_set, key in rows.values_list("watch_set_id", "checkpoint__key"):
        found[watch_set].append(key)
    return {watch_set: " ".join(keys) for watch_set, keys in found.items()}


def _deciding(member: Member, part: Sequence[Rep]) -> dict[int, Look]:
    rows = Look.objects.for_member(member).filter(rep__in=[rep.pk for rep in part], deciding=True)
    return {look.rep_id: look for look in rows}


def _faults(member: Member, looks: Any) -> dict[tuple[int, bool], list[str]]:
    """Keys by look and whether their checkpoint was watched."""
    found: dict[tuple[int, bool], list[str]] = defaultdict(list)
    rows = LookFault.objects.for_member(member).filter(look__in=[look.pk for look in looks]).order_by("fault__key")
    for look, inside, key in rows.values_list("look_id", "inside", "fault__key"):
        found[look, inside].append(key)
    return found


def _rep(
    rep: Rep, look: Look | None, watched: dict[int, str], faults: dict[tuple[int, bool], list[str]], zone: ZoneInfo
) -> Sequence[Any]:
    head = (
        rep.day,
        rep.at.astimezone(zone).isoformat(),
        rep.practice_id,
        rep.athlete_id,
        rep.athlete,
        rep.drill.key,
        rep.station or "",
        rep.uuid,
        rep.place_in_set or "",
        rep.state,
        _yes(rep.unsafe),
    )
    if look is None:
        return *head, "", "", "", "", ""
    seen = (" ".join(faults.get((look.pk, inside), [])) for inside in (True, False))
    return *head, watched.get(look.watch_set_id, ""), *seen, _yes(look.unnamed_fault), look.through


def _yes(value: bool) -> str:
    return "yes" if value else "no"
