"""What the figures advise for everybody, and what of it the head coach has not decided yet."""

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from datetime import date, datetime
from uuid import UUID

from athletes.models import Athlete, Restriction
from athletes.queries import DrillReading, squad_readiness
from athletes.queries.standing import Stands, stands
from club.members import Member
from club.roles import Permission
from drills.core.catalogue import RiskClass
from drills.models import Drill
from sessions.boards import decision_words
from sessions.boards.core import CellState, cell_state
from sessions.boards.queries import deciding
from sessions.boards.queries.deciding import Act, Decided, Done, Told
from sessions.boards.queries.squad import (
    NO_RECENT,
    DrillStand,
    Progression,
    figures,
    held_risks,
    progression,
    recent_by_pair,
    stand,
)

SHOWN_ADVICE = 12
"""Rows of one advice on the week page; the squad board holds them all."""
NEAREST = 2


@dataclass(frozen=True, slots=True)
class Advised:
    athlete: UUID
    name: str
    stand: DrillStand


@dataclass(frozen=True, slots=True)
class Asked:
    """A contact drill for which nothing is lacking but the head coach's touch."""

    athlete: UUID
    name: str
    drill: str
    drill_name: str
    sentence: str
    acts: tuple[Act, ...]


@dataclass(frozen=True, slots=True)
class AdviceList:
    """told: for the head coach alone. ahead: settled and leading on; settled: the others, undecided; nearest: of those
    that keep on; done: decided a moment ago. Totals count what is not shown, too."""

    told: tuple[Told, ...]
    asked: tuple[Asked, ...]
    ahead: tuple[Advised, ...]
    settled: tuple[Advised, ...]
    easier: tuple[Advised, ...]
    nearest: tuple[Advised, ...]
    done: tuple[Done, ...]
    ahead_total: int
    settled_total: int
    easier_total: int
    keep_on_total: int


@dataclass(frozen=True, slots=True)
class _Known:
    """What every row is made from."""

    member: Member
    course: Progression
    stands: Stands
    decided: Decided
    held: Mapping[UUID, set[str]]
    athletes: Mapping[UUID, Athlete]
    today: date

    def state(self, drill: Drill, reading: DrillReading, counted: set[int]) -> CellState:
        excluded = drill.risk in self.held.get(reading.athlete_id, set())
        leads_on = self.course.leads_on(drill, counted)
        now = self.stands.of(reading.athlete_id, drill).state
        return cell_state(figures(reading), now, held=excluded, leads_on=leads_on)


def advice_list(
    member: Member, roster: Sequence[Athlete], today: date, held: Iterable[Restriction], now: datetime
) -> AdviceList:
    """What the figures say of everybody, the widest apart first. Seven queries."""
    course = progression(member)
    decided = deciding.decided(member, today)
    standing = stands(member, needed=course.needed)
    athletes = {athlete.pk: athlete for athlete in roster}
    known = _Known(member, course, standing, decided, held_risks(held), athletes, today)
    readings = _of_roster(squad_readiness(member, today), roster)
    by_state = _by_state(known, readings)
    ahead = _undecided(known, by_state.get(CellState.AHEAD, []))
    settled = _undecided(known, by_state.get(CellState.SETTLED, []))
    easier = _undecided(known, by_state.get(CellState.EASIER_DRILL, []))
    keep_on = by_state.get(CellState.KEEP_ON, [])
    for found in (ahead, settled, keep_on):
        found.sort(key=lambda reading: -reading.advised.reading.low)
    easier.sort(key=lambda reading: reading.advised.reading.high)
    groups = [ahead[:SHOWN_ADVICE], settled[:SHOWN_ADVICE], easier[:SHOWN_ADVICE], keep_on[:NEAREST]]
    states = (CellState.AHEAD, CellState.SETTLED, CellState.EASIER_DRILL, CellState.KEEP_ON)
    rows = _said(known, list(zip(groups, states, strict=True)))
    return AdviceList(
        told=deciding.told(member),
        asked=tuple(_asked(known, readings)),
        ahead=rows[0],
        settled=rows[1],
        easier=rows[2],
        nearest=rows[3],
        done=deciding.fresh(member, decided, now),
        ahead_total=len(ahead),
        settled_total=len(settled),
        easier_total=len(easier),
        keep_on_total=len(keep_on) + len(by_state.get(CellState.TOO_LITTLE_SEEN, [])),
    )


