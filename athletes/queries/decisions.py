"""Reads of decisions: what was decided, on which figures, with or against the advice."""

from collections.abc import Mapping
from datetime import date, datetime, timedelta
from typing import Any
from uuid import UUID

from django.db.models import QuerySet

from athletes.core.readiness import Advice, StartOver
from athletes.core.standing import DecisionKind
from athletes.models import Athlete, Decision
from athletes.queries.readiness import DrillReading, athlete_readiness
from athletes.queries.standing import Stand
from club.members import Member
from club.models import Club
from drills.models import Drill

MAY_TAKE_BACK_FOR = timedelta(minutes=30)
"""A slip of the thumb is noticed at once. What a coach thinks better of later is a decision of its own."""
OPEN = "open"
"""The advice where nothing is lacking for a contact drill but the head coach's touch."""
Side = Decision.Side


def reading_at(member: Member, athlete: Athlete, drill: Drill, today: date) -> DrillReading | None:
    """None while no rep was logged. One query."""
    found = athlete_readiness(member, athlete, today)
    return next((reading for reading in found if reading.drill_id == drill.pk), None)


def figures_of(reading: DrillReading | None, stand: Stand, names: Mapping[str, str]) -> dict[str, Any]:
    """Plain values of what was read: estimate, low and high (shares), n (weight of evidence), reps and days (counted),
    slip, recent ("1" good, oldest first), since_unsafe; standing and needs as they stood. names: of drills by key, as
    they were called then."""
    needs = [{**need, "name": names.get(need["need"], need["need"])} for need in stand.lacking]
    figures: dict[str, Any] = {"standing": stand.state.value, "needs": needs}
    if reading is None or not reading.state.reps:
        return figures
    said, state = reading.advised.reading, reading.state
    read = {name: getattr(said, name) for name in ("estimate", "low", "high", "n", "reps", "days", "slip")}
    return {**figures, **read, "recent": state.recent, "since_unsafe": state.since_unsafe}


def advice_at(kind: DecisionKind, reading: DrillReading | None, stand: Stand) -> str:
    """What the figures advise where this is decided: to open a contact drill, or the advice on its reps."""
    if stand.asks and kind in (DecisionKind.TOUCH, DecisionKind.KEEP_ON):
        return OPEN
    if kind in (DecisionKind.TOUCH, DecisionKind.PLACE) or reading is None:
        return ""
    return reading.advised.advice.value


_WITH = {
    DecisionKind.TOUCH: OPEN,
    DecisionKind.SETTLED: Advice.SETTLED.value,
    DecisionKind.KEEP_ON: Advice.KEEP_ON.value,
    DecisionKind.EASIER_DRILL: Advice.EASIER_DRILL.value,
}


def side_of(kind: DecisionKind, advice: str) -> Decision.Side:
    """Whether the decision goes with the advice. A touch before the figures open a drill goes against them."""
    if kind in (DecisionKind.PLACE, DecisionKind.START_OVER):
        return Side.NONE
    if kind is DecisionKind.TOUCH:
        return Side.WITH if advice == OPEN else Side.AGAINST
    if advice in ("", Advice.NO_REPS.value):
        return Side.NONE
    return Side.WITH if _WITH[kind] == advice else Side.AGAINST


def of_athlete(member: Member, athlete: Athlete) -> QuerySet[Decision]:
    """Newest first, for paging; those that take another back stand with what they took back."""
    rows = Decision.objects.for_member(member).filter(athlete=athlete).exclude(kind=Decision.Kind.TAKEN_BACK)
    return rows.select_related("drill", "by", "taken_back_by__by")


def standing_decisions(member: Member, since: date) -> list[Decision]:
    """Everybody's since that day that were not taken back, newest first. One query."""
    rows = Decision.objects.for_member(member).filter(day__gte=since, taken_back_by__isnull=True)
    rows = rows.exclude(kind=Decision.Kind.TAKEN_BACK).filter(athlete__left_on__isnull=True)
    return list(rows.select_related("athlete__person", "drill", "by"))


def started_over(club: Club, athlete_id: UUID, drill_id: int, since: date) -> list[StartOver]:
    """Where the drill was started over since that day and that was not taken back, in order. One query."""
    rows = Decision.objects.for_club(club).filter(athlete_id=athlete_id, drill_id=drill_id, day__gte=since)
    rows = rows.filter(kind=Decision.Kind.START_OVER, taken_back_by__isnull=True).order_by("day", "at", "pk")
    return [StartOver(day, at) for day, at in rows.values_list("day", "at")]


def may_take_back(decision: Decision, now: datetime) -> bool:
    """While it is fresh. Whether it was taken back already, the caller has read."""
    return decision.kind != Decision.Kind.TAKEN_BACK and now - decision.at <= MAY_TAKE_BACK_FOR


def newest_by_pair(decisions: list[Decision]) -> Mapping[tuple[UUID, int], Decision]:
    """Of decisions newest first, the newest of each athlete and drill."""
    found: dict[tuple[UUID, int], Decision] = {}
    for decision in decisions:
        found.setdefault((decision.athlete_id, decision.drill_id), decision)
    return found
