"""The plan by hand: blocks, stations, places; what is refused, what is said, what is kept."""

import re
from datetime import date, time
from decimal import Decimal
from typing import Any

import pytest
from django.test import Client

from athletes.actions import body, jumping, poles
from athletes.models import Restriction
from club.models import Membership
from drills.models import SafetyText
from sessions.practices.actions import plan as actions
from sessions.practices.actions.errors import NotNow
from sessions.practices.models import AdultPresence, Assignment, Attendance, Block, Station
from sessions.practices.queries import calendar
from tests.builders import make_area, make_athlete, make_block, make_drill, make_person, make_practice, make_station
from tests.sessions.practices.conftest import Scene, make_activity, text


def typed(scene: Scene, work: Any, *athletes: Any, **overrides: Any) -> dict[str, Any]:
    kind = work._meta.model_name
    values = {"block": scene.block.pk, "station": str(scene.station.pk), "work": f"{kind}:{work.key}"}
    return {**values, "athletes": [str(athlete.pk) for athlete in athletes], **overrides}


def assign(scene: Scene, coach: Client, *args: Any, htmx: bool = False, **overrides: Any) -> Any:
    headers = {"HX-Request": "true"} if htmx else {}
    return coach.post(scene.url("assign"), typed(scene, *args, **overrides), headers=headers)


def restrict(scene: Scene, *excludes: str, **overrides: Any) -> Restriction:
    values = {"what": "walking drills only", "reason": "a sore knee", "starts_on": date(2026, 2, 1)}
    return Restriction.objects.create(
        club=scene.cast.club, athlete=scene.cast.vaulter, excludes=list(excludes), **{**values, **overrides}
    )


# Blocks and stations


def test_a_block_follows_the_last_one(scene: Scene, coach: Client) -> None:
    coach.post(scene.url("add_block"), {"minutes": "15"})
    assert list(Block.objects.values_list("number", "starts", "minutes")) == [(1, time(17), 20), (2, time(17, 20), 15)]


@pytest.mark.parametrize(
    ("posted", "says"),
    [
        ({"minutes": "101"}, "outside of the practice"),
        ({"minutes": "10", "starts": "16:50"}, "outside of the practice"),
        ({"minutes": "10", "starts": "17:10"}, "The last block runs until 17:20"),
        ({"minutes": "0"}, "greater than or equal to 1"),
    ],
)
def test_a_block_that_does_not_fit_is_refused_and_its_minutes_kept(
    scene: Scene, coach: Client, posted: dict[str, str], says: str
) -> None:
    response = coach.post(scene.url("add_block"), posted)
    assert response.status_code == 422 and says in text(response)
    assert f'value="{posted["minutes"]}"' in text(response)
    assert Block.objects.count() == 1


def test_blocks_follow_the_wall_clock_over_a_clock_change(scene: Scene) -> None:
    night = make_practice(scene.cast.club, day=date(2026, 3, 29), starts=time(0, 30), ends=time(3))
    for minutes in (30, 20):
        actions.add_block(by=scene.planner, practice=night, minutes=minutes)
    assert [block.starts for block in night.blocks.all()] == [time(0, 30), time(2)]
    with pytest.raises(NotNow):  # the clock says 02:20 to 03:00, and 40 minutes really are left
        actions.add_block(by=scene.planner, practice=night, minutes=41)


def test_taking_a_block_out_moves_the_later_ones_up(scene: Scene, coach: Client) -> None:
    for number in (2, 3):
        make_block(scene.practice, number=number, starts=time(17 + number - 1))
    coach.post(scene.url("remove_block", block=scene.block.pk))
    assert list(Block.objects.values_list("number", "starts")) == [(1, time(18)), (2, time(19))]


