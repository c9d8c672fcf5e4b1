"""The roll-up: from deciding looks to the day's counts and to readiness."""

from datetime import date, timedelta
from uuid import uuid4

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext
from django.utils import timezone

from athletes.models import Athlete, Readiness, ReadinessDay
from club import duties
from club.models import Duty
from drills.models import Checkpoint, Drill, DrillCheckpoint, Fault
from sessions.reps.models import Rep
from sessions.trends.models import DayCheckpoint, DayDrill, DayFault, DayPair
from tests.builders import DAY, Cast, make_checkpoint, make_drill
from tests.sessions.trends.rep_builders import ask, log, make_look, make_rep, roll_up

pytestmark = pytest.mark.django_db

NEXT = DAY + timedelta(days=2)
QUERIES = 29
"""Savepoint of the transaction 2, the duty 1, is it there 2, the lock 2, catalogue 3, reps 3, counts 8, readiness 4,
the athlete's book marked 3."""


@pytest.fixture
def drop(cast: Cast) -> Checkpoint:
    return make_checkpoint(cast.club, phase="drop", order=5)


@pytest.fixture
def plant(cast: Cast) -> Checkpoint:
    return make_checkpoint(cast.club, phase="plant", order=1)


@pytest.fixture
def drill(cast: Cast, drop: Checkpoint, plant: Checkpoint) -> Drill:
    """Its gate is the drop and the plant."""
    return make_drill(cast.club, gate=(drop, plant))


def late(checkpoint: Checkpoint) -> Fault:
    return checkpoint.faults.get(kind="late")


def drill_count(day: date = DAY) -> tuple[int, int, int]:
    row = DayDrill.objects.get(day=day)
    return row.done, row.counted, row.good


def readiness() -> Readiness:
    return Readiness.objects.get()


def test_a_rep_is_counted_only_if_the_whole_gate_was_watched(
    cast: Cast, drill: Drill, drop: Checkpoint, plant: Checkpoint
) -> None:
    log(cast.vaulter, drill, [drop, plant])
    log(cast.vaulter, drill, [drop])
    log(cast.vaulter, drill, [])
    log(cast.vaulter, drill, [drop, plant], [late(plant)])
    roll_up()
    assert drill_count() == (4, 2, 1)
    assert (readiness().reps, readiness().days) == (2, 1)


def test_a_rep_without_a_deciding_look_is_done_and_no_more(cast: Cast, drill: Drill, drop: Checkpoint) -> None:
    rep = make_rep(cast.vaulter, drill)
    make_look(rep, [drop], [late(drop)], deciding=False)
    ask(rep)
    roll_up()
    assert drill_count() == (1, 0, 0)
    assert not DayCheckpoint.objects.exists() and not DayFault.objects.exists()


def test_only_the_deciding_look_is_counted(cast: Cast, drill: Drill, drop: Checkpoint, plant: Checkpoint) -> None:
    rep = log(cast.vaulter, drill, [drop, plant])
    make_look(rep, [drop, plant], [late(drop)], deciding=False)
    roll_up()
    assert drill_count() == (1, 1, 1)
    assert not DayFault.objects.exists()


def test_reps_that_are_void_or_wait_are_in_no_count(
    cast: Cast, drill: Drill, drop: Checkpoint, plant: Checkpoint
) -> None:
    log(cast.vaulter, drill, [drop, plant], [late(drop)], state=Rep.State.VOID)
    log(cast.vaulter, drill, [drop, plant], [late(drop)], state=Rep.State.WAITS)
    roll_up()
    for table in (DayDrill, DayCheckpoint, DayFault, DayPair):
        assert not table.objects.exists()
    assert readiness().reps == 0


def test_the_unsafe_mark_of_a_waiting_rep_counts_at_once(
    cast: Cast, drill: Drill, drop: Checkpoint, plant: Checkpoint
) -> None:
    log(cast.vaulter, drill, [drop, plant], state=Rep.State.WAITS, unsafe=True)
    roll_up()
    assert readiness().since_unsafe == 0
    assert not DayDrill.objects.exists()


