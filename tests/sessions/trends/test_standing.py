"""Where athletes stand: folded from reps and decisions whatever order they come in, and as the plain fold says."""

import random
from datetime import date, timedelta
from io import StringIO

import pytest
from django.core.management import call_command
from django.db import connection, transaction
from django.test.utils import CaptureQueriesContext
from django.utils import timezone
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from athletes.actions.standing import adopt_progression
from athletes.core.standing import DecisionKind
from athletes.models import AthleteBook, BookDay, Decision, Notice, ProgressionEdition, Standing
from club import duties
from club.models import Duty
from tests.sessions.trends.generated_course import DAYS, GeneratedCourse
from tests.sessions.trends.rep_builders import roll_up
from tests.sessions.trends.test_any_order import do_all, do_some, plain
from tests.sessions.trends.test_check_counts import check_counts

pytestmark = pytest.mark.django_db
AT_CONTACT = ("contact touch", "placement")


def standings() -> set[str]:
    columns = ("athlete", "drill", "state", "opened_by", "closed_by", "settled_by", "since", "asks", "lacking")
    return set(map(plain, Standing.objects.values_list(*columns)))


def books() -> set[str]:
    return set(map(plain, BookDay.objects.values_list("athlete", "day", "book")))


def at_contact() -> list[Standing]:
    rows = Standing.objects.filter(drill__risk="contact", state__in=("open", "settled"))
    return list(rows.select_related("drill", "athlete"))


@pytest.mark.parametrize("seed", range(3))
def test_a_club_on_its_way_up_has_no_differences(seed: int) -> None:
    GeneratedCourse(seed).live()
    assert check_counts() == 0
    assert Standing.objects.exists() and BookDay.objects.exists()


def test_the_generated_clubs_reach_contact_and_lose_it_again() -> None:
    seen: set[str] = set()
    for seed in (0, 7):
        GeneratedCourse(seed).live()
        seen |= {row.opened_by for row in Standing.objects.all()} | {row.closed_by for row in Standing.objects.all()}
    assert {"figures", "contact touch", "placement"} <= seen
    assert seen & {"unsafe rep", "easier drill", "start over", "below", "warm-up check"}


# Any order


EVENTS = st.lists(
    st.tuples(st.sampled_from(["reps", "reps", "reps", "decide", "place", "void", "undo"]), st.integers(0, 7)),
    min_size=4,
    max_size=12,
)


def happen(course: GeneratedCourse, what: str, number: int) -> None:
    day, chance = DAYS[number], course.random
    athlete, key = chance.choice(course.athletes), chance.choice(list(course.drills))
    if what == "reps":
        for key in course.drills:
            for n in range(6):
                course.rep(athlete, key, day, minute=chance.randrange(200) + n)
    elif what == "decide":
        course.touch(athlete, key, day, chance.randrange(200), chance.choice(list(DecisionKind)))
        course.decide(day, chance.randrange(200))
    elif what == "place":
        course.place(athlete, key, day, chance.randrange(200))
    elif what == "void":
        course.take_back(athlete, key, day)
    elif decision := Decision.objects.filter(club=course.club).order_by("?").first():
        course.undo(decision, decision.at)


@settings(max_examples=8, deadline=None, suppress_health_check=list(HealthCheck))
@given(events=EVENTS, seed=st.integers(0, 2**32), share=st.floats(0, 1))
def test_any_order_of_duties_gives_the_standings_of_the_plain_fold_and_contact_is_never_open_without_the_head_coach(
    events: list[tuple[str, int]], seed: int, share: float
) -> None:
    with transaction.atomic():
        course, chance = GeneratedCourse(seed), random.Random(seed)
        for what, number in events:
            happen(course, what, number)
            if chance.random() < 0.5:
                do_some(chance, share)
        do_all(chance)
        assert check_counts() == 0
        for row in at_contact():
            mine = Decision.objects.filter(athlete=row.athlete, drill=row.drill, taken_back_by=None)
            assert row.opened_by in AT_CONTACT and mine.filter(kind__in=Decision.OPENS, by=course.coach.person).exists()
        once, days = standings(), books()
        for table in (Standing, BookDay, AthleteBook):
            table.objects.all().delete()
        Duty.objects.update(done=0)
        do_all(chance)
        assert (standings(), books()) == (once, days)
        transaction.set_rollback(True)