def test_an_adult_who_runs_a_station_is_expected_and_a_helper_is_not(scene: Scene, coach: Client) -> None:
    AdultPresence.objects.all().delete()
    first, second = (make_area(scene.venue, name=name) for name in ("Lane 1", "Lane 2"))
    for area, member in ((first, scene.cast.head_coach), (second, scene.cast.helper)):
        coach.post(scene.url("add_station"), {"area": str(area.pk), "run_by": str(member.person.pk)})
    assert Station.objects.filter(practice=scene.practice).count() == 3
    assert [row.person for row in AdultPresence.objects.all()] == [scene.cast.head_coach.person]


def test_an_area_has_one_station_and_other_venues_areas_none(scene: Scene, coach: Client) -> None:
    elsewhere = make_area(make_practice(scene.cast.club).venue)
    for area in (scene.floor, elsewhere):
        assert coach.post(scene.url("add_station"), {"area": str(area.pk)}).status_code == 422
    assert Station.objects.filter(practice=scene.practice).count() == 1


def test_a_station_keeps_its_adult_while_what_is_planned_there_needs_one(scene: Scene, coach: Client) -> None:
    drill = make_drill(scene.cast.club, name="Carry walk")
    assign(scene, coach, drill, scene.cast.vaulter)
    response = coach.post(scene.url("station_adult", station=scene.station.pk), {"run_by": ""})
    assert response.status_code == 422 and "Carry walk needs an adult" in text(response)
    scene.station.refresh_from_db()
    assert scene.station.run_by == scene.cast.assistant.person


def test_a_station_is_taken_out_before_the_practice_and_stays_once_it_began(scene: Scene) -> None:
    begins = calendar.starts_at(scene.practice)
    act = {"by": scene.planner, "practice": scene.practice, "station": scene.station}
    scene.practice.published_at = begins
    scene.practice.save()
    with pytest.raises(NotNow):
        actions.remove_station(**act, now=begins)
    scene.practice.published_at = None
    scene.practice.save()
    actions.remove_station(**act, now=begins)
    assert not Station.objects.exists()


# Places


def test_several_athletes_are_put_into_a_cell_at_once(scene: Scene, coach: Client) -> None:
    drill = make_drill(scene.cast.club)
    assert assign(scene, coach, drill, scene.cast.vaulter, scene.cast.team_mate).status_code == 302
    rows = Assignment.objects.order_by("order")
    assert [(row.athlete, row.drill, row.station, row.order) for row in rows] == [
        (scene.cast.vaulter, drill, scene.station, 1),
        (scene.cast.team_mate, drill, scene.station, 2),
    ]


def test_many_places_are_stored_all_or_none(scene: Scene) -> None:
    from sessions.practices.actions.errors import PlanRefused

    drill, jog = make_drill(scene.cast.club), make_drill(scene.cast.club, risk="moving", adult="contact")
    nandi, eero, later = scene.cast.vaulter, scene.cast.team_mate, make_block(scene.practice, number=2)
    puts = [actions.Put(block, (nandi, eero), scene.station, drill=drill) for block in (scene.block, later)]
    twice = [*puts, actions.Put(later, (eero,), scene.station, drill=drill)]
    with pytest.raises(PlanRefused):
        actions.assign_all(by=scene.planner, practice=scene.practice, puts=twice)
    assert not Assignment.objects.exists()
    actions.assign_all(by=scene.planner, practice=scene.practice, puts=puts)
    assert list(Assignment.objects.order_by("block__number", "order").values_list("block__number", "order")) == [
        (1, 1), (1, 2), (2, 1), (2, 2),
    ]  # fmt: skip
    restrict(scene, "moving")
    with pytest.raises(PlanRefused):
        actions.assign_all(
            by=scene.planner, practice=scene.practice,
            puts=[actions.Put(scene.block, (), scene.station, drill=jog, moving=(nandi,))],
        )  # fmt: skip
    assert not Assignment.objects.filter(drill=jog).exists()


def test_everyone_without_a_place_joins_an_activity_at_no_station(scene: Scene, coach: Client) -> None:
    assign(scene, coach, make_activity(scene), station="none", everyone="on")
    assert {row.athlete for row in Assignment.objects.all()} == {scene.cast.vaulter, scene.cast.team_mate}
    assert {row.station for row in Assignment.objects.all()} == {None}