def test_an_unsafe_rep_is_done_and_its_faults_counted_but_never_averaged(
    cast: Cast, drill: Drill, drop: Checkpoint, plant: Checkpoint
) -> None:
    log(cast.vaulter, drill, [drop, plant], [late(plant)], unsafe=True)
    roll_up()
    assert drill_count() == (1, 0, 0)
    assert not DayCheckpoint.objects.exists() and not DayPair.objects.exists()
    assert DayFault.objects.get().n == 1
    assert (readiness().reps, readiness().since_unsafe) == (0, 0)


def test_a_fault_outside_the_watch_set_is_a_count_and_nothing_else(
    cast: Cast, drill: Drill, drop: Checkpoint, plant: Checkpoint
) -> None:
    other = make_checkpoint(cast.club)
    log(cast.vaulter, drill, [drop, plant], [late(other)])
    roll_up()
    assert drill_count() == (1, 1, 1)
    assert DayFault.objects.get().fault == late(other)
    assert not DayCheckpoint.objects.filter(checkpoint=other).exists()


def test_two_faults_of_one_checkpoint_make_one_faulty_rep(cast: Cast, drill: Drill, drop: Checkpoint) -> None:
    log(cast.vaulter, drill, [drop], list(drop.faults.all()))
    roll_up()
    row = DayCheckpoint.objects.get()
    assert (row.watched, row.faulty) == (1, 1)
    assert DayFault.objects.count() == 2


def test_an_unnamed_fault_among_several_checkpoints_is_a_bad_rep_and_enters_no_rate(
    cast: Cast, drill: Drill, drop: Checkpoint, plant: Checkpoint
) -> None:
    log(cast.vaulter, drill, [drop, plant], unnamed_fault=True)
    roll_up()
    assert drill_count() == (1, 1, 0)
    assert not DayCheckpoint.objects.exists() and not DayPair.objects.exists()


def test_an_unnamed_fault_was_at_the_one_checkpoint_that_was_watched(cast: Cast, drop: Checkpoint) -> None:
    single = make_drill(cast.club, gate=(drop,))
    log(cast.vaulter, single, [drop], unnamed_fault=True)
    roll_up()
    row = DayCheckpoint.objects.get()
    assert (row.watched, row.faulty) == (1, 1)
    assert drill_count() == (1, 1, 0)


def test_pairs_stand_in_the_order_of_the_run_not_of_the_catalogue(
    cast: Cast, drill: Drill, drop: Checkpoint, plant: Checkpoint
) -> None:
    both = [late(drop), late(plant)]
    for faults in (both, both, both, [late(drop)], [late(drop)], [late(plant)], []):
        log(cast.vaulter, drill, [plant, drop], faults)
    log(cast.vaulter, drill, [drop], [late(drop)])
    roll_up()
    row = DayPair.objects.get()
    assert (row.earlier, row.later) == (drop, plant)
    assert (row.both, row.earlier_only, row.later_only, row.neither) == (3, 2, 1, 1)


def test_within_a_phase_pairs_follow_the_catalogue(cast: Cast) -> None:
    second = make_checkpoint(cast.club, key="a", phase="drop", order=2)
    first = make_checkpoint(cast.club, key="b", phase="drop", order=1)
    log(cast.vaulter, make_drill(cast.club, gate=(second, first)), [first, second])
    roll_up()
    row = DayPair.objects.get()
    assert (row.earlier, row.later) == (first, second)


def test_a_late_rep_is_replayed_through_the_days_after_it(cast: Cast, drop: Checkpoint) -> None:
    drill = make_drill(cast.club, gate=(drop,))
    log(cast.vaulter, drill, [drop], day=NEXT)
    roll_up()
    log(cast.vaulter, drill, [drop], [late(drop)], day=DAY)
    roll_up()
    assert (readiness().reps, readiness().days, readiness().recent) == (2, 2, "01")
    assert [row.recent for row in ReadinessDay.objects.order_by("day")] == ["0", "01"]


def test_reps_are_folded_by_their_corrected_time_and_place_in_the_set(cast: Cast, drop: Checkpoint) -> None:
    drill, of_set = make_drill(cast.club, gate=(drop,)), uuid4()
    log(cast.vaulter, drill, [drop], minute=9)
    log(cast.vaulter, drill, [drop], [late(drop)], minute=5, source=of_set, place_in_set=2)
    log(cast.vaulter, drill, [drop], minute=5, source=of_set, place_in_set=1)
    log(cast.vaulter, drill, [drop], [late(drop)], minute=1)
    roll_up()
    assert readiness().recent == "0101"


