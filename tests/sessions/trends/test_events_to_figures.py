"""From events as tablets send them, in any order and in any batches, to figures that equal the oracle's."""

from dataclasses import replace
from datetime import timedelta

import pytest
from django.db import transaction
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from sessions.reps.models import Rep
from sessions.trends.models import DayDrill
from tests.builders import DAY, make_practice, make_station
from tests.sessions.reps.ground import SECOND, TABLET, Ground, Sent, make_ground
from tests.sessions.trends.rep_builders import roll_up
from tests.sessions.trends.test_check_counts import check_counts

pytestmark = pytest.mark.django_db


def two_days() -> list[Ground]:
    first = make_ground()
    practice = make_practice(first.cast.club, day=DAY + timedelta(days=3))
    stations = make_station(practice, run_by=first.cast.helper.person), make_station(practice)
    return [first, replace(first, practice=practice, station=stations[0], other_station=stations[1])]


@st.composite
def said(draw: st.DrawFn, ground: Ground, earlier: list[Sent]) -> Sent:
    """One event; voids, corrections and looks speak of what was recorded before."""
    seconds = draw(st.integers(0, 900))
    athlete = draw(st.sampled_from([ground.cast.vaulter.pk, ground.cast.team_mate.pk]))
    drill = draw(st.sampled_from(["drop", "walk"]))
    faulty = draw(st.booleans())
    kinds = ["rep", "rep", "rep", "set"] + (["void", "correction", "look"] if earlier else [])
    kind = draw(st.sampled_from(kinds))
    if kind == "rep":
        watched = draw(st.sampled_from([[], ["timing"]] + ([["timing", "feet"]] if drill == "drop" else [])))
        faults = ["timing-late"] if faulty else []
        return ground.rep(seconds, athlete=athlete, drill=drill, watched=watched, faults=faults,
                          unsafe=draw(st.sampled_from([None, None, True])))  # fmt: skip
    if kind == "set":
        return ground.set(seconds, athlete=athlete, drill=drill, counts={"timing-late": 1} if faulty else {})
    target = draw(st.sampled_from(earlier))
    if kind == "void":
        return ground.void(target, seconds)
    if kind == "look":
        return ground.look(seconds, target=target["uuid"])
    return ground.correct(target, seconds, athlete=athlete, faults=["timing-early"] if faulty else [])


@settings(max_examples=25, deadline=None, suppress_health_check=list(HealthCheck))
@given(data=st.data())
def test_whatever_tablets_send_the_figures_are_what_the_reps_say(data: st.DataObject) -> None:
    with transaction.atomic():
        days = two_days()
        sent: list[tuple[Ground, Sent]] = []
        for _ in range(data.draw(st.integers(1, 14), label="events")):
            ground = data.draw(st.sampled_from(days))
            earlier = [event for where, event in sent if where is ground and event["kind"] in ("rep", "set")]
            sent.append((ground, data.draw(said(ground, earlier))))
        for ground, event in data.draw(st.permutations(sent), label="order"):
            ground.send(event, device=data.draw(st.sampled_from([TABLET, SECOND])))
            if data.draw(st.booleans(), label="rolled up here"):
                roll_up()
        roll_up()
        assert check_counts() == 0
        transaction.set_rollback(True)


def test_a_set_a_late_correction_and_a_void_reach_the_days_counts() -> None:
    ground = make_ground()
    of_five, one, other = ground.set(), ground.rep(300), ground.rep(600)
    ground.send(of_five, one, other)
    roll_up()
    row = DayDrill.objects.get()
    assert (row.done, row.counted, row.good) == (7, 6, 4)
    ground.send(ground.void(one), ground.correct(other, drill="walk"))
    roll_up()
    counts = {row.drill.key: (row.done, row.counted, row.good) for row in DayDrill.objects.all()}
    assert counts == {"drop": (5, 4, 2), "walk": (1, 1, 1)}
    assert Rep.objects.count() == 7
    assert check_counts() == 0