def _said(known: _Known, groups: list[tuple[list[DrillReading], CellState]]) -> list[tuple[Advised, ...]]:
    pairs = [(reading.athlete_id, reading.drill_id) for readings, _state in groups for reading in readings]
    recent = recent_by_pair(known.member, pairs)
    drills = {drill.pk: drill for drill in known.course.drills}
    decides = known.member.may(Permission.DECIDE)

    def row(reading: DrillReading, state: CellState) -> Advised:
        athlete, drill = known.athletes[reading.athlete_id], drills[reading.drill_id]
        now = known.stands.of(athlete.pk, drill)
        answered = known.decided.answers(reading, now)
        advice = reading.advised.advice.value
        acts = deciding.acts(athlete, drill, now, advice, decided=answered) if decides and now.is_open else ()
        last = recent.get((athlete.pk, drill.pk), NO_RECENT)
        said = stand(drill, reading, last, known.course, state, known.today, now, acts)
        return Advised(athlete.pk, str(athlete), said)

    return [tuple(row(reading, state) for reading in readings) for readings, state in groups]


def _undecided(known: _Known, readings: list[DrillReading]) -> list[DrillReading]:
    drills = {drill.pk: drill for drill in known.course.drills}
    return [
        reading
        for reading in readings
        if not known.decided.answers(reading, known.stands.of(reading.athlete_id, drills[reading.drill_id]))
        and (reading.advised.advice.value != "keep on")
    ]


def _asked(known: _Known, readings: Iterable[DrillReading]) -> Iterable[Asked]:
    """Contact drills to open, unless a restriction excludes them or they were put off since the last practice of what
    they rest on."""
    names = {drill.key: drill.name for drill in known.course.drills}
    last: dict[UUID, date] = {}
    for reading in readings:
        if day := reading.state.day:
            last[reading.athlete_id] = max(day, last.get(reading.athlete_id, day))
    decides = known.member.may(Permission.DECIDE)
    for drill in known.course.drills:
        if drill.risk == RiskClass.CONTACT:
            for athlete in known.athletes.values():
                now = known.stands.of(athlete.pk, drill)
                excluded = drill.risk in known.held.get(athlete.pk, set())
                if now.asks and not excluded and not known.decided.puts_off(athlete.pk, drill, last.get(athlete.pk)):
                    acts = deciding.acts(athlete, drill, now, "", decided=False) if decides else ()
                    sentence = decision_words.ask_sentence(now, names)
                    yield Asked(athlete.pk, str(athlete), drill.key, drill.name, sentence, acts)


def _of_roster(readings: Iterable[DrillReading], roster: Iterable[Athlete]) -> list[DrillReading]:
    """Without those who have left."""
    here = {athlete.pk for athlete in roster}
    return [reading for reading in readings if reading.athlete_id in here]


def _by_state(known: _Known, readings: Sequence[DrillReading]) -> dict[CellState, list[DrillReading]]:
    drills: dict[int, Drill] = {drill.pk: drill for drill in known.course.drills}
    counted: dict[UUID, set[int]] = {}
    for reading in readings:
        if reading.state.reps:
            counted.setdefault(reading.athlete_id, set()).add(reading.drill_id)
    found: dict[CellState, list[DrillReading]] = {}
    for reading in readings:
        if drill := drills.get(reading.drill_id):
            state = known.state(drill, reading, counted.get(reading.athlete_id, set()))
            found.setdefault(state, []).append(reading)
    return found