def test_a_day_that_loses_its_last_rep_keeps_no_rows(
    cast: Cast, drill: Drill, drop: Checkpoint, plant: Checkpoint
) -> None:
    log(cast.vaulter, drill, [drop, plant], [late(drop)])
    rep = log(cast.vaulter, drill, [drop, plant], [late(drop)], day=NEXT)
    roll_up()
    Rep.objects.filter(pk=rep.pk).update(state=Rep.State.VOID)
    ask(rep)
    roll_up()
    for table in (DayDrill, DayCheckpoint, DayFault, DayPair, ReadinessDay):
        assert {row.day for row in table.objects.all()} == {DAY}
    assert (readiness().reps, readiness().last_day) == (1, DAY)


def test_each_athlete_drill_and_day_has_its_own_counts(
    cast: Cast, drill: Drill, drop: Checkpoint, plant: Checkpoint
) -> None:
    other = make_drill(cast.club, gate=(drop,))
    for athlete, what, day in (
        (cast.vaulter, drill, DAY),
        (cast.team_mate, drill, DAY),
        (cast.vaulter, other, DAY),
        (cast.vaulter, drill, NEXT),
    ):
        log(athlete, what, [drop, plant], day=day)
    roll_up()
    assert sorted(DayDrill.objects.values_list("done", flat=True)) == [1, 1, 1, 1]
    assert Readiness.objects.count() == 3


def test_the_duty_of_an_erased_athlete_is_done_without_a_trace(cast: Cast, drill: Drill) -> None:
    duties.leave("day_counts", cast.club, [f"{uuid4()}/{drill.pk}/{DAY}", f"{cast.vaulter.pk}/0/{DAY}"])
    duties.leave("pair_counts", cast.club, [f"{uuid4()}/{drill.pk}"])
    roll_up()
    assert not Readiness.objects.exists()
    assert all(row.done == row.asked and not row.last_error for row in Duty.objects.all())


def test_a_duty_that_names_an_athlete_of_another_club_touches_nothing(
    cast: Cast, drill: Drill, drop: Checkpoint
) -> None:
    make_look(make_rep(cast.vaulter, drill), [drop])
    duties.leave("day_counts", cast.other_club, [f"{cast.vaulter.pk}/{drill.pk}/{DAY}"])
    roll_up()
    assert not DayDrill.objects.exists() and not Readiness.objects.exists()


def test_a_changed_gate_recounts_all_days_of_the_drill(
    cast: Cast, drill: Drill, drop: Checkpoint, plant: Checkpoint
) -> None:
    for day in (DAY, NEXT):
        log(cast.vaulter, drill, [drop], day=day)
    roll_up()
    assert drill_count() == (1, 0, 0)
    DrillCheckpoint.objects.filter(drill=drill, checkpoint=plant).update(gate=False)
    duties.leave("drill_counts", cast.club, [str(drill.pk)])
    roll_up()
    assert drill_count() == drill_count(NEXT) == (1, 1, 1)
    assert readiness().recent == "11"


def queries_of_a_roll_up(athlete: Athlete, drill: Drill) -> int:
    ask(Rep.objects.filter(athlete=athlete, drill=drill, day=DAY)[0])
    taken = duties.claim(Duty.objects.get(kind="day_counts", key__endswith=str(DAY)), timezone.now())
    assert taken is not None
    with CaptureQueriesContext(connection) as caught:
        duties._kinds["day_counts"].handle(taken)
    return len(caught)


def test_a_roll_up_takes_as_many_queries_for_a_long_history_as_for_none(
    cast: Cast, drill: Drill, drop: Checkpoint, plant: Checkpoint
) -> None:
    log(cast.vaulter, drill, [drop, plant], [late(drop)])
    first = queries_of_a_roll_up(cast.vaulter, drill)
    for back in range(1, 9):
        log(cast.vaulter, drill, [drop, plant], [late(drop)], day=DAY - timedelta(days=back))
    for minute in range(12):
        log(cast.vaulter, drill, [drop], [late(drop)], minute=minute)
    roll_up()
    assert queries_of_a_roll_up(cast.vaulter, drill) == first == QUERIES