@pytest.mark.parametrize(("least", "said"), [(7, "about 20 turns each"), (6, "more than enough turns")])
def test_more_than_three_times_the_least_useful_turns_are_more_than_enough(
    scene: Scene, coach: Client, least: int, said: str
) -> None:
    drill = make_drill(scene.cast.club, name="Carry walk", seconds_a_turn=60, least_turns=least)
    assign(scene, coach, drill, scene.cast.vaulter)
    for name in ("plan", "practice"):
        page = text(coach.get(scene.url(name)))
        assert said in page and ("turns each" in page) is ("each" in said)


def test_the_key_explains_who_has_no_place_only_where_somebody_has_none(scene: Scene, coach: Client) -> None:
    assert "has no place in this block" in text(coach.get(scene.url("plan")))
    drill = make_drill(scene.cast.club, name="Carry walk")
    assign(scene, coach, drill, scene.cast.vaulter, scene.cast.team_mate)
    page = text(coach.get(scene.url("plan")))
    assert "has no place in this block" not in page and "pinned: stays" in page


def test_the_page_shows_the_place_the_turns_and_who_has_none(scene: Scene, coach: Client) -> None:
    assign(scene, coach, make_drill(scene.cast.club, name="Carry walk", seconds_a_turn=60), scene.cast.vaulter)
    page = text(coach.get(scene.url("plan")))
    assert "Carry walk" in page and "about 20 turns each" in page
    assert '<span class="chip rest">Eero</span>' in page and '<span class="chip rest">Nandi</span>' not in page


def test_htmx_gets_the_fragment_and_the_address_to_show(scene: Scene, coach: Client) -> None:
    response = assign(scene, coach, make_drill(scene.cast.club), scene.cast.vaulter, htmx=True)
    assert text(response).startswith('<div id="plan_board"')
    assert response.headers["HX-Push-Url"] == scene.url("plan")


def test_a_mistake_keeps_what_was_ticked(scene: Scene, coach: Client) -> None:
    posted = typed(scene, make_drill(scene.cast.club), scene.cast.vaulter)
    response = coach.post(scene.url("assign"), {**posted, "work": ""})
    ticked = f'value="{scene.cast.vaulter.pk}" id="id_athletes_1" checked'
    assert response.status_code == 422 and ticked in text(response)
    assert not Assignment.objects.exists()


def test_nobody_chosen_is_said(scene: Scene, coach: Client) -> None:
    response = assign(scene, coach, make_drill(scene.cast.club))
    assert response.status_code == 422 and "Choose who." in text(response)


def test_an_athlete_has_one_place_a_block_and_is_moved_only_when_asked(scene: Scene, coach: Client) -> None:
    walk, lane = make_drill(scene.cast.club), make_station(scene.practice, run_by=scene.cast.head_coach.person)
    assign(scene, coach, walk, scene.cast.vaulter)
    again = assign(scene, coach, walk, scene.cast.vaulter, station=str(lane.pk))
    assert again.status_code == 422 and "Nandi has another place in block 1" in text(again)
    moved = assign(scene, coach, walk, station=str(lane.pk), moving=[str(scene.cast.vaulter.pk)])
    assert moved.status_code == 302
    assert [row.station for row in Assignment.objects.all()] == [lane]


def test_a_refused_move_leaves_the_athlete_where_they_were(scene: Scene, coach: Client) -> None:
    walk, lane = make_drill(scene.cast.club), make_station(scene.practice)
    assign(scene, coach, walk, scene.cast.vaulter)
    refused = assign(scene, coach, walk, station=str(lane.pk), moving=[str(scene.cast.vaulter.pk)])
    assert refused.status_code == 422
    assert [row.station for row in Assignment.objects.all()] == [scene.station]


