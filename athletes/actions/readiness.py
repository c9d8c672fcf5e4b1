"""Readiness rows: written by the roll-up, inside its own short transaction."""

from collections.abc import Iterable
from datetime import date
from typing import Any
from uuid import UUID

from athletes.core import readiness as core
from athletes.core.readiness import EMPTY, Rep, Settings, StartOver, State
from athletes.core.sequence import replay
from athletes.models import Readiness, ReadinessDay
from athletes.queries import readiness as queries
from club.models import Club


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
    items: Iterable[Rep | StartOver],
    settings: Settings = queries.SETTINGS,
) -> None:
    """Replaces the states of day ``since`` and later. items: all reps since that day, and where the drill was
    started over, in order.

    The caller holds the pair's lock.
    """

    def step(state: State, item: Rep | StartOver) -> State:
        return core.step(state, item, settings)

    before = queries.snapshot_before(club, athlete_id, drill_id, since)
    done = replay(step, EMPTY, before, since, items)
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
