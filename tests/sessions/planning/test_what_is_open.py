"""What the problem says an athlete may try, and what is known of them, read from the club's rows."""

from datetime import timedelta
from typing import Any

import pytest

from athletes.core.standing import Book, OpenedBy, Track, WarmUpCheck
from athletes.models import AthleteBook, NotebookEntry, Pole, Restriction
from drills.models import Activity, Link, Remedy
from sessions.planning.core.problem import Facts, Option, Reason, Why
from sessions.planning.queries import pose
from sessions.planning.words import reason_sentence
from sessions.practices.models import Assignment
from sessions.trends.models import DayCheckpoint, DayFault
from tests.builders import DAY, make_block, make_drill, make_practice, make_station
from tests.sessions.planning.conftest import Ground, came, did, stand, state


def facts(ground: Ground) -> Facts:
    """Of the cast's vaulter."""
    posed = pose(ground.planner, ground.practice)
    return next(found for found in posed.problem.facts if found.vaulter == str(ground.cast.vaulter.pk))


def open_drills(ground: Ground) -> set[str]:
    return {option.work for option in facts(ground).options if option.work.startswith("drill:")}


def option(ground: Ground, key: str) -> Option:
    return next(found for found in facts(ground).options if found.work == f"drill:{key}")


def test_a_beginner_may_try_what_needs_nothing(ground: Ground) -> None:
    assert open_drills(ground) == {"drill:hold"}


@pytest.mark.parametrize(
    ("standing", "opens"), [("open", True), ("settled", True), ("closed again", False), ("not open", False)]
)
def test_what_an_athlete_may_try_is_what_stands_open_whatever_the_figures_say(
    ground: Ground, standing: str, opens: bool
) -> None:
    state(ground.cast.vaulter, ground.hold, "11111")
    stand(ground.cast.vaulter, ground.walk, standing)
    assert ("drill:walk" in open_drills(ground)) is opens


def test_a_restriction_takes_its_risks_and_all_riskier_ones_away(ground: Ground) -> None:
    stand(ground.cast.vaulter, ground.run)
    assert open_drills(ground) == {"drill:hold", "drill:run"}
    Restriction.objects.create(
        club=ground.cast.club, athlete=ground.cast.vaulter, excludes=["moving"], what="No runs", starts_on=DAY
    )
    assert open_drills(ground) == {"drill:hold"}


@pytest.mark.parametrize(
    ("opened_by", "opens"), [("contact touch", True), ("placement", True), ("figures", False), ("touch", False)]
)
def test_a_contact_drill_is_offered_once_the_head_coach_opened_it_and_never_by_figures(
    ground: Ground, opened_by: str, opens: bool
) -> None:
    wall = make_drill(ground.cast.club, key="wall", risk="contact", needs=[ground.walk], entry_drill=ground.walk)
    stand(ground.cast.vaulter, wall, opened_by=opened_by)
    assert ("drill:wall" in open_drills(ground)) is opens


def test_a_drill_that_opened_another_stays_in_the_warm_up_while_the_check_runs(ground: Ground) -> None:
    before = option(ground, "hold")
    check = WarmUpCheck("hold", DAY - timedelta(days=4), practices=1, seen=2)
    track = Track(opened_by=OpenedBy.FIGURES, opened_on=DAY - timedelta(days=4), checks=(check,))
    AthleteBook.objects.create(
        club=ground.cast.club, athlete=ground.cast.vaulter, book=Book({"walk": track}, DAY).to_row()
    )
    found = option(ground, "hold")
    assert found.warms_up and not before.warms_up
    assert found.reasons[0] == Reason(Why.WARM_UP, "Walking drop", 2, 3)
    assert "it opened Walking drop" in reason_sentence(found.reasons[0])


def test_retired_drills_and_those_of_other_clubs_are_not_offered(ground: Ground) -> None:
    make_drill(ground.cast.club, key="gone", retired=True)
    make_drill(ground.cast.other_club, key="theirs")
    assert open_drills(ground) == {"drill:hold"}


def test_activities_are_open_to_all_but_those_with_load_clearance_or_a_job(ground: Ground) -> None:
    values: dict[str, Any] = {
        "club": ground.cast.club,
        "minutes": 15,
        "areas": ["floor"],
        "adult": "floor",
        "poles": "none",
    }
    Activity.objects.create(key="strength", name="Strength", **values)
    Activity.objects.create(key="jumps", name="Jumps", needs_clearance=True, **values)
    Activity.objects.create(key="marks", name="Marks", job=True, **values)
    Activity.objects.create(key="sprints", name="Sprints", load=ground.run.load, **values)
    assert {o.work for o in facts(ground).options if o.work.startswith("activity:")} == {"activity:strength"}


# What a place is worth


def reasons(ground: Ground, key: str) -> set[Why]:
    return {reason.why for reason in option(ground, key).reasons}


def test_a_persistent_fault_at_the_gate_is_a_reason_and_raises_the_worth(ground: Ground) -> None:
    before = option(ground, "hold").worth
    gate = ground.hold.checkpoints.get()
    for back in (4, 9):
        DayCheckpoint.objects.create(
            club=ground.cast.club, athlete=ground.cast.vaulter, drill=ground.hold, checkpoint=gate,
            day=DAY - timedelta(days=back), watched=6, faulty=3,
        )  # fmt: skip
    found = next(r for r in option(ground, "hold").reasons if r.why is Why.PERSISTENT_FAULT)
    assert (found.what, found.part, found.whole) == ("height", 6, 12)
    assert option(ground, "hold").worth > before