def test_taking_an_athlete_out_frees_the_place(scene: Scene, coach: Client) -> None:
    assign(scene, coach, make_drill(scene.cast.club), scene.cast.vaulter)
    row = Assignment.objects.get()
    assert "Take out of this block" in text(coach.get(scene.url("plan"), {"pick": str(row.pk)}))
    coach.post(scene.url("unassign", assignment=row.pk))
    assert not Assignment.objects.exists()


def test_a_drill_with_several_step_counts_asks_for_one(scene: Scene, coach: Client) -> None:
    drill = make_drill(scene.cast.club, steps=[6, 8])
    asked = assign(scene, coach, drill, scene.cast.vaulter)
    assert asked.status_code == 422 and "Say how many steps: 6, 8." in text(asked)
    assign(scene, coach, drill, scene.cast.vaulter, steps="8")
    assert Assignment.objects.get().steps == 8


def test_a_drill_with_one_step_count_takes_it(scene: Scene, coach: Client) -> None:
    assign(scene, coach, make_drill(scene.cast.club, steps=[6]), scene.cast.vaulter)
    assert Assignment.objects.get().steps == 6


# Rules, through the page


def test_safety_is_refused_whatever_is_posted(scene: Scene, coach: Client) -> None:
    grass = make_station(
        scene.practice, area=make_area(scene.venue, name="Infield", surface="grass"), run_by=scene.cast.assistant.person
    )
    wall = make_station(
        scene.practice, area=make_area(scene.venue, name="Wall", kind="wall"), run_by=scene.cast.head_coach.person
    )
    slides = make_drill(
        scene.cast.club, name="Jogging", slides=True, surfaces=[{"surface": "grass", "verdict": "good"}]
    )
    contact = make_drill(scene.cast.club, name="Wall plant", risk="contact", adult="contact", areas=["wall"])
    for station, drill, says in (
        (grass, slides, "Jogging is never done on the surface of Infield"),
        (wall, contact, "the head coach has not opened it for Nandi"),
    ):
        response = assign(scene, coach, drill, scene.cast.vaulter, station=str(station.pk), force="1")
        assert response.status_code == 422 and says in text(response)
    assert not Assignment.objects.exists()


def test_contact_is_not_opened_by_settled_readiness(scene: Scene, coach: Client) -> None:
    from athletes.models import Readiness

    wall = make_station(
        scene.practice, area=make_area(scene.venue, name="Wall", kind="wall"), run_by=scene.cast.head_coach.person
    )
    contact = make_drill(scene.cast.club, risk="contact", adult="contact", areas=["wall"])
    Readiness.objects.create(club=scene.cast.club, athlete=scene.cast.vaulter, drill=contact, good=20, reps=40, days=9)
    assert assign(scene, coach, contact, scene.cast.vaulter, station=str(wall.pk)).status_code == 422


def test_a_restriction_refuses_what_it_excludes_and_its_reason_is_nowhere(scene: Scene, coach: Client) -> None:
    restrict(scene, "moving")
    jog = make_drill(scene.cast.club, name="Jogging", risk="moving")
    response = assign(scene, coach, jog, scene.cast.vaulter)
    assert response.status_code == 422 and "Nandi is under a restriction that excludes Jogging" in text(response)
    plan = text(coach.get(scene.url("plan")))
    assert "walking drills only" in plan and "sore knee" not in plan + text(response)
    assert assign(scene, coach, make_drill(scene.cast.club), scene.cast.vaulter).status_code == 302


