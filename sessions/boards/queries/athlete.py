"""The coach's page of one athlete: restrictions, faults of late from day counts, reps in pages."""

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date, datetime, timedelta

from django.db.models import Prefetch, QuerySet, Sum

from athletes.core.readiness import Outcome, outcome_of
from athletes.models import Athlete, Restriction
from athletes.queries import profile
from club.core.marks import RepMark
from club.members import Member
from club.models import Person
from club.roles import Permission
from drills.models import DrillCheckpoint
from sessions.boards import words
from sessions.boards.queries.squad import restrictions
from sessions.reps.models import Look, LookFault, Rep, RepNote
from sessions.trends.models import DayFault

LOOK_BACK_DAYS = 28
SHOWN_FAULTS = 6


@dataclass(frozen=True, slots=True)
class HeldBack:
    """reason: only where the member may read it."""

    sentence: str
    reason: str


def held_back(member: Member, athlete: Athlete, today: date) -> list[HeldBack]:
    rows = restrictions(member, today).filter(athlete=athlete)
    tells = member.may(Permission.RESTRICTION_REASON)
    return [HeldBack(restriction_words(row, tells), row.reason if tells else "") for row in rows]


def restriction_words(row: Restriction, tells_why: bool) -> str:
    return words.restriction_sentence(row.what, row.ends_on, row.needs_clearance, tells_why)


@dataclass(frozen=True, slots=True)
class FaultOfLate:
    name: str
    checkpoint: str
    sentence: str


def faults_of_late(member: Member, athlete: Athlete, today: date) -> list[FaultOfLate]:
    """Those seen most in the last `LOOK_BACK_DAYS` days. One query."""
    rows = _of_late(DayFault.objects.for_member(member), athlete, today)
    counted = rows.values("fault__name", "fault__checkpoint__name").annotate(total=Sum("n"))
    return [
        FaultOfLate(row["fault__name"], row["fault__checkpoint__name"], words.seen_words(row["total"]))
        for row in counted.order_by("-total", "fault__name")[:SHOWN_FAULTS]
    ]


def _of_late(rows: QuerySet, athlete: Athlete, today: date) -> QuerySet:
    return rows.filter(athlete=athlete, day__gt=today - timedelta(days=LOOK_BACK_DAYS))


# Notes


SHOWN_NOTES = 6


@dataclass(frozen=True, slots=True)
class NoteLine:
    """lasting: written on the profile, not at a station."""

    at: datetime
    text: str
    by: str
    reader: str
    lasting: bool


def notes_of_late(member: Member, athlete: Athlete) -> list[NoteLine]:
    """The newest notes, from stations and lasting ones, that the member may read. Two queries."""
    lasting = profile.notes(member, athlete)[:SHOWN_NOTES]
    station = RepNote.objects.for_member(member).filter(athlete=athlete).select_related("by").order_by("-at", "-pk")
    found = [NoteLine(one.at, one.text, _by(one.by), one.get_reader_display(), True) for one in lasting]
    found += [NoteLine(one.at, one.text, _by(one.by), one.get_reader_display(), False) for one in station[:SHOWN_NOTES]]
    return sorted(found, key=lambda one: one.at, reverse=True)[:SHOWN_NOTES]


def _by(person: Person | None) -> str:
    return person.given_name if person else "–"


# Reps


@dataclass(frozen=True, slots=True)
class RepLine:
    """mark: as the drill's gate judges it. inside: faults at what was watched; noticed: the others."""

    day: date
    at: datetime
    drill: str
    mark: RepMark
    unsafe: bool
    waits: bool
    inside: str
    noticed: str
    by: str

    @property
    def marks(self) -> list[str]:
        return [self.mark]

    @property
    def words(self) -> str:
        return words.mark_words(self.mark)


def reps(member: Member, athlete: Athlete) -> QuerySet[Rep]:
    """Newest first, for paging. Void ones are left out."""
    deciding = Look.objects.for_member(member).filter(deciding=True).select_related("observer", "watch_set")
    faults = LookFault.objects.for_member(member).select_related("fault")
    gates = DrillCheckpoint.objects.for_member(member).filter(gate=True)
    rows = Rep.objects.for_member(member).filter(athlete=athlete).exclude(state=Rep.State.VOID).select_related("drill")
    return rows.order_by("-day", "-at", "-sequence", "-pk").prefetch_related(
        Prefetch("looks", deciding.prefetch_related("watch_set__watched", Prefetch("faults", faults))),
        Prefetch("drill__offers", gates, to_attr="gates"),
    )


def rep_line(rep: Rep) -> RepLine:
    looks = list(rep.looks.all())
    look = looks[0] if looks else None
    seen = list(look.faults.all()) if look else []
    return RepLine(
        day=rep.day,
        at=rep.at,
        drill=rep.drill.short,
        mark=_mark(rep, look, seen),
        unsafe=rep.unsafe,
        waits=rep.state == Rep.State.WAITS,
        inside=words.listed([one.fault.name for one in seen if one.inside]),
        noticed=words.listed([one.fault.name for one in seen if not one.inside]),
        by=look.observer.given_name if look else "",
    )


def _mark(rep: Rep, look: Look | None, seen: Iterable[LookFault]) -> RepMark:
    if look is None:
        return RepMark.NOT_WATCHED
    gate = frozenset(str(offer.checkpoint_id) for offer in rep.drill.gates)
    watched = frozenset(str(row.checkpoint_id) for row in look.watch_set.watched.all())
    faulty = frozenset(str(one.checkpoint_id) for one in seen if one.inside)
    # A fault without a name was seen at the gate: that is what a set counts.
    outcome = outcome_of(gate, watched, gate if look.unnamed_fault else faulty)
    return {Outcome.GOOD: RepMark.GOOD, Outcome.BAD: RepMark.FAULTY}.get(outcome, RepMark.NOT_WATCHED)