def test_a_rebuild_from_nothing_stores_the_very_same_standings() -> None:
    GeneratedCourse(3).live()
    once, days = standings(), books()
    Standing.objects.update(state="settled", opened_by="contact touch", lacking=[])
    BookDay.objects.all().delete()
    assert check_counts() > 0
    call_command("rebuild_counts", stdout=StringIO())
    assert (standings(), books()) == (once, days)
    assert check_counts() == 0


def test_one_wrong_standing_or_book_is_noticed() -> None:
    GeneratedCourse(3).live()
    for break_it in (
        lambda: Standing.objects.filter(pk=Standing.objects.first().pk).update(settled_by="coach", state="settled"),
        lambda: Standing.objects.filter(drill__key="run").first().delete(),
        lambda: BookDay.objects.order_by("pk").first().delete(),
        lambda: BookDay.objects.filter(pk=BookDay.objects.last().pk).update(book={"day": None, "tracks": {}}),
    ):
        with transaction.atomic():
            break_it()
            assert check_counts() >= 1
            transaction.set_rollback(True)


# The progression changes


def test_a_need_that_comes_later_closes_nothing_that_was_open(monkeypatch: pytest.MonkeyPatch) -> None:
    course = GeneratedCourse(1, skill=1.0)
    athlete = course.athletes[0]
    for key in ("hold", "walk", "jog"):
        for n in range(10):
            course.rep(athlete, key, DAYS[0], n, good=True, seen=True, unsafe=False)
    roll_up()
    rows = Standing.objects.filter(athlete=athlete, drill__key="run")
    assert rows.get().state == "open"
    course.raise_a_need()
    course.take_back(athlete, "hold", DAYS[0])
    monkeypatch.setattr("athletes.duty_handlers.club_today", lambda club: DAYS[4])
    duties.leave("progression", course.club, ["all"])
    roll_up()
    assert ProgressionEdition.objects.filter(club=course.club).count() == 2
    assert rows.get().state == "not open"  # not for the new need: the hold behind it all lost its reps
    assert check_counts() == 0
    for n in range(10):
        course.rep(athlete, "hold", DAYS[0], n, good=True, seen=True, unsafe=False)
    roll_up()
    assert rows.get().state == "open" and check_counts() == 0


def test_a_drill_raised_to_contact_is_closed_for_whom_figures_had_opened_it() -> None:
    course = GeneratedCourse(1, skill=1.0)
    for key in ("hold", "walk", "jog"):
        for n in range(10):
            course.rep(course.athletes[0], key, DAYS[0], n, good=True, seen=True, unsafe=False)
    roll_up()
    course.drills["jog"].risk, course.drills["jog"].entry_drill = "contact", course.drills["walk"]
    course.drills["jog"].save()
    duties.leave("progression", course.club, ["all"])
    roll_up()
    assert Standing.objects.get(athlete=course.athletes[0], drill__key="jog").state == "closed again"
    assert check_counts() == 0


def test_noting_the_same_progression_again_changes_nothing() -> None:
    course = GeneratedCourse(1)
    for _ in range(3):
        adopt_progression(club=course.club, today=DAYS[0])
    assert ProgressionEdition.objects.get().since == date.min


# What goes to the head coach


def settle_run(course: GeneratedCourse) -> None:
    athlete = course.athletes[0]
    course.place(athlete, "run", DAYS[0], minute=0)
    for day in DAYS[:2]:
        for n in range(8):
            course.rep(athlete, "run", day, 10 + n, good=True, seen=True, unsafe=False)
    roll_up()