def test_a_jump_is_planned_for_whom_the_head_coach_cleared_with_pole_and_run_beside_the_name(
    scene: Scene, coach: Client
) -> None:
    box = make_station(
        scene.practice, area=make_area(scene.venue, kind="box", name="Box"), run_by=scene.cast.head_coach.person
    )
    jump = make_activity(
        scene, key="jump", name="Jumping", areas=["box"], adult="contact", poles="rated", needs_clearance=True
    )
    refused = assign(scene, coach, jump, scene.cast.vaulter, station=str(box.pk))
    assert refused.status_code == 422 and "Jumping needs the head coach’s clearance" in text(refused)
    by, athlete, day = scene.planner, scene.cast.vaulter, scene.practice.day
    body.measure(by=by, athlete=athlete, kind="mass", value=Decimal(55), on=day)
    pole = poles.add_pole(by=by, tag="Heron", length_m=Decimal("3.40"), rating_kg=Decimal(60))
    jumping.clear(
        by=by, athlete=athlete, activity=jump, pole=pole, grip_m=Decimal("3.10"), steps=6,
        now=calendar.starts_at(scene.practice),
    )  # fmt: skip
    assert assign(scene, coach, jump, athlete, station=str(box.pk)).status_code == 302
    assert assign(scene, coach, jump, scene.cast.team_mate, station=str(box.pk)).status_code == 422
    assert "Nandi (Heron, grip 3.10" in re.sub("<[^>]*>", "", text(coach.get(scene.url("practice"))))
    assert "Heron" not in text(coach.get(scene.url("wall_sheet")))
    poles.withdraw_pole(by=by, pole=pole, why="crack", today=day)
    assert "Jumping needs the head coach’s clearance" in text(coach.get(scene.url("plan")))


@pytest.mark.parametrize(
    ("overrides", "binds"),
    [
        ({"ends_on": date(2026, 3, 1)}, False),
        ({"ends_on": date(2026, 3, 2)}, True),
        ({"ends_on": date(2026, 3, 1), "needs_clearance": True}, True),
        ({"starts_on": date(2026, 3, 3)}, False),
    ],
)
def test_a_restriction_binds_on_its_days_and_until_cleared_where_it_must_be(
    scene: Scene, coach: Client, overrides: dict[str, Any], binds: bool
) -> None:
    restrict(scene, "floor", **overrides)
    assert assign(scene, coach, make_drill(scene.cast.club), scene.cast.vaulter).status_code == (422 if binds else 302)


def test_a_lifted_restriction_binds_no_more(scene: Scene, coach: Client) -> None:
    cleared = {"clearance_on": scene.practice.day, "clearance_by": "a physician"}
    restrict(scene, "floor", needs_clearance=True, lifted_at=calendar.starts_at(scene.practice), **cleared)
    assert assign(scene, coach, make_drill(scene.cast.club), scene.cast.vaulter).status_code == 302


def test_who_was_taken_out_is_not_put_back_by_the_plan(scene: Scene, coach: Client) -> None:
    Attendance.objects.create(
        club=scene.cast.club,
        practice=scene.practice,
        athlete=scene.cast.vaulter,
        state="out",
        at=calendar.starts_at(scene.practice),
    )
    response = assign(scene, coach, make_drill(scene.cast.club), scene.cast.vaulter)
    assert response.status_code == 422 and "was taken out of this practice" in text(response)


def test_an_adult_who_left_counts_no_more(scene: Scene, coach: Client) -> None:
    gone = AdultPresence.objects.filter(person=scene.cast.head_coach.person)
    gone.update(came_at=calendar.starts_at(scene.practice), left_at=calendar.starts_at(scene.practice))
    jog = make_drill(scene.cast.club, risk="moving")
    refused = assign(scene, coach, jog, scene.cast.vaulter)
    assert refused.status_code == 422 and "needs two adults" in text(refused)


def test_a_helper_at_a_station_is_no_adult(scene: Scene, coach: Client) -> None:
    scene.station.run_by = scene.cast.helper.person
    scene.station.save()
    refused = assign(scene, coach, make_drill(scene.cast.club), scene.cast.vaulter)
    assert refused.status_code == 422 and "needs an adult at Smooth floor" in text(refused)


def test_a_level_counts_while_the_membership_lasts(scene: Scene, coach: Client) -> None:
    Membership.objects.filter(person=scene.cast.assistant.person).update(left_on=date(2026, 3, 1))
    assert assign(scene, coach, make_drill(scene.cast.club), scene.cast.vaulter).status_code == 422


