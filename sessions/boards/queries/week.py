"""The week page: its practices on a line, what the reps advise, who was not seen, who is held back."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import date, datetime, time, timedelta
from typing import Any
from uuid import UUID

from django.db.models import Count, Exists, Max, OuterRef, QuerySet, Subquery, Sum
from django.db.models.functions import Coalesce

from athletes.models import Athlete, Restriction
from club.core.run_strip import STEPS
from club.members import Member
from club.roles import Permission
from sessions.boards import words
from sessions.boards.core import (
    SHOWN_PRACTICES,
    Absence,
    Plan,
    WeekFigures,
    count_plans,
    is_long_away,
    plan_of,
    week_of,
)
from sessions.boards.queries.advice import AdviceList, advice_list
from sessions.boards.queries.along import WorthALook, worth_a_look
from sessions.boards.queries.came import ROLL, THERE, came, turnout
from sessions.boards.queries.squad import (
    athletes,
    restrictions,
)
from sessions.boards.queries.told import Told, told
from sessions.practices.models import Attendance, Block, Practice
from sessions.trends.models import DayDrill

Squads = Mapping[UUID, frozenset[UUID]]
"""Those of each athlete."""
SEEN_DAYS = 120
"""How far back it is looked for when somebody was last seen; before that, "longer" says enough."""


@dataclass(frozen=True, slots=True)
class PracticeOfDay:
    """later: how many of its series come after it; to_come: whether it can still be cancelled."""

    id: UUID
    day: date
    later: int
    to_come: bool
    starts: time
    ends: time
    zone: str
    squads: tuple[str, ...]
    venue: str
    plan: Plan
    expected: int
    came: int
    roll_taken: bool
    adults: tuple[str, ...]
    focus: str
    focus_phase: str
    focus_cells: tuple[str, ...]
    focus_flag: str

    @property
    def pk(self) -> UUID:
        return self.id

    @property
    def called_off(self) -> bool:
        """Cancelled, and not over: whoever reads the week must not miss it."""
        return self.to_come and self.plan is Plan.CANCELLED

    @property
    def plan_words(self) -> str:
        return words.plan_name(self.plan)

    @property
    def where(self) -> str:
        return words.where_words(self.squads, self.venue)

    @property
    def turnout(self) -> str:
        """Who came, or how many are expected. Where nobody took the roll and no rep was logged, that is said."""
        if self.came or (self.plan is Plan.HELD and self.roll_taken):
            return words.came_words(self.came, max(self.came, self.expected))
        if self.plan is Plan.HELD:
            return words.no_roll_words()
        return words.expected_words(self.expected)


@dataclass(frozen=True, slots=True)
class Day:
    """done: reps of the whole day."""

    day: date
    today: bool
    practices: tuple[PracticeOfDay, ...]
    done: int

    @property
    def logged(self) -> str:
        return words.logged_words(self.done)


@dataclass(frozen=True, slots=True)
class HeldBack:
    name: str
    sentence: str


@dataclass(frozen=True, slots=True)
class Away:
    """came: their last practices, oldest first."""

    athlete: UUID
    name: str
    came: tuple[bool, ...]
    words: str


@dataclass(frozen=True, slots=True)
class Week:
    """told: unsafe reps of its practices, and who was taken out of one. called_off: practices to come."""

    days: tuple[Day, ...]
    figures: WeekFigures
    advice: AdviceList
    absences: tuple[Away, ...]
    held: tuple[HeldBack, ...]
    told: tuple[Told, ...]
    worth_a_look: WorthALook

    @property
    def called_off(self) -> list[PracticeOfDay]:
        return [practice for day in self.days for practice in day.practices if practice.called_off]


def week(member: Member, monday: date, today: date, now: datetime) -> Week:
    """monday: of the week shown. Advice and absences are those of today. The number of queries is fixed."""
    roster = athletes(member)
    days = week_days(member, monday, today, roster)
    held = tuple(restrictions(member, today))
    advice = advice_list(member, roster, today, held, now)
    absences = not_seen(member, roster, today)
    shown = [practice for day in days for practice in day.practices]
    told_signals = worth_a_look(member, today)
    totals = WeekFigures(
        plans=count_plans(practice.plan for practice in shown),
        today=sum(len(day.practices) for day in days if day.today),
        ahead=advice.ahead_total,
        easier=advice.easier_total,
        away=len(absences),
        worth_a_look=len(told_signals.rows) + told_signals.more,
    )
    long_with_us = {one.pk for one in roster if one.joined_on < today - timedelta(days=SEEN_DAYS)}
    away = tuple(
        Away(one.athlete, one.name, one.came, words.away_words(one.days, SEEN_DAYS * (one.athlete in long_with_us)))
        for one in absences
    )
    tells = member.may(Permission.RESTRICTION_REASON)
    first = told(member, {practice.id: practice.zone for practice in shown}, with_day=True)
    return Week(days, totals, advice, away, tuple(_held_back(row, tells) for row in held), first, told_signals)


def _held_back(row: Restriction, tells_why: bool) -> HeldBack:
    sentence = words.restriction_sentence(row.what, row.ends_on, row.needs_clearance, tells_why)
    return HeldBack(f"{row.athlete}:", words.reported_sentence(sentence) if row.unanswered else sentence)


# Practices


def week_days(member: Member, monday: date, today: date, roster: Sequence[Athlete]) -> tuple[Day, ...]:
    days = week_of(monday)
    rows = list(_practices(member).filter(day__range=(days[0], days[-1])))
    by_day = {day: [practice for practice in rows if practice.day == day] for day in days}
    squads = squads_by_athlete(roster)
    there = turnout(member, rows, squads)
    done = _done(member, days)
    return tuple(
        Day(
            day,
            day == today,
            tuple(_practice(one, today, done.get(day, 0), there[one.pk], squads) for one in by_day[day]),
            done.get(day, 0),
        )
        for day in days
    )


def _practices(member: Member) -> QuerySet[Practice]:
    """With how many blocks they have and how many athletes the roll names, each counted on its own."""
    blocks = Block.objects.for_member(member).filter(practice=OuterRef("pk")).order_by()
    roll = Attendance.objects.for_member(member).filter(practice=OuterRef("pk"), state__in=ROLL).order_by()
    later = Practice.objects.for_member(member).filter(series=OuterRef("series"), day__gt=OuterRef("day")).order_by()
    after = later.filter(released_at__isnull=True, cancelled_at__isnull=True)
    return (
        Practice.objects.for_member(member)
        .select_related("venue", "focus")
        .prefetch_related("squads", "adults__person")
        .annotate(n_blocks=_counted(blocks), n_noted=_counted(roll), n_later=_counted(after, "series"))
        .order_by("day", "starts", "pk")
    )


def _counted(rows: QuerySet[Any], together: str = "practice") -> Coalesce:
    return Coalesce(Subquery(rows.values(together).annotate(n=Count("pk")).values("n")), 0)


def _done(member: Member, days: Sequence[date]) -> dict[date, int]:
    rows = DayDrill.objects.for_member(member).filter(day__range=(days[0], days[-1]))
    return dict(rows.values_list("day").annotate(Sum("done")))


def _practice(practice: Practice, today: date, done: int, came: int, athletes_squads: Squads) -> PracticeOfDay:
    squads = {squad.pk: squad.name for squad in practice.squads.all()}
    focus = practice.focus
    cells = tuple(map(str, focus.cells)) if focus else ()
    return PracticeOfDay(
        id=practice.pk,
        day=practice.day,
        later=practice.n_later,
        to_come=practice.day >= today,
        starts=practice.starts,
        ends=practice.ends,
        zone=practice.zone,
        squads=tuple(squads.values()),
        venue=practice.venue.name,
        plan=plan_of(
            practice.day,
            today,
            cancelled=practice.cancelled_at is not None,
            published=practice.published_at is not None,
            blocks=practice.n_blocks,
            came=came,
            done=done,
        ),
        expected=sum(not theirs.isdisjoint(squads) for theirs in athletes_squads.values()),
        came=came,
        roll_taken=practice.n_noted > 0,
        adults=tuple(one.person.given_name for one in practice.adults.all()),
        focus=focus.name if focus else "",
        focus_phase=focus.phase if focus else "",
        focus_cells=cells,
        focus_flag=next((cell for cell in cells if cell in map(str, STEPS)), ""),
    )


def squads_by_athlete(roster: Sequence[Athlete]) -> Squads:
    """Read once: each look at rows that came along makes a query set of its own."""
    return {athlete.pk: frozenset(squad.pk for squad in athlete.squads.all()) for athlete in roster}


# Not seen lately


def not_seen(member: Member, roster: Sequence[Athlete], today: date) -> tuple[Absence, ...]:
    """Longest away first. Six queries."""
    held = list(_held(member, today))
    return tuple(_absences(roster, held, came(member, roster, held), _last_seen(member, today), today))


def _last_seen(member: Member, today: date) -> dict[UUID, date]:
    """The last day each was noted as there or did a rep, within the days looked back on."""
    since = today - timedelta(days=SEEN_DAYS)
    there = Attendance.objects.for_member(member).filter(state__in=THERE, practice__day__range=(since, today))
    last = dict(there.values_list("athlete").annotate(Max("practice__day")))
    did = DayDrill.objects.for_member(member).filter(athlete=OuterRef("pk"), day__range=(since, today), done__gt=0)
    newest = did.order_by("-day").values("day")[:1]
    rows = Athlete.objects.for_member(member).annotate(did=newest).filter(did__isnull=False).order_by()
    for athlete, day in rows.values_list("pk", "did"):
        last[athlete] = max(day, last.get(athlete, day))
    return last


def _held(member: Member, today: date) -> QuerySet[Practice]:
    """The last practices at which anybody was, newest first; four squads' worth."""
    rows = Practice.objects.for_member(member).filter(day__lte=today, cancelled_at__isnull=True)
    anybody = Attendance.objects.for_member(member).filter(practice=OuterRef("pk"), state__in=THERE)
    rows = rows.filter(Exists(anybody)).prefetch_related("squads")
    return rows.order_by("-day", "-starts", "-pk")[: 4 * SHOWN_PRACTICES]


def _absences(
    roster: Sequence[Athlete],
    held: Sequence[Practice],
    there: set[tuple[UUID, UUID]],
    last: Mapping[UUID, date],
    today: date,
) -> list[Absence]:
    found = []
    squads_of = squads_by_athlete(roster)
    called = [(practice, frozenset(squad.pk for squad in practice.squads.all())) for practice in held]
    for athlete in roster:
        expected = [practice for practice, squads in called if squads & squads_of[athlete.pk]]
        seen = last.get(athlete.pk)
        if is_long_away(seen, athlete.joined_on, expected[0].day if expected else None, today):
            shown = [(athlete.pk, practice.pk) in there for practice in expected[:SHOWN_PRACTICES]]
            days = (today - seen).days if seen else None
            found.append(Absence(athlete.pk, str(athlete), tuple(reversed(shown)), days))
    return sorted(found, key=lambda absence: (absence.days is not None, -(absence.days or 0), absence.name))
