"""What the invented club's head coach has decided: most of what the reps advise, with the advice and against it.

Through the same action as a touch on the week page, last evening. Some is left, so that there is something to do.
"""

from collections.abc import Iterable
from datetime import datetime, time, timedelta
from itertools import cycle
from uuid import UUID

from athletes.actions import decide
from athletes.core.standing import DecisionKind as Kind
from athletes.models import Athlete
from club import duties
from club.members import Member
from club.roles import Permission
from drills.models import Drill
from sessions.boards.queries.advice import Advised, Asked, advice_list
from sessions.boards.queries.squad import athletes, recent_figures, restrictions
from sessions.demo.entering import Crew

EVENING = time(20, 15)
LEFT = None
ON_SETTLED = (Kind.SETTLED, Kind.SETTLED, Kind.KEEP_ON, Kind.SETTLED, LEFT)
ON_EASIER = (Kind.EASIER_DRILL, Kind.KEEP_ON, LEFT)
ON_ASKED = (Kind.TOUCH, Kind.KEEP_ON, LEFT)
"""Turn by turn, as the advice list has them. To keep on where it says settled, or easier drill, is against it."""


def decide_most(crew: Crew) -> None:
    """After the figures were counted up."""
    by = crew.by.acting(Permission.DECIDE)
    at = datetime.combine(crew.now.date() - timedelta(days=1), EVENING, crew.now.tzinfo)
    roster = athletes(by)
    asked = advice_list(by, roster, crew.now.date(), restrictions(by, crew.now.date()), crew.now)
    who = {athlete.pk: athlete for athlete in roster}
    drills = {drill.key: drill for drill in Drill.objects.for_member(by)}
    for pair, kind in (
        *zip(_pairs((*asked.ahead, *asked.settled)), cycle(ON_SETTLED)),  # noqa: B905  (a cycle has no end)
        *zip(_pairs(asked.easier), cycle(ON_EASIER)),  # noqa: B905
        *zip(_pairs(asked.asked), cycle(ON_ASKED)),  # noqa: B905
    ):
        if kind is not LEFT:
            _touch(by, who[pair[0]], drills[pair[1]], kind, at)
    duties.drain(duties.QUICK, seconds=60)


def _pairs(rows: Iterable[Advised | Asked]) -> list[tuple[UUID, str]]:
    return [(one.athlete, one.drill if isinstance(one, Asked) else one.stand.drill) for one in rows]


def _touch(by: Member, athlete: Athlete, drill: Drill, kind: Kind, at: datetime) -> None:
    recent = recent_figures(by, athlete, drill)
    decide(by=by, athlete=athlete, drill=drill, kind=kind, today=at.date(), now=at, recent=recent)
