"""The roll-up: replaces the day counts and the readiness of one athlete at one drill by what their reps say now.

Nothing here builds on what was counted before, so doing it once more, or in another order, comes to the same.
Each of these runs in the caller's transaction.
"""

from collections.abc import Mapping
from datetime import date, datetime
from typing import Any
from uuid import UUID

from django.db import transaction
from django.utils.translation import gettext_noop

from athletes.actions import readiness as athlete_actions
from athletes.actions import standing
from athletes.models import Athlete
from athletes.queries.decisions import started_over
from club import audit, duties
from club.members import Member
from club.models import Club
from club.roles import Permission
from club.scope import ClubOwned
from drills.models import Checkpoint
from sessions.trends import queries
from sessions.trends.core import counts as core
from sessions.trends.core.counts import DayCounts
from sessions.trends.core.signals import signal
from sessions.trends.models import DayCheckpoint, DayDrill, DayFault, DayPair, Signal, SignalSeen
from sessions.trends.queries import Catalogue, Pair


def roll_up_day(club: Club, pair: Pair, day: date) -> None:
    """The counts of a day, and readiness from that day on. Nothing to do for who or what is no longer there."""
    if queries.is_there(club, pair):
        _roll_up(club, pair, since=day, days={"day": day})


def roll_up_pair(club: Club, pair: Pair) -> None:
    """The counts and the readiness of all days of the pair."""
    if queries.is_there(club, pair):
        _roll_up(club, pair, since=date.min, days={})


def ask_for_pairs(club: Club, drill_id: int | None = None) -> int:
    """Leaves a ``pair_counts`` duty for each pair that was ever practised, of one drill or of all; how many."""
    pairs = queries.pairs(club, drill_id)
    duties.leave("pair_counts", club, [f"{pair.athlete_id}/{pair.drill_id}" for pair in pairs])
    return len(pairs)


def _roll_up(club: Club, pair: Pair, since: date, days: Mapping[str, date]) -> None:
    """days: the lookup of the days whose counts are replaced. Why it reads under the lock: see ``duty_handlers``."""
    of_pair: dict[str, Any] = {"athlete_id": pair.athlete_id, "drill_id": pair.drill_id}
    athlete_actions.lock_readiness(club=club, **of_pair)
    known = queries.catalogue(club, pair.drill_id)
    reps = queries.seen_reps(club, pair, since)
    counted = [rep for rep in reps if rep.day == days.get("day", rep.day)]
    counts = core.count_days(counted, known.gate, known.order)
    _replace(club, {**of_pair, **days}, _rows(club, of_pair, counts, known))
    items = core.attempts(reps, known.gate, started_over(club, pair.athlete_id, pair.drill_id, since))
    athlete_actions.replay_readiness(club=club, **of_pair, since=since, items=items)
    standing.mark(club=club, athlete_ids=[pair.athlete_id], since=since)


def roll_up_standing(club: Club, athlete_id: UUID, now: datetime) -> None:
    """Where the athlete stands with every drill, folded again from their earliest changed day."""
    if not queries.athlete_there(club, athlete_id):
        return
    head = standing.lock_book(club=club, athlete_id=athlete_id)
    if head.dirty_from is not None:
        attempts = queries.attempts_of(club, athlete_id, head.dirty_from)
        standing.replay_book(head=head, attempts=attempts, now=now)


def note_signals(club: Club, athlete_id: UUID, today: date) -> None:
    """What of the athlete's faults has been rising or falling, as far as the counts go. The caller holds the book."""
    if not queries.athlete_there(club, athlete_id):
        return
    found = {checkpoint: signal(course) for checkpoint, course in queries.courses(club, athlete_id, today).items()}
    now = [
        Signal(
            club=club, athlete_id=athlete_id, checkpoint_id=checkpoint, direction=one.direction.value, since=one.since,
            last=one.last, usual=one.usual, watched=one.watched, faulty=one.faulty,
        )
        for checkpoint, one in sorted(found.items())
        if one is not None
    ]  # fmt: skip
    Signal.objects.for_club(club).filter(athlete_id=athlete_id).delete()
    Signal.objects.bulk_create(now)


def set_signal_aside(*, by: Member, athlete: Athlete, checkpoint: Checkpoint, now: datetime) -> None:
    """The head coach has seen it. What is usual is learned anew from tomorrow on. Without a signal nothing is done."""
    by = by.acting(Permission.DECIDE)
    club = by.club
    with transaction.atomic():
        duties.leave("standing", club, [str(athlete.pk)])
        standing.lock_book(club=club, athlete_id=athlete.pk)
        told = Signal.objects.for_member(by).filter(athlete=athlete, checkpoint=checkpoint)
        if told.delete()[0]:
            SignalSeen.objects.create(
                club=club, athlete=athlete, checkpoint=checkpoint, day=now.date(), by=by.person, at=now
            )
            audit.note(by, gettext_noop("set a signal aside"), athlete, {"checkpoint": checkpoint.key})


def rebuild_standing(club: Club, athlete_id: UUID, now: datetime) -> None:
    """The same from the first rep or decision on."""
    if queries.athlete_there(club, athlete_id):
        standing.mark(club=club, athlete_ids=[athlete_id], since=date.min)
        roll_up_standing(club, athlete_id, now)


Rows = dict[type[ClubOwned], list[ClubOwned]]


def _replace(club: Club, where: dict[str, Any], rows: Rows) -> None:
    """Puts the new rows where the old ones were, if there are any: a day on which no rep counts keeps none."""
    for model, made in rows.items():
        model.objects.for_club(club).filter(**where).delete()
        model.objects.bulk_create(made)


def _rows(club: Club, of_pair: dict[str, Any], counts: Mapping[date, DayCounts], known: Catalogue) -> Rows:
    rows: Rows = {DayDrill: [], DayCheckpoint: [], DayFault: [], DayPair: []}
    for day, count in counts.items():
        base = {"club": club, **of_pair, "day": day}
        rows[DayDrill].append(
            DayDrill(**base, done=count.drill.done, counted=count.drill.counted, good=count.drill.good)
        )
        rows[DayCheckpoint] += (_of_checkpoint(base, found, known) for found in count.checkpoints)
        rows[DayFault] += (DayFault(**base, fault_id=known.faults[found.fault], n=found.n) for found in count.faults)
        rows[DayPair] += (_of_pair(base, found, known) for found in count.pairs)
    return rows


def _of_checkpoint(base: dict[str, Any], found: core.CheckpointCount, known: Catalogue) -> DayCheckpoint:
    checkpoint_id = known.checkpoints[found.checkpoint]
    return DayCheckpoint(**base, checkpoint_id=checkpoint_id, watched=found.watched, faulty=found.faulty)


def _of_pair(base: dict[str, Any], found: core.PairCount, known: Catalogue) -> DayPair:
    return DayPair(
        **base,
        earlier_id=known.checkpoints[found.earlier],
        later_id=known.checkpoints[found.later],
        both=found.both,
        earlier_only=found.earlier_only,
        later_only=found.later_only,
        neither=found.neither,
    )
