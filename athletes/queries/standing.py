"""Reads of who stands where with which drill: what the fold needs (``club`` first), and what pages and plans ask
(``member`` first)."""

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, field
from datetime import date
from typing import Any, Protocol
from uuid import UUID

from athletes.core import progression as values
from athletes.core import restrictions
from athletes.core.progression import Edition, Risk
from athletes.core.sequence import Place
from athletes.core.standing import Book, DecisionKind, NeedTest
from athletes.core.standing import Decision as DecisionValue
from athletes.core.standing import Standing as State
from athletes.models import Athlete, AthleteBook, BookDay, Decision, Notice, ProgressionEdition, Restriction, Standing
from athletes.queries.readiness import SETTINGS, DrillReading, squad_readiness
from club.members import Member
from club.models import Club
from drills.core.catalogue import RiskClass
from drills.models import Drill, Need

Pair = tuple[UUID, int]
"""Athlete and drill."""
STAND_COLUMNS = ("state", "opened_by", "closed_by", "settled_by", "since", "asks", "lacking")

# --- for the fold ----------------------------------------------------------------------------------


def current_drills(club: Club) -> tuple[values.Drill, ...]:
    """The progression of today, retired drills included, by key. Two queries."""
    needs: dict[str, list[str]] = {}
    for drill, needed in Need.objects.for_club(club).order_by("order", "pk").values_list("drill__key", "needed__key"):
        needs.setdefault(drill, []).append(needed)
    rows = Drill.objects.for_club(club).order_by("key").values_list("key", "risk", "entry_drill__key")
    return tuple(
        values.Drill(key, Risk(risk), tuple(needs.get(key, ())), entry if risk == Risk.CONTACT.value else None)
        for key, risk, entry in rows
    )


def editions(club: Club) -> list[Edition]:
    """Every edition of the progression, oldest first. One query."""
    return [row.value() for row in ProgressionEdition.objects.for_club(club).order_by("since")]


def progression_moved(club: Club) -> bool:
    """Whether the progression of today is another than the last one noted. Three queries."""
    noted = editions(club)
    return not noted or noted[-1].drills != current_drills(club)


def drill_ids(club: Club) -> dict[str, int]:
    return dict(Drill.objects.for_club(club).values_list("key", "pk"))


def book_before(club: Club, athlete_id: UUID, day: date) -> dict[date, Book]:
    """The book at the end of the last day before this one; empty if there is none. One query."""
    rows = BookDay.objects.for_club(club).filter(athlete_id=athlete_id, day__lt=day)
    row = rows.order_by("-day").first()
    return {row.day: Book.from_row(row.book)} if row else {}


def book_of(head: AthleteBook) -> Book:
    return Book.from_row(head.book) if head.book else Book()


def decisions_since(club: Club, athlete_id: UUID, day: date) -> list[DecisionValue]:
    """What was decided since that day and not taken back, as the fold reads it. One query."""
    rows = Decision.objects.for_club(club).filter(athlete_id=athlete_id, day__gte=day, taken_back_by__isnull=True)
    rows = rows.exclude(kind=Decision.Kind.TAKEN_BACK).select_related("drill")
    # Whoever writes a decision may decide: `athletes.actions.decisions` refuses all others.
    return [
        DecisionValue(Place(row.day, row.at, "", 0, row.pk), row.drill.key, DecisionKind(row.kind), by_head_coach=True)
        for row in rows
    ]


def taken_back(club: Club, athlete_id: UUID, day: date) -> set[tuple[str, date]]:
    """Drills and days of openings since that day that were taken back. One query."""
    rows = Decision.objects.for_club(club).filter(athlete_id=athlete_id, day__gte=day, taken_back_by__isnull=False)
    return set(rows.filter(kind__in=Decision.OPENS).values_list("drill__key", "day"))


def lacking_rows(tests: Iterable[NeedTest]) -> list[dict[str, Any]]:
    """What is still lacking, need by need, as it is stored: keys of the drill and values of ``Lack``; the figures of
    its last counted rep (recent reps, low end, weight of evidence, counted reps since the last unsafe one)."""
    return [
        {
            "need": test.need,
            "lacks": [lack.value for lack in test.lacking],
            "recent": test.recent,
            "low": test.low,
            "n": test.n,
            "since_unsafe": test.since_unsafe,
        }
        for test in tests
    ]


def athletes_of(club: Club) -> list[UUID]:
    return list(Athlete.objects.for_club(club).order_by("pk").values_list("pk", flat=True))


# --- for pages and plans -----------------------------------------------------------------------------


@dataclass(frozen=True, slots=True)
class Stand:
    """Where an athlete stands with a drill. lacking: as ``lacking_rows`` says it."""

    state: State = State.NOT_OPEN
    opened_by: str = ""
    closed_by: str = ""
    settled_by: str = ""
    since: date | None = None
    asks: bool = False
    lacking: tuple[Mapping[str, Any], ...] = field(default=(), hash=False)

    @property
    def is_open(self) -> bool:
        return self.state in (State.OPEN, State.SETTLED)


NOT_OPEN, FREE = Stand(), Stand(State.OPEN)


class StandRow(Protocol):
    """What of a row of ``Standing`` is read: the row itself, or its values alone where a thousand are read."""

    state: str
    opened_by: str
    closed_by: str
    settled_by: str
    since: date | None
    asks: bool
    lacking: Sequence[Mapping[str, Any]]


