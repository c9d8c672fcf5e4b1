"""What a head coach must hear of a practice: unsafe reps, and who was taken out of it."""

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from datetime import datetime
from uuid import UUID
from zoneinfo import ZoneInfo

from django.db.models import Exists, OuterRef

from club.members import Member
from sessions.boards import told_words
from sessions.practices.models import Attendance, Departure
from sessions.reps.models import Event, Look, NeedsLook, Rep


@dataclass(frozen=True, slots=True)
class Told:
    """practice: its id. at: when it was seen. sentence: all of it in words, by the practice's own clock."""

    practice: UUID
    at: datetime
    sentence: str


Zones = Mapping[UUID, str]


def told(member: Member, zones: Zones, *, with_day: bool) -> tuple[Told, ...]:
    """Unsafe reps, then who is out, then who left with somebody barred, each the latest first. Four queries.

    zones: the time zones of the practices, by their ids. with_day: the sentences name the day, for a page about more
    than one.
    """
    looks = list(_unsafe_looks(member, zones))
    return (
        *_latest_first(_unsafe(zones, looks, with_day)),
        *_latest_first(_waiting(member, zones, {look.uuid for look in looks}, with_day)),
        *_latest_first(_out(member, zones, with_day)),
        *_latest_first(_barred(member, zones, with_day)),
    )


def _latest_first(found: Iterable[Told]) -> list[Told]:
    return sorted(found, key=lambda one: one.at, reverse=True)


def _when(zone: str, at: datetime, with_day: bool) -> str:
    return told_words.when_words(at.astimezone(ZoneInfo(zone)), with_day)


def _unsafe_looks(member: Member, zones: Zones) -> Iterable[Look]:
    """Looks that called a rep unsafe, also at reps that wait for a coach; not at those taken back."""
    rows = Look.objects.for_member(member).filter(unsafe=True, rep__practice__in=list(zones))
    rows = rows.exclude(rep__state=Rep.State.VOID).order_by("at", "pk")
    return rows.select_related("rep__athlete__person", "rep__drill", "observer")


def _unsafe(zones: Zones, looks: Sequence[Look], with_day: bool) -> Iterable[Told]:
    """One line for each rep, whoever saw it."""
    by_rep: dict[int, list[Look]] = {}
    for look in looks:
        by_rep.setdefault(look.rep_id, []).append(look)
    for seen in by_rep.values():
        rep = seen[0].rep
        when = _when(zones[rep.practice_id], rep.at, with_day)
        seen_by = list(dict.fromkeys(look.observer.given_name for look in seen))
        yield Told(rep.practice_id, rep.at, told_words.unsafe_sentence(str(rep.athlete), rep.drill.name, when, seen_by))


def _waiting(member: Member, zones: Zones, shown: set[UUID], with_day: bool) -> Iterable[Told]:
    """Recorded as unsafe and kept for a coach, so that no rep says it yet."""
    rows = NeedsLook.objects.for_member(member).filter(practice__in=list(zones), unsafe=True, settled_as="")
    for row in rows.select_related("athlete__person", "by").order_by("at", "pk"):
        if row.event not in shown:
            shown.add(row.event)
            when = _when(zones[row.practice_id], row.at, with_day)
            who = str(row.athlete) if row.athlete else ""
            yield Told(row.practice_id, row.at, told_words.waiting_sentence(who, when, row.by.given_name))


def _out(member: Member, zones: Zones, with_day: bool) -> Iterable[Told]:
    """Who is out now, with the last word about it: whoever a coach brought back is not."""
    still = Attendance.objects.for_member(member).filter(
        practice=OuterRef("practice"), athlete=OuterRef("athlete"), state=Attendance.State.OUT
    )
    rows = Event.objects.for_member(member).filter(Exists(still), practice__in=list(zones))
    rows = rows.filter(kind=Event.Kind.OUT_OF_PRACTICE).select_related("athlete__person", "by").order_by("at", "pk")
    for row in {(row.practice_id, row.athlete_id): row for row in rows}.values():
        when = _when(zones[row.practice_id], row.at, with_day)
        words = told_words.out_sentence(str(row.athlete), row.content["reason"], when, row.by.given_name)
        yield Told(row.practice_id, row.at, words)


def _barred(member: Member, zones: Zones, with_day: bool) -> Iterable[Told]:
    """Athletes who were let go with somebody the club was warned of."""
    rows = Departure.objects.for_member(member).filter(practice__in=list(zones), taken_back_at__isnull=True)
    for row in rows.exclude(despite="").select_related("athlete__person", "by").order_by("at", "pk"):
        when = _when(zones[row.practice_id], row.at, with_day)
        by = row.by.given_name if row.by else ""
        words = told_words.barred_sentence(str(row.athlete), row.name, when, by, row.despite)
        yield Told(row.practice_id, row.at, words)