def opened_wall() -> GeneratedCourse:
    course = GeneratedCourse(1, skill=1.0)
    course.random.random = lambda: 0.9  # nothing by chance
    settle_run(course)
    assert course.touch(course.athletes[0], "wall", DAYS[1], 100, DecisionKind.TOUCH)
    roll_up()
    assert [row.drill.key for row in at_contact()] == ["wall"]
    return course


def test_an_opening_lost_to_a_correction_goes_to_the_head_coach_and_goes_when_it_is_open_again() -> None:
    course = opened_wall()
    course.take_back(course.athletes[0], "run", DAYS[1])
    roll_up()
    assert at_contact() == []
    lost = {(row.kind, row.drill.key, row.day) for row in Notice.objects.all()}
    assert lost == {("opening lost", "wall", DAYS[1]), ("touch refused", "wall", DAYS[1])}
    for n in range(8):
        course.rep(course.athletes[0], "run", DAYS[1], 20 + n, good=True, seen=True, unsafe=False)
    roll_up()
    assert [row.drill.key for row in at_contact()] == ["wall"] and not Notice.objects.exists()


def test_what_the_coach_takes_back_is_no_loss() -> None:
    course = opened_wall()
    course.undo(Decision.objects.get(kind="touch"), Decision.objects.get(kind="touch").at)
    roll_up()
    assert at_contact() == [] and not Notice.objects.exists()


def test_an_unsafe_rep_closes_contact_and_is_no_correction() -> None:
    course = opened_wall()
    course.rep(course.athletes[0], "wall", DAYS[2], 0, unsafe=True)
    roll_up()
    row = Standing.objects.get(athlete=course.athletes[0], drill__key="wall")
    assert (row.state, row.closed_by, row.since) == ("closed again", "unsafe rep", DAYS[2])
    assert not Notice.objects.exists() and row.asks


def test_a_rep_at_a_closed_contact_drill_is_kept_and_told_once_a_day_until_it_is_void() -> None:
    course = GeneratedCourse(1)
    for n in range(3):
        course.rep(course.athletes[0], "wall", DAYS[0], n, good=True, seen=True, unsafe=False)
    roll_up()
    assert [(row.kind, row.day) for row in Notice.objects.all()] == [("tried unopened", DAYS[0])]
    Notice.objects.update(set_aside_at=timezone.now())
    course.rep(course.athletes[0], "wall", DAYS[0], 9, good=True, seen=True, unsafe=False)
    roll_up()
    assert Notice.objects.filter(set_aside_at=None).count() == 0
    Notice.objects.update(set_aside_at=None)
    course.take_back(course.athletes[0], "wall", DAYS[0])
    roll_up()
    assert not Notice.objects.exists()


# Cost


def queries_of_a_fold(course: GeneratedCourse, day: date) -> int:
    course.rep(course.athletes[0], "hold", day, 150, good=True, seen=True, unsafe=False)
    for duty in Duty.objects.filter(kind="day_counts"):
        if taken := duties.claim(duty, timezone.now()):
            duties._kinds["day_counts"].handle(taken)
    taken = duties.claim(Duty.objects.get(kind="standing", key=str(course.athletes[0].pk)), timezone.now())
    assert taken is not None
    with CaptureQueriesContext(connection) as caught:
        duties._kinds["standing"].handle(taken)
    return len(caught)


QUERIES = 30
"""The progression 3 and its savepoint 2; the duty 1 and its savepoint 2; is it there 1, the lock 2; reps 4; editions,
decisions, book before 3; days 2; drills 1; standings 2; losses 1; notices 1; the head 1; savepoints of bulk writes."""


def test_a_fold_takes_as_many_queries_for_a_long_history_as_for_a_short_one() -> None:
    course = GeneratedCourse(5)
    course.rep(course.athletes[0], "hold", DAYS[0], 0)
    roll_up()
    first = queries_of_a_fold(course, DAYS[0] + timedelta(days=1))
    for day in DAYS[1:]:
        course.practise(day)
    roll_up()
    assert queries_of_a_fold(course, DAYS[-1] + timedelta(days=1)) <= max(first, QUERIES)
