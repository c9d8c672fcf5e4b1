"""The squad board: athletes by drills from stored readiness. The number of queries does not grow with either."""

from collections.abc import Iterable, Mapping, Set
from dataclasses import dataclass
from datetime import date, datetime
from uuid import UUID

from django.db.models import OuterRef, Q, QuerySet
from django.utils.translation import gettext as _

from athletes.core.readiness import Advice, AdviceReason
from athletes.core.standing import Standing
from athletes.models import Athlete, Readiness, Restriction, Squad
from athletes.queries import SETTINGS, DrillReading, athlete_readiness, squad_readiness
from athletes.queries.standing import Stand, Stands, stands
from club.members import Member
from club.roles import Permission
from drills.core.strip import Strip, drill_strip
from drills.models import Drill, Need
from sessions.boards import decision_words, words
from sessions.boards.board_words import CellWords
from sessions.boards.core import (
    Board,
    Cell,
    CellState,
    Column,
    DayFigures,
    Figures,
    RecentReps,
    Row,
    assemble,
    cell_state,
    recent_reps,
)
from sessions.boards.queries import deciding
from sessions.boards.queries.deciding import Act
from sessions.trends.models import DayDrill

Pair = tuple[UUID, int]
SHOWN_DAYS = 15
"""Days with counted reps that "the last reps" can need: one rep a day at least."""


@dataclass(frozen=True, slots=True)
class Progression:
    """The drills in use, in order, and by primary key which drills need each. needed: those that have needs."""

    drills: tuple[Drill, ...]
    leads_to: Mapping[int, tuple[Drill, ...]]
    needed: frozenset[int] = frozenset()

    def leads_on(self, drill: Drill, counted: Set[int]) -> bool:
        """Whether other drills need this one and none of them is among those with counted reps."""
        later = self.leads_to.get(drill.pk, ())
        return bool(later) and not any(one.pk in counted for one in later)


def progression(member: Member) -> Progression:
    """Two queries."""
    drills = Drill.objects.for_member(member).filter(retired=False).select_related("stage")
    ordered = tuple(drills.order_by("stage__number", "order", "pk"))
    by_pk = {drill.pk: drill for drill in ordered}
    needed_by: dict[int, list[Drill]] = {}
    needs = list(Need.objects.for_member(member).order_by("drill__order").values_list("drill", "needed"))
    for drill_id, needed_id in needs:
        if drill_id in by_pk:
            needed_by.setdefault(needed_id, []).append(by_pk[drill_id])
    with_needs = frozenset(drill_id for drill_id, _needed in needs)
    return Progression(ordered, {key: tuple(drills) for key, drills in needed_by.items()}, with_needs)


def squads(member: Member) -> list[Squad]:
    return list(Squad.objects.for_member(member))


def athletes(member: Member, squad: Squad | None = None) -> list[Athlete]:
    """Those who have not left, with person and squads. Two queries."""
    rows = Athlete.objects.for_member(member).filter(left_on__isnull=True).select_related("person")
    if squad:
        rows = rows.filter(squads=squad)
    return list(rows.prefetch_related("squads").order_by("person__given_name", "person__family_name", "pk"))


def restrictions(member: Member, today: date) -> QuerySet[Restriction]:
    """Those in force today, of athletes who have not left."""
    rows = Restriction.objects.for_member(member).filter(Restriction.binding_on(today))
    return rows.filter(athlete__left_on__isnull=True).select_related("athlete__person").order_by("starts_on", "pk")


def held_risks(rows: Iterable[Restriction]) -> dict[UUID, set[str]]:
    """Athlete → risk classes that a restriction excludes."""
    held: dict[UUID, set[str]] = {}
    for row in rows:
        held.setdefault(row.athlete_id, set()).update(row.excluded)
    return held


def figures(reading: DrillReading) -> Figures:
    said = reading.advised.reading
    return Figures(advice_key(reading), said.low, said.estimate, said.high, said.reps, said.days)


def advice_key(reading: DrillReading) -> str:
    """The advice; *keep on* for want of reps says so."""
    if reading.advised.reason is AdviceReason.TOO_LITTLE_SEEN:
        return CellState.TOO_LITTLE_SEEN
    return {
        Advice.NO_REPS: CellState.NO_REPS,
        Advice.KEEP_ON: CellState.KEEP_ON,
        Advice.EASIER_DRILL: CellState.EASIER_DRILL,
        Advice.SETTLED: CellState.SETTLED,
    }[reading.advised.advice]