def test_a_warning_is_said_and_the_place_is_stored(scene: Scene, coach: Client) -> None:
    run = make_drill(scene.cast.club, name="Plant run", seconds_a_turn=700, least_turns=4)
    response = coach.post(scene.url("assign"), typed(scene, run, scene.cast.vaulter), follow=True)
    assert "Plant run, block 1: 1 turn each, and fewer than 4 are of little use" in text(response)
    assert Assignment.objects.count() == 1


def test_what_became_unsafe_later_is_said_on_the_plan(scene: Scene, coach: Client) -> None:
    assign(scene, coach, make_drill(scene.cast.club, name="Carry walk"), scene.cast.vaulter)
    restrict(scene, "floor")
    page = text(coach.get(scene.url("plan")))
    assert "The plan is not safe as it stands" in page
    assert page.index("The plan is not safe") < page.index("plan-grid")


def test_a_cell_offers_what_fits_its_place_and_says_why_the_rest_is_left_out(scene: Scene, coach: Client) -> None:
    make_drill(scene.cast.club, name="Carry walk")
    make_drill(scene.cast.club, name="Wall plant", areas=["wall"])
    make_drill(scene.cast.club, name="Grass drill", surfaces=[{"surface": "grass", "verdict": "good"}])
    cell = {"block": scene.block.pk, "station": str(scene.station.pk)}
    page = text(coach.get(scene.url("plan"), cell))
    offered = page[page.index('name="work"') : page.index("</select>")]
    assert "Carry walk" in offered and "Wall plant" not in offered and "Grass drill" not in offered
    assert "Never on this surface:</b> Grass drill." in page
    assert "They need another kind of place:</b> Wall plant." in page


def test_safety_words_stand_at_the_station_and_end_with_the_rules(scene: Scene, coach: Client) -> None:
    SafetyText.objects.create(club=scene.cast.club, key="slides", title="A tip that slides", text="Try it by hand.")
    drill = make_drill(scene.cast.club, safety=["slides"])
    assert "A tip that slides" not in text(coach.get(scene.url("plan")))
    assign(scene, coach, drill, scene.cast.vaulter)
    page = text(coach.get(scene.url("plan")))
    assert page.index("A tip that slides") < page.index("Local rules, the facility’s rules")


def test_a_retired_drill_stays_readable_and_is_offered_no_more(scene: Scene, coach: Client) -> None:
    drill = make_drill(scene.cast.club, name="Old drill")
    assign(scene, coach, drill, scene.cast.vaulter)
    drill.retired = True
    drill.save()
    assert "Old drill" in text(coach.get(scene.url("plan")))
    assert assign(scene, coach, drill, scene.cast.team_mate).status_code == 422


def grow(scene: Scene, coach: Client) -> None:
    """Six more athletes, three more blocks, two more stations, all full."""
    drill = make_drill(scene.cast.club)
    people = [make_athlete(scene.cast.club, make_person(scene.cast.club, "athlete", given_name=n)) for n in "ABCDEF"]
    scene.squad.athletes.add(*people)
    stations = [scene.station, *(make_station(scene.practice) for _ in range(2))]
    blocks = [make_block(scene.practice, number=n, starts=time(17, 20 * (n - 1))) for n in (2, 3)]
    for block in (scene.block, *blocks):
        for place, athlete in enumerate(people):
            Assignment.objects.create(
                club=scene.cast.club, block=block, station=stations[place % 3], athlete=athlete, drill=drill
            )


@pytest.mark.parametrize(("name", "queries"), [("plan", 27), ("wall_sheet", 23), ("practice", 35)])
def test_queries_do_not_grow_with_athletes_blocks_or_stations(
    scene: Scene, coach: Client, django_assert_num_queries: Any, name: str, queries: int
) -> None:
    assign(scene, coach, make_drill(scene.cast.club), scene.cast.vaulter)
    for _ in range(2):
        with django_assert_num_queries(queries):
            assert coach.get(scene.url(name)).status_code == 200
        grow(scene, coach) if not Block.objects.filter(number=2).exists() else None
