"""A plan goes by where athletes stand: contact by the head coach's own act alone, the rest with a word."""

from datetime import timedelta

import pytest

from athletes.actions import decide, place
from athletes.core.standing import DecisionKind
from athletes.models import Standing
from athletes.queries.standing import may_try
from club import duties
from club.roles import Permission
from sessions.practices.core.rules import Rule, SafetyRefusal, check
from sessions.practices.models import Assignment
from sessions.practices.queries.plan import as_plan, read
from tests.builders import DAY, aware, make_area, make_drill, make_station
from tests.sessions.practices.conftest import Scene

pytestmark = pytest.mark.django_db


def rules(scene: Scene) -> set[tuple[bool, Rule, tuple[str, ...]]]:
    found = check(as_plan(read(scene.planner, scene.practice)))
    return {(isinstance(one, SafetyRefusal), one.rule, one.vaulters) for one in found}


def put(scene: Scene, drill, station) -> None:
    values = {"block": scene.block, "station": station, "athlete": scene.cast.vaulter, "drill": drill}
    Assignment.objects.create(club=scene.cast.club, **values)


def test_a_contact_drill_is_refused_until_the_head_coach_opened_it_and_again_once_it_closed(scene: Scene) -> None:
    jog = make_drill(scene.cast.club, key="jog", risk="moving")
    wall = make_drill(
        scene.cast.club, key="wall", risk="contact", adult="contact", needs=(jog,), entry_drill=jog, areas=["wall"]
    )
    area = make_area(scene.venue, kind="wall", name="Wall")
    put(scene, wall, make_station(scene.practice, area=area, run_by=scene.cast.head_coach.person))
    nandi = (str(scene.cast.vaulter.pk),)
    assert (True, Rule.NOT_OPENED, nandi) in rules(scene)
    who = {"by": scene.cast.head_coach, "athlete": scene.cast.vaulter, "drill": wall}
    place(**who, day=DAY, now=aware(DAY), seen="walks it well")
    duties.drain(duties.QUICK)
    assert (True, Rule.NOT_OPENED, nandi) not in rules(scene)
    decide(**who, kind=DecisionKind.EASIER_DRILL, today=DAY, now=aware(DAY) + timedelta(minutes=9))
    duties.drain(duties.QUICK)
    assert (True, Rule.NOT_OPENED, nandi) in rules(scene)


def test_a_stored_row_alone_opens_no_contact_drill_without_the_head_coachs_act(scene: Scene) -> None:
    wall = make_drill(scene.cast.club, key="wall", risk="contact", adult="contact", areas=["wall"])
    area = make_area(scene.venue, kind="wall", name="Wall")
    put(scene, wall, make_station(scene.practice, area=area, run_by=scene.cast.head_coach.person))
    values = {"club": scene.cast.club, "athlete": scene.cast.vaulter, "drill": wall}
    Standing.objects.create(**values, state="open", opened_by="figures")
    assert (True, Rule.NOT_OPENED, (str(scene.cast.vaulter.pk),)) in rules(scene)


def test_a_floor_drill_that_is_not_open_is_planned_with_a_word(scene: Scene) -> None:
    first = make_drill(scene.cast.club, key="hold")
    put(scene, make_drill(scene.cast.club, key="walk", needs=(first,)), scene.station)
    assert (False, Rule.NOT_OPEN_YET, (str(scene.cast.vaulter.pk),)) in rules(scene)


def test_what_an_athlete_may_try_is_open_and_not_excluded_in_the_order_of_the_progression(
    scene: Scene, django_assert_num_queries: pytest.FixtureRequest
) -> None:
    club, nandi = scene.cast.club, scene.cast.vaulter
    hold = make_drill(club, key="hold", order=1)
    walk = make_drill(club, key="walk", order=2, needs=(hold,))
    jog = make_drill(club, key="jog", order=3, risk="moving")
    make_drill(club, key="old", retired=True)
    member = scene.cast.head_coach.acting(Permission.PRACTICE_PLAN)
    with django_assert_num_queries(5):
        found = may_try(member, [nandi, scene.cast.team_mate], DAY)
    assert [one.drill.key for one in found[nandi.pk]] == ["hold", "jog"]
    decide(by=scene.cast.head_coach, athlete=nandi, drill=walk, kind=DecisionKind.TOUCH, today=DAY, now=aware(DAY))
    nandi.restrictions.create(club=club, excludes=["moving"], what="No runs", starts_on=DAY)
    duties.drain(duties.QUICK)
    found = may_try(member, [nandi, scene.cast.team_mate], DAY)
    assert [one.drill for one in found[nandi.pk]] == [hold, walk]
    assert [one.drill for one in found[scene.cast.team_mate.pk]] == [hold, jog]