def squad_board(member: Member, today: date, squad: Squad | None = None) -> Board:
    """Everybody's readiness at every drill, furthest first. Seven queries."""
    course = progression(member)
    standing = stands(member, needed=course.needed)
    by_athlete: dict[UUID, dict[int, DrillReading]] = {}
    for reading in squad_readiness(member, today):
        by_athlete.setdefault(reading.athlete_id, {})[reading.drill_id] = reading
    held = held_risks(restrictions(member, today))
    said = CellWords()
    rows = (
        _row(said, course, athlete, by_athlete.get(athlete.pk, {}), held.get(athlete.pk, set()), standing)
        for athlete in athletes(member, squad)
    )
    return assemble([_column(course, place) for place in range(len(course.drills))], rows)


def _column(course: Progression, place: int) -> Column:
    drill = course.drills[place]
    before = course.drills[place - 1].stage_id if place else None
    return Column(
        drill.key,
        drill.name,
        drill.short,
        drill_strip(drill),
        drill.stage.name,
        drill.stage.number,
        drill.stage_id != before,
    )


def _row(
    said: CellWords,
    course: Progression,
    athlete: Athlete,
    readings: Mapping[int, DrillReading],
    held: set[str],
    standing: Stands,
) -> Row:
    counted = {key for key, reading in readings.items() if reading.state.reps}
    name = str(athlete)
    cells = []
    stage = None
    for drill in course.drills:
        reading = readings.get(drill.pk)
        shown = figures(reading) if reading else None
        now = standing.of(athlete.pk, drill).state
        state = cell_state(shown, now, held=drill.risk in held, leads_on=course.leads_on(drill, counted))
        shut = drill.pk in counted and now in SHUT
        sentence = said.say(name, drill.name, state, shown, SHUT[now]() if shut else "")
        cells.append(Cell(drill.key, state, shown, drill.stage_id != stage, sentence, shut))
        stage = drill.stage_id
    return Row(athlete.pk, name, words.listed([squad.name for squad in athlete.squads.all()]), tuple(cells))


SHUT = {Standing.NOT_OPEN: lambda: _("not open yet"), Standing.CLOSED_AGAIN: lambda: _("closed again")}


def recent_by_pair(member: Member, pairs: Iterable[Pair]) -> dict[Pair, RecentReps]:
    """The last reps of each athlete and drill, from day counts. Two queries, however long the past is."""
    wanted = Q(pk__in=[])
    for athlete_id, drill_id in pairs:
        wanted |= Q(athlete=athlete_id, drill=drill_id)
    return _recent(member, wanted)


def recent_of_athlete(member: Member, athlete: Athlete) -> dict[Pair, RecentReps]:
    """The same for every drill of one athlete. Two queries."""
    return _recent(member, Q(athlete=athlete))


def _recent(member: Member, wanted: Q) -> dict[Pair, RecentReps]:
    """First from which day on each pair is to be read, then those days alone."""
    days = DayDrill.objects.for_member(member).filter(counted__gt=0)
    theirs = days.filter(athlete=OuterRef("athlete"), drill=OuterRef("drill")).order_by("-day").values("day")
    since = Readiness.objects.for_member(member).filter(wanted).annotate(since=theirs[SHOWN_DAYS - 1 : SHOWN_DAYS])
    shown = Q(pk__in=[])
    for athlete_id, drill_id, day in since.order_by().values_list("athlete", "drill", "since"):
        shown |= Q(athlete=athlete_id, drill=drill_id, day__gte=day or date.min)
    found: dict[Pair, list[DayFigures]] = {}
    newest = days.filter(shown).order_by("-day").values_list("athlete", "drill", "day", "counted", "good")
    for athlete_id, drill_id, day, counted, good in newest:
        found.setdefault((athlete_id, drill_id), []).append(DayFigures(day, counted, good))
    return {pair: recent_reps(figures) for pair, figures in found.items()}


NO_RECENT = recent_reps([])


@dataclass(frozen=True, slots=True)
class DrillStand:
    """One athlete at one drill, ready to be said. The sentences are in the reader's language."""

    drill: str
    name: str
    strip: Strip
    state: CellState
    verdict: str
    figures: Figures | None
    recent: str
    last: str
    reason: str
    unsafe: str
    leads: str
    standing: str = ""
    acts: tuple[Act, ...] = ()


