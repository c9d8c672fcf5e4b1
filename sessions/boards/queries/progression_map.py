"""One athlete's map of the progression: where they stand at each drill, as it is worked out and stored."""

from datetime import date

from athletes.core.standing import Standing
from athletes.models import Athlete, Readiness
from athletes.queries.standing import Stand, held_risks, stands
from club.members import Member
from drills.core.catalogue import RiskClass
from drills.queries import DrillState, Progression, progress_map
from sessions.boards import words
from sessions.boards.queries.squad import progression

LOOKS = {"settled": "settled", "work": "work", "begin": "open", "asked": "open"}
"""How a box is drawn; a dashed frame is for all that is not to be done now."""


def athlete_map(member: Member, athlete: Athlete, today: date) -> Progression:
    """Eight queries."""
    course = progression(member)
    standing = stands(member, [athlete], course.needed)
    held = held_risks(member, [athlete], today).get(athlete.pk, frozenset())
    seen = Readiness.objects.for_member(member).filter(athlete=athlete, reps__gt=0)
    counted = set(seen.values_list("drill", flat=True))
    states = {}
    for drill in course.drills:
        stand = standing.of(athlete.pk, drill)
        key = _state(stand, held=RiskClass(drill.risk) in held, counted=drill.pk in counted)
        states[drill.key] = DrillState(words.map_words(key), LOOKS.get(key, "none"))
    return progress_map(member, states)


def _state(stand: Stand, *, held: bool, counted: bool) -> str:
    """A restriction lies over everything else."""
    if held:
        return "held"
    if stand.asks:
        return "asked"
    if stand.state is Standing.CLOSED_AGAIN:
        return "closed"
    if not stand.is_open:
        return "shut"
    if stand.state is Standing.SETTLED:
        return "settled"
    return "work" if counted else "begin"
