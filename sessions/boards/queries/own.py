"""What an athlete has of their own: what a coach decided that they can do now, and the marks of their notebook."""

from dataclasses import dataclass
from datetime import date, timedelta
from decimal import Decimal

from athletes.core.standing import Standing as State
from athletes.models import Athlete, Decision, NotebookEntry, Standing
from club.members import Member

GAINED_DAYS = 182
"""Half a year: far enough back for the autumn in spring, and for the spring in autumn."""
HAVE = (State.OPEN.value, State.SETTLED.value)


@dataclass(frozen=True, slots=True)
class Gained:
    """drill: its name. settled: they can do it; else it was opened for them."""

    drill: str
    since: date
    settled: bool


def gained(member: Member, athlete: Athlete, today: date) -> list[Gained]:
    """What the head coach decided in the last half year and what holds still, newest first. Two queries.

    Decisions and standings are the coaches' own rows; of both, this gives the decided result to the athlete, and
    nothing of what the figures say or of what is not decided.
    """
    rows = Decision.objects.for_club(member.club).filter(
        athlete=athlete,
        kind__in=[Decision.Kind.TOUCH, Decision.Kind.SETTLED],
        day__gt=today - timedelta(days=GAINED_DAYS),
        taken_back_by=None,
    )
    stand = Standing.objects.for_club(member.club).filter(athlete=athlete, state__in=HAVE)
    states = dict(stand.values_list("drill", "state"))
    found: dict[int, Gained] = {}
    for row in rows.select_related("drill").order_by("-day", "-at"):
        settled = row.kind == Decision.Kind.SETTLED
        if row.drill_id in states and (not settled or states[row.drill_id] == State.SETTLED.value):
            found.setdefault(row.drill_id, Gained(row.drill.name, row.day, settled))
    return list(found.values())


@dataclass(frozen=True, slots=True)
class Marks:
    """Of the newest notebook entries; metres. Each None or empty where nothing was written down."""

    on: date
    pole: str = ""
    grip_m: Decimal | None = None
    steps: int | None = None
    start_mark_m: Decimal | None = None
    mid_mark_m: Decimal | None = None


def marks(member: Member, athlete: Athlete) -> Marks | None:
    """What was last written down at one time. One query."""
    rows = NotebookEntry.objects.for_member(member).filter(athlete=athlete).select_related("pole")
    row = rows.order_by("-on", "-pk").first()
    if row is None:
        return None
    pole = row.pole.tag if row.pole else ""
    return Marks(row.on, pole, row.grip_m, row.steps, row.start_mark_m, row.mid_mark_m)
