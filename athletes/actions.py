"""Writes of athletes: their sporting profiles, and their readiness rows.

Readiness is written by the roll-up, inside its own short transaction.
"""

from collections.abc import Iterable
from datetime import date
from typing import Any
from uuid import UUID

from django.db import transaction
from django.utils.translation import gettext_noop

from athletes import queries
from athletes.core.readiness import EMPTY, Rep, Settings, State, fold
from athletes.core.sequence import replay
from athletes.models import Athlete, Readiness, ReadinessDay, Restriction, Squad
from club import audit
from club.members import Member
from club.models import Club, Person


def lock_readiness(*, club: Club, athlete_id: UUID, drill_id: int) -> None:
    """Holds the pair's row until the surrounding transaction ends, making it first if need be.

    The row is never deleted while the athlete is there: whoever waits for it must find it.
    """
    row = Readiness(club=club, athlete_id=athlete_id, drill_id=drill_id)
    Readiness.objects.bulk_create([row], ignore_conflicts=True)
    rows = Readiness.objects.for_club(club).filter(athlete_id=athlete_id, drill_id=drill_id)
    rows.select_for_update().values_list("pk").get()  # SQLite holds its one write lock instead


def replay_readiness(
    *,
    club: Club,
    athlete_id: UUID,
    drill_id: int,
    since: date,
    attempts: Iterable[Rep],
    settings: Settings = queries.SETTINGS,
) -> None:
    """Replaces the states of day ``since`` and later. attempts: all reps since that day, in order.

    The caller holds the pair's lock.
    """

    def step(state: State, attempt: Rep) -> State:
        return fold(state, attempt, settings)

    before = queries.snapshot_before(club, athlete_id, drill_id, since)
    done = replay(step, EMPTY, before, since, attempts)
    pair = {"athlete_id": athlete_id, "drill_id": drill_id}
    ReadinessDay.objects.for_club(club).filter(**pair, day__gte=since).delete()
    ReadinessDay.objects.bulk_create(
        ReadinessDay(club=club, **pair, day=day, **_columns(state)) for day, state in done.snapshots.items()
    )
    Readiness.objects.for_club(club).filter(**pair).update(**_columns(done.state))


def _columns(state: State) -> dict[str, Any]:
    """The fields of ``ReadinessColumns``: the state's own, but for ``last_good``, the last of ``recent``."""
    return {
        "good": state.good,
        "bad": state.bad,
        "reps": state.reps,
        "days": state.days,
        "last_day": state.day,
        "slip": state.slip,
        "recent": state.recent,
        "since_unsafe": state.since_unsafe,
    }


def add_squad(*, by: Member, name: str) -> Squad:
    with transaction.atomic():
        squad = Squad.objects.create(club=by.club, name=name)
        audit.note(by, gettext_noop("added a squad"), squad, {"name": name})
    return squad


def add_athlete(
    *, by: Member, person: Person, hand: str, joined_on: date, squads: Iterable[Squad] = (), drop_steps: int = 3
) -> Athlete:
    """A sporting profile for a person of the club."""
    with transaction.atomic():
        athlete = Athlete.objects.create(
            club=by.club, person=person, hand=hand, joined_on=joined_on, drop_steps=drop_steps
        )
        athlete.squads.set(squads)
        audit.note(by, gettext_noop("added an athlete"), athlete, {"hand": hand})
    return athlete


def restrict(
    *,
    by: Member,
    athlete: Athlete,
    what: str,
    excludes: Iterable[str],
    starts_on: date,
    ends_on: date | None = None,
    reason: str = "",
    needs_clearance: bool = False,
) -> Restriction:
    """Lays a restriction on an athlete; it binds at once. excludes: risk classes."""
    with transaction.atomic():
        restriction = Restriction.objects.create(
            club=by.club,
            athlete=athlete,
            what=what,
            excludes=list(excludes),
            reason=reason,
            starts_on=starts_on,
            ends_on=ends_on,
            needs_clearance=needs_clearance,
        )
        audit.note(by, gettext_noop("restricted"), athlete, {"what": what, "excludes": list(excludes)})
    return restriction