def stand_of(row: StandRow | None, drill: Drill, has_needs: bool) -> Stand:
    """What a stored row says. Who was never folded has the drills without needs open, and nothing else.

    At contact a row counts only if the head coach opened it, whatever else it says: the fold may be a moment late.
    """
    contact = drill.risk == RiskClass.CONTACT
    if row is None:
        return NOT_OPEN if contact or has_needs else FREE
    state = State(row.state)
    if contact and state in (State.OPEN, State.SETTLED) and row.opened_by not in Standing.AT_CONTACT:
        state = State.CLOSED_AGAIN
    return Stand(state, row.opened_by, row.closed_by, row.settled_by, row.since, row.asks, tuple(row.lacking))


@dataclass(frozen=True, slots=True)
class Stands:
    """Of some athletes at every drill. needed: drills that have needs."""

    rows: Mapping[Pair, StandRow]
    needed: frozenset[int]

    def of(self, athlete_id: UUID, drill: Drill) -> Stand:
        return stand_of(self.rows.get((athlete_id, drill.pk)), drill, drill.pk in self.needed)


def stands(member: Member, athletes: Iterable[Athlete] | None = None, needed: frozenset[int] | None = None) -> Stands:
    """Of these athletes, or of everybody the member may see. Two queries; one if the drills with needs are given."""
    rows = Standing.objects.for_member(member)
    rows = rows if athletes is None else rows.filter(athlete__in=[athlete.pk for athlete in athletes])
    if needed is None:
        needed = frozenset(Need.objects.for_club(member.club).order_by().values_list("drill", flat=True).distinct())
    values = rows.values_list("athlete_id", "drill_id", *STAND_COLUMNS, named=True)
    return Stands({(row.athlete_id, row.drill_id): row for row in values}, needed)


def log_stands(member: Member, athletes: Iterable[Athlete]) -> Stands:
    """The same for whoever logs, of the athletes they were given: only whether a drill is open is to be said of it."""
    rows = Standing.objects.for_club(member.club).filter(athlete__in=[athlete.pk for athlete in athletes])
    needed = Need.objects.for_club(member.club).order_by().values_list("drill", flat=True).distinct()
    found = rows.defer("lacking")  # of whoever logs nobody asks it: reading it would cost a query a row
    return Stands({(row.athlete_id, row.drill_id): row for row in found}, frozenset(needed))


@dataclass(frozen=True, slots=True)
class MayTry:
    """A drill that an athlete may be given. reading: None while no rep of it was logged."""

    drill: Drill
    stand: Stand
    reading: DrillReading | None


def may_try(
    member: Member, athletes: Sequence[Athlete], day: date, found: Stands | None = None
) -> dict[UUID, list[MayTry]]:
    """The drills each of these athletes may be given on that day: open, and not excluded by a restriction in force.
    In the order of the progression. found: where they stand, if it is at hand. Five queries, however many athletes."""
    drills = list(
        Drill.objects.for_member(member)
        .filter(retired=False)
        .select_related("stage")
        .order_by("stage__number", "order", "pk")
    )
    found, held = found or stands(member, athletes), held_risks(member, athletes, day)
    wanted = {athlete.pk for athlete in athletes}
    readings = {
        (reading.athlete_id, reading.drill_id): reading
        for reading in squad_readiness(member, day)
        if reading.athlete_id in wanted
    }
    return {
        athlete.pk: [
            MayTry(drill, stand, readings.get((athlete.pk, drill.pk)))
            for drill in drills
            if (stand := found.of(athlete.pk, drill)).is_open
            and RiskClass(drill.risk) not in held.get(athlete.pk, frozenset())
        ]
        for athlete in athletes
    }


@dataclass(frozen=True, slots=True)
class WarmUp:
    """A drill that stays in the warm-up: the figures opened ``opened`` through it, and the check of that runs.

    seen: counted reps of it since; wanted: how many the check takes. Both drills by key.
    """

    drill: str
    opened: str
    seen: int
    wanted: int


def warm_ups(member: Member, athletes: Iterable[Athlete]) -> dict[UUID, list[WarmUp]]:
    """The warm-up checks that run, by athlete. One query."""
    rows = AthleteBook.objects.for_member(member).filter(athlete__in=[athlete.pk for athlete in athletes])
    return {
        row.athlete_id: [
            WarmUp(check.need, opened, check.seen, SETTINGS.warm_up_reps)
            for opened, track in book_of(row).tracks.items()
            for check in track.checks
        ]
        for row in rows
    }


def held_risks(member: Member, athletes: Iterable[Athlete], day: date) -> dict[UUID, frozenset[RiskClass]]:
    """Risk classes that a restriction in force on that day excludes, by athlete. One query."""
    rows = Restriction.objects.for_member(member).filter(Restriction.binding_on(day))
    laid: dict[UUID, list[restrictions.Restriction]] = {}
    for row in rows.filter(athlete__in=[athlete.pk for athlete in athletes]):
        laid.setdefault(row.athlete_id, []).append(row.value())
    return {athlete: restrictions.excluded(found, day) for athlete, found in laid.items()}


def notices(member: Member) -> list[Notice]:
    """What is to be told and was not set aside, newest first. One query."""
    rows = Notice.objects.for_member(member).filter(set_aside_at__isnull=True, athlete__left_on__isnull=True)
    return list(rows.select_related("athlete__person", "drill"))
