"""The figures that boards and pages read: whose they are, how many queries they take."""

from datetime import timedelta

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext
from django.utils import timezone

from athletes.core.readiness import Advice
from athletes.queries import athlete_readiness, squad_readiness
from club.members import Member
from club.roles import Permission
from drills.models import Checkpoint, Drill
from sessions.practices.models import Practice
from sessions.trends import queries
from sessions.trends.models import DayCheckpoint, DayFault, DayPair
from tests.builders import DAY, Cast, make_checkpoint, make_drill
from tests.sessions.trends.rep_builders import log, practice_on, roll_up

pytestmark = pytest.mark.django_db

LATER = DAY + timedelta(days=3)


@pytest.fixture
def gate(cast: Cast) -> Checkpoint:
    return make_checkpoint(cast.club)


@pytest.fixture
def drill(cast: Cast, gate: Checkpoint) -> Drill:
    return make_drill(cast.club, gate=(gate,))


@pytest.fixture
def practised(cast: Cast, drill: Drill, gate: Checkpoint) -> Practice:
    """Ten good reps of the vaulter over two days, one with a fault of the team mate."""
    for minute in range(10):
        log(cast.vaulter, drill, [gate], day=DAY if minute < 4 else LATER, minute=minute)
    log(cast.team_mate, drill, [gate], gate.faults.all()[:1])
    roll_up()
    return practice_on(cast.club, DAY)


def coach(cast: Cast) -> Member:
    return cast.head_coach.acting(Permission.READINESS_READ)


def test_a_perfect_start_over_two_days_is_settled_at_the_tenth_rep(cast: Cast, practised: Practice) -> None:
    (row,) = athlete_readiness(coach(cast), cast.vaulter, LATER)
    assert (row.advised.advice, row.state.reps, row.state.days) == (Advice.SETTLED, 10, 2)


def test_readiness_fades_with_the_day_it_is_read_on(cast: Cast, practised: Practice) -> None:
    (now,) = athlete_readiness(coach(cast), cast.vaulter, LATER)
    (later,) = athlete_readiness(coach(cast), cast.vaulter, LATER + timedelta(days=42))
    assert later.advised.reading.n == pytest.approx(now.advised.reading.n / 2)
    assert later.advised.reading.low < now.advised.reading.low


def test_where_it_is_still_yesterday_readiness_is_read_as_of_its_last_rep(cast: Cast, practised: Practice) -> None:
    (today,) = athlete_readiness(coach(cast), cast.vaulter, LATER)
    assert athlete_readiness(coach(cast), cast.vaulter, LATER - timedelta(days=1)) == [today]


def test_the_squad_is_read_in_two_queries_however_long_it_practised(cast: Cast, practised: Practice) -> None:
    with CaptureQueriesContext(connection) as caught:
        cells = queries.squad(coach(cast), LATER)
    assert len(caught) == 2
    assert {cell.reading.athlete_id: cell.done_lately for cell in cells} == {cast.vaulter.pk: 10, cast.team_mate.pk: 1}


def test_done_lately_is_of_the_last_four_weeks(cast: Cast, practised: Practice) -> None:
    cells = {cell.reading.athlete_id: cell for cell in queries.squad(coach(cast), DAY + timedelta(days=28))}
    assert (cells[cast.vaulter.pk].done_lately, cells[cast.team_mate.pk].done_lately) == (6, 0)


def test_an_athletes_days_come_in_order_in_two_queries(
    cast: Cast, practised: Practice, drill: Drill, gate: Checkpoint
) -> None:
    with CaptureQueriesContext(connection) as caught:
        days = queries.athlete_days(coach(cast), cast.vaulter, since=DAY)
    assert len(caught) == 2
    assert days.drills == (
        queries.DrillDay(drill.pk, DAY, 4, 4, 4),
        queries.DrillDay(drill.pk, LATER, 6, 6, 6),
    )
    assert days.checkpoints[0] == queries.CheckpointDay(drill.pk, gate.pk, DAY, 4, 0)
    assert queries.athlete_days(coach(cast), cast.vaulter, since=LATER).drills == days.drills[1:]


def test_turns_stand_in_the_order_of_the_progression(cast: Cast, practised: Practice, drill: Drill) -> None:
    first = make_drill(cast.club, order=0)
    Drill.objects.filter(pk=drill.pk).update(order=1)
    log(cast.vaulter, first)
    roll_up()
    turns = queries.turns_on(coach(cast), cast.vaulter, DAY)
    assert [(turn.drill, turn.done) for turn in turns] == [(first, 1), (drill, 4)]
    assert queries.worked_on(coach(cast), cast.vaulter, practised) == [first, drill]


def test_athlete_and_parent_see_turns_once_the_practice_is_released(
    cast: Cast, practised: Practice, drill: Drill
) -> None:
    own, child = cast.athlete.acting(Permission.MY_READ), cast.parent.acting(Permission.CHILD_READ)
    assert queries.turns_on(own, cast.vaulter, DAY) == queries.turns_on(child, cast.vaulter, DAY) == []
    Practice.objects.filter(pk=practised.pk).update(released_at=timezone.now())
    for member in (own, child):
        assert queries.turns_on(member, cast.vaulter, DAY) == [queries.Turns(drill, 4)]
        assert queries.worked_on(member, cast.vaulter, practised) == [drill]
        assert queries.turns_on(member, cast.vaulter, LATER) == []


def test_nobody_sees_the_figures_of_another_athlete_or_club(cast: Cast, practised: Practice) -> None:
    Practice.objects.filter(club=cast.club).update(released_at=timezone.now())
    strangers = [
        (cast.athlete.acting(Permission.MY_READ), cast.team_mate),
        (cast.parent.acting(Permission.CHILD_READ), cast.team_mate),
        (cast.outsider.acting(Permission.READINESS_READ), cast.vaulter),
    ]
    for member, athlete in strangers:
        assert queries.turns_on(member, athlete, DAY) == []
        assert athlete_readiness(member, athlete, LATER) == []
        assert queries.athlete_days(member, athlete, since=DAY).drills == ()
    assert squad_readiness(cast.outsider.acting(Permission.READINESS_READ), LATER) == []


def test_rates_and_chains_of_faults_are_for_no_athlete_and_no_parent(cast: Cast, practised: Practice) -> None:
    Practice.objects.filter(club=cast.club).update(released_at=timezone.now())
    for member in (cast.athlete.acting(Permission.MY_READ), cast.parent.acting(Permission.CHILD_READ)):
        assert queries.athlete_days(member, cast.vaulter, since=DAY).checkpoints == ()
        for table in (DayCheckpoint, DayPair):
            assert not table.objects.for_member(member).exists()


def test_a_fault_reaches_the_athlete_as_a_cue_once_the_practice_is_released(
    cast: Cast, practised: Practice, drill: Drill, gate: Checkpoint
) -> None:
    log(cast.vaulter, drill, [gate], gate.faults.all()[:1])
    roll_up()
    own = cast.athlete.acting(Permission.MY_READ)
    assert not DayFault.objects.for_member(own).exists()
    Practice.objects.filter(pk=practised.pk).update(released_at=timezone.now())
    assert [row.athlete for row in DayFault.objects.for_member(own)] == [cast.vaulter]
