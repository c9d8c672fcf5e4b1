"""One athlete's map of the progression: where the figures say they stand at each drill."""

from datetime import date

from athletes.core.readiness import Advice
from athletes.models import Athlete
from athletes.queries import DrillReading, athlete_readiness
from club.members import Member
from drills.queries import DrillState, Progression, progress_map
from sessions.boards import words
from sessions.boards.queries.squad import held_risks, progression, restrictions


def athlete_map(member: Member, athlete: Athlete, today: date) -> Progression:
    """Settled, in work or without reps, from readiness as it reads today; what a restriction excludes."""
    readings = {reading.drill_id: reading for reading in athlete_readiness(member, athlete, today)}
    held = held_risks(restrictions(member, today).filter(athlete=athlete)).get(athlete.pk, set())
    states = {
        drill.key: _state(readings.get(drill.pk), held=drill.risk in held) for drill in progression(member).drills
    }
    return progress_map(member, states)


def _state(reading: DrillReading | None, *, held: bool) -> DrillState:
    if held:
        return DrillState(words.map_words("held"), "none")
    if reading is None or not reading.state.reps:
        return DrillState(words.map_words("none"), "none")
    look = "settled" if reading.advised.advice is Advice.SETTLED else "work"
    return DrillState(words.map_words(look), look)