def stand(
    drill: Drill,
    reading: DrillReading,
    recent: RecentReps,
    course: Progression,
    state: CellState,
    today: date,
    standing: Stand,
    acts: tuple[Act, ...] = (),
) -> DrillStand:
    shown = figures(reading)
    return DrillStand(
        standing=decision_words.standing_words(standing),
        acts=acts,
        drill=drill.key,
        name=drill.name,
        strip=drill_strip(drill),
        state=state,
        verdict=shown.advice,
        figures=shown,
        recent=words.recent_sentence(recent),
        last=words.ago_words(recent.last, today) if recent.last else "",
        reason=words.reason_sentence(reading.advised, SETTINGS),
        unsafe=words.unsafe_sentence(reading.state.since_unsafe, SETTINGS.unsafe_window),
        leads=words.leads_sentence([later.name for later in course.leads_to.get(drill.pk, ())]),
    )


@dataclass(frozen=True, slots=True)
class Standings:
    """One athlete at the drills they have tried, in order of the progression, and at those not open to them."""

    tried: tuple[DrillStand, ...]
    not_open: tuple[deciding.NotOpen, ...]


def athlete_standings(member: Member, athlete: Athlete, today: date) -> Standings:
    """Seven queries."""
    course = progression(member)
    standing = stands(member, [athlete], course.needed)
    decided = deciding.decided(member, today)
    readings = {reading.drill_id: reading for reading in athlete_readiness(member, athlete, today)}
    counted = {key for key, reading in readings.items() if reading.state.reps}
    recent = recent_of_athlete(member, athlete)
    held = held_risks(restrictions(member, today).filter(athlete=athlete)).get(athlete.pk, set())
    decides = member.may(Permission.DECIDE)
    tried = []
    for drill in course.drills:
        if reading := readings.get(drill.pk):
            now = standing.of(athlete.pk, drill)
            leads_on = course.leads_on(drill, counted)
            state = cell_state(figures(reading), now.state, held=drill.risk in held, leads_on=leads_on)
            last = recent.get((athlete.pk, drill.pk), NO_RECENT)
            acts = _acts(athlete, drill, now, reading, decided) if decides and state is not CellState.HELD else ()
            tried.append(stand(drill, reading, last, course, state, today, now, acts))
    free = [drill for drill in course.drills if drill.risk not in held]
    return Standings(tuple(tried), tuple(deciding.not_open(member, athlete, free, standing)))


def _acts(
    athlete: Athlete, drill: Drill, standing: Stand, reading: DrillReading, decided: deciding.Decided
) -> tuple[Act, ...]:
    if not standing.is_open:
        return ()  # said, with what is lacking, among the drills that are not open
    answered = decided.answers(reading, standing)
    advice = reading.advised.advice.value if reading.state.reps else ""
    return deciding.acts(athlete, drill, standing, advice, decided=answered, all_of_them=True)


def athlete_stands(member: Member, athlete: Athlete, today: date) -> list[DrillStand]:
    """Every drill the athlete has tried, in order of the progression."""
    return list(athlete_standings(member, athlete, today).tried)


@dataclass(frozen=True, slots=True)
class CellStand:
    """One cell of the board in full. stand: None where the drill was never tried; standing: in words; shut: where it is
    not open; next_: the drills it leads to that are not open; done: what was decided a moment ago."""

    stand: DrillStand | None
    standing: str
    shut: deciding.NotOpen | None
    next_: tuple[deciding.NotOpen, ...]
    done: deciding.Done | None


def drill_stand(member: Member, athlete: Athlete, drill: Drill, now: datetime) -> CellStand:
    today = now.date()
    found = athlete_standings(member, athlete, today)
    course = progression(member)
    later = {one.key for one in course.leads_to.get(drill.pk, ())}
    here = stands(member, [athlete], course.needed).of(athlete.pk, drill)
    newest = deciding.decided(member, today).newest.get((athlete.pk, drill.pk))
    done = deciding.done(member, newest, now) if newest else None
    return CellStand(
        stand=next((one for one in found.tried if one.drill == drill.key), None),
        standing=decision_words.standing_words(here),
        shut=next((one for one in found.not_open if one.drill == drill.key), None),
        next_=tuple(one for one in found.not_open if one.drill in later),
        done=done if done and done.undo else None,
    )


def recent_figures(member: Member, athlete: Athlete, drill: Drill) -> dict[str, int]:
    """Of the last reps, as a decision keeps them. One query."""
    recent = recent_by_pair(member, [(athlete.pk, drill.pk)]).get((athlete.pk, drill.pk), NO_RECENT)
    return {"good": recent.good, "counted": recent.counted, "days": recent.days} if recent.counted else {}