def test_one_day_or_a_month_ago_is_not_persistent(ground: Ground) -> None:
    gate = ground.hold.checkpoints.get()
    for back, watched in ((4, 12), (28, 12)):
        DayCheckpoint.objects.create(
            club=ground.cast.club, athlete=ground.cast.vaulter, drill=ground.hold, checkpoint=gate,
            day=DAY - timedelta(days=back), watched=watched, faulty=watched,
        )  # fmt: skip
    assert Why.PERSISTENT_FAULT not in reasons(ground, "hold")


def test_the_drill_that_mends_the_first_link_of_a_chain_is_named_for_it(ground: Ground) -> None:
    club, vaulter = ground.cast.club, ground.cast.vaulter
    first, later = ground.hold.checkpoints.get(), ground.walk.checkpoints.get()
    early, late = first.faults.first(), later.faults.first()
    link = Link.objects.create(club=club, fault=early, to=late)
    Remedy.objects.create(club=club, link=link, drill=ground.hold)
    for back in (4, 9):
        day = DAY - timedelta(days=back)
        DayCheckpoint.objects.create(
            club=club, athlete=vaulter, drill=ground.hold, checkpoint=first, day=day, watched=6, faulty=3
        )
        for fault in (early, late):
            DayFault.objects.create(club=club, athlete=vaulter, drill=ground.hold, fault=fault, day=day, n=2)
    found = option(ground, "hold").reasons[0]
    assert (found.why, found.what) == (Why.FIRST_LINK, early.name)


def test_the_focus_of_the_practice_is_a_reason(ground: Ground) -> None:
    ground.practice.focus = ground.hold.checkpoints.get()
    ground.practice.save()
    assert Why.FOCUS in reasons(ground, "hold")


def test_settled_drills_are_worth_less(ground: Ground) -> None:
    state(ground.cast.vaulter, ground.hold, good=6.0, bad=2.0, reps=8)
    before = option(ground, "hold").worth
    stand(ground.cast.vaulter, ground.hold, "settled", settled_by="coach")
    assert option(ground, "hold").worth < before / 2 and Why.SETTLED in reasons(ground, "hold")


# What is known


def test_load_of_this_practice_and_of_other_days_is_counted_logged_or_planned(ground: Ground) -> None:
    vaulter = ground.cast.vaulter
    did(vaulter, ground.run, DAY, done=5)
    did(vaulter, ground.run, DAY - timedelta(days=3))
    did(vaulter, ground.run, DAY - timedelta(days=7))
    coming = make_practice(ground.cast.club, day=DAY + timedelta(days=2))
    Assignment.objects.create(
        club=ground.cast.club, block=make_block(coming), station=make_station(coming), athlete=vaulter, drill=ground.run
    )
    (load,) = facts(ground).loads
    assert (load.load, load.reps) == ("run-and-box", 5)
    assert load.days == (DAY - timedelta(days=3), DAY + timedelta(days=2))


def test_the_last_day_seen_is_before_this_practice(ground: Ground) -> None:
    assert facts(ground).last_seen == DAY - timedelta(days=4)
    did(ground.cast.vaulter, ground.hold, DAY - timedelta(days=2))
    did(ground.cast.vaulter, ground.hold, DAY)
    came(ground.cast.vaulter, DAY)
    assert facts(ground).last_seen == DAY - timedelta(days=2)


def test_a_meet_in_another_plan_and_the_pole_last_used_are_known(ground: Ground) -> None:
    club, vaulter = ground.cast.club, ground.cast.vaulter
    meet = Activity.objects.create(
        club=club,
        key="meet",
        name="Meet",
        minutes=240,
        areas=["box"],
        adult="contact",
        poles="rated",
        needs_clearance=True,
    )
    tomorrow = make_practice(club, day=DAY + timedelta(days=1))
    Assignment.objects.create(club=club, block=make_block(tomorrow), athlete=vaulter, activity=meet)
    for tag, back in (("12", 9), ("14", 2)):
        pole = Pole.objects.create(club=club, tag=tag, length_m="3.05")
        NotebookEntry.objects.create(club=club, athlete=vaulter, on=DAY - timedelta(days=back), pole=pole)
    assert facts(ground).meet_on == DAY + timedelta(days=1)
    assert facts(ground).pole == str(Pole.objects.get(tag="14").pk)


def test_the_number_of_queries_does_not_grow(ground: Ground, django_assert_num_queries: Any) -> None:
    for athlete in ground.athletes:
        state(athlete, ground.hold)
        did(athlete, ground.hold, DAY - timedelta(days=4))
    with django_assert_num_queries(QUERIES):
        pose(ground.planner, ground.practice)
    for n in range(3):
        make_drill(ground.cast.club, needs=[ground.walk])
        state(ground.athletes[n], ground.walk)
        did(ground.athletes[n], ground.walk, DAY - timedelta(days=n))
    with django_assert_num_queries(QUERIES):
        pose(ground.planner, ground.practice)


QUERIES = 30
"""Eleven of the plan's own rows, three of what may be tried, one of warm-up checks, thirteen of what is known."""
