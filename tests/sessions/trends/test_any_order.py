"""For a fixed set of reps any order of processing gives the same figures, and those are the oracle's."""

import json
import random
from typing import Any

import pytest
from django.db import transaction
from django.utils import timezone
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from athletes.models import AthleteBook, BookDay, Readiness, ReadinessDay, Standing
from club import duties
from club.models import Duty
from sessions.trends.models import DayCheckpoint, DayDrill, DayFault, DayPair
from tests.sessions.trends.generated_club import DAYS, GeneratedClub
from tests.sessions.trends.test_check_counts import check_counts

pytestmark = pytest.mark.django_db

TABLES = (DayDrill, DayCheckpoint, DayFault, DayPair, Readiness, ReadinessDay, Standing, BookDay)
OWN = {"id"}


def do_some(chance: random.Random, share: float) -> None:
    """Does that share of the due duties, in any order."""
    due = list(Duty.objects.order_by("pk"))
    for duty in chance.sample(due, round(len(due) * share)):
        if taken := duties.claim(duty, timezone.now()):
            duties._kinds[taken.kind].handle(taken)


def do_all(chance: random.Random) -> None:
    """Does everything that is due, and what that leaves, in any order."""
    while any(duty.done < duty.asked for duty in Duty.objects.all()):
        do_some(chance, 1.0)


def plain(value: Any) -> str:
    return json.dumps(value, sort_keys=True, default=str)


def figures() -> dict[str, set[str]]:
    """Everything that is stored, without the numbers of its rows; readiness that nothing says is left out."""
    found = {}
    for table in TABLES:
        rows = table.objects.exclude(last_day=None, since_unsafe=None) if table is Readiness else table.objects.all()
        columns = [field.attname for field in table._meta.concrete_fields if field.attname not in OWN]
        found[table.__name__] = set(map(plain, rows.values_list(*columns)))
    return found


def what_happens(generated: GeneratedClub, steps: list[tuple[str, int]]) -> None:
    for what, day in steps:
        if what == "rep":
            generated.practise(DAYS[day], reps=1)
        elif what == "correction":
            generated.correct(DAYS[day])
        else:
            generated.take_back(generated.athletes[day % 2], generated.drills[day // 2], DAYS[day])


STEPS = st.lists(
    st.tuples(st.sampled_from(["rep", "rep", "rep", "rep", "correction", "void"]), st.integers(0, len(DAYS) - 1)),
    min_size=1,
    max_size=24,
)


@settings(max_examples=25, deadline=None, suppress_health_check=[HealthCheck.too_slow, HealthCheck.data_too_large])
@given(steps=STEPS, seed=st.integers(0, 2**32), share=st.floats(0, 1))
def test_duties_done_in_any_order_and_half_way_through_end_at_the_oracles_figures(
    steps: list[tuple[str, int]], seed: int, share: float
) -> None:
    with transaction.atomic():
        chance, generated = random.Random(seed), GeneratedClub(seed)
        what_happens(generated, steps[: len(steps) // 2])
        do_some(chance, share)
        what_happens(generated, steps[len(steps) // 2 :])
        do_all(chance)
        assert not [duty for duty in Duty.objects.all() if duty.done < duty.asked]
        assert check_counts() == 0
        transaction.set_rollback(True)


@settings(max_examples=12, deadline=None, suppress_health_check=[HealthCheck.too_slow])
@given(steps=STEPS, seed=st.integers(0, 2**32))
def test_two_orders_store_the_very_same_figures(steps: list[tuple[str, int]], seed: int) -> None:
    with transaction.atomic():
        what_happens(GeneratedClub(seed), steps)
        do_all(random.Random(seed))
        once = figures()
        Duty.objects.update(done=0)
        for table in (*TABLES, AthleteBook):
            table.objects.all().delete()
        do_all(random.Random(seed + 1))
        assert figures() == once
        transaction.set_rollback(True)
