"""What the figures advise for everybody: drills that are settled and lead on, easier drills, the nearest to settled."""

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from datetime import date
from uuid import UUID

from athletes.models import Athlete, Restriction
from athletes.queries import DrillReading, squad_readiness
from club.members import Member
from drills.models import Drill
from sessions.boards.core import CellState, cell_state
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
class AdviceList:
    """ahead: settled and leading on; nearest: of those that keep on. Totals count what is not shown, too."""

    ahead: tuple[Advised, ...]
    easier: tuple[Advised, ...]
    nearest: tuple[Advised, ...]
    ahead_total: int
    easier_total: int
    keep_on_total: int


def advice_list(member: Member, roster: Sequence[Athlete], today: date, held: Iterable[Restriction]) -> AdviceList:
    """What the figures say of everybody, the widest apart first. Four queries."""
    course = progression(member)
    by_state = _by_state(course, _of_roster(squad_readiness(member, today), roster), held_risks(held))
    ahead = by_state.get(CellState.AHEAD, [])
    easier = by_state.get(CellState.EASIER_DRILL, [])
    keep_on = by_state.get(CellState.KEEP_ON, [])
    ahead.sort(key=lambda found: -found.advised.reading.low)
    easier.sort(key=lambda found: found.advised.reading.high)
    keep_on.sort(key=lambda found: -found.advised.reading.low)
    shown = [*ahead[:SHOWN_ADVICE], *easier[:SHOWN_ADVICE], *keep_on[:NEAREST]]
    recent = recent_by_pair(member, [(reading.athlete_id, reading.drill_id) for reading in shown])
    names = {athlete.pk: str(athlete) for athlete in roster}
    drills = {drill.pk: drill for drill in course.drills}

    def said(readings: list[DrillReading], state: CellState, limit: int) -> tuple[Advised, ...]:
        return tuple(
            Advised(
                reading.athlete_id,
                names[reading.athlete_id],
                stand(
                    drills[reading.drill_id],
                    reading,
                    recent.get((reading.athlete_id, reading.drill_id), NO_RECENT),
                    course,
                    state,
                    today,
                ),
            )
            for reading in readings[:limit]
        )

    return AdviceList(
        ahead=said(ahead, CellState.AHEAD, SHOWN_ADVICE),
        easier=said(easier, CellState.EASIER_DRILL, SHOWN_ADVICE),
        nearest=said(keep_on, CellState.KEEP_ON, NEAREST),
        ahead_total=len(ahead),
        easier_total=len(easier),
        keep_on_total=len(keep_on) + len(by_state.get(CellState.TOO_LITTLE_SEEN, [])),
    )


def _of_roster(readings: Iterable[DrillReading], roster: Iterable[Athlete]) -> list[DrillReading]:
    """Without those who have left."""
    here = {athlete.pk for athlete in roster}
    return [reading for reading in readings if reading.athlete_id in here]


def _by_state(
    course: Progression, readings: Sequence[DrillReading], held: Mapping[UUID, set[str]]
) -> dict[CellState, list[DrillReading]]:
    drills: dict[int, Drill] = {drill.pk: drill for drill in course.drills}
    counted: dict[UUID, set[int]] = {}
    for reading in readings:
        if reading.state.reps:
            counted.setdefault(reading.athlete_id, set()).add(reading.drill_id)
    found: dict[CellState, list[DrillReading]] = {}
    for reading in readings:
        if drill := drills.get(reading.drill_id):
            excluded = drill.risk in held.get(reading.athlete_id, set())
            leads_on = course.leads_on(drill, counted.get(reading.athlete_id, set()))
            state = cell_state(figures(reading), held=excluded, leads_on=leads_on)
            found.setdefault(state, []).append(reading)
    return found
