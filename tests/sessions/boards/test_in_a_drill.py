"""Who is in a drill, and starting it over for some of them after it was changed."""

from datetime import timedelta

import pytest

from athletes.actions.decisions import decide
from athletes.core.standing import DecisionKind
from athletes.models import Decision, Readiness, Restriction, Standing
from club.models import AuditEntry
from club.roles import Permission
from drills.core.items import ItemId, Kind
from drills.models import Drill
from sessions.boards.queries.in_drill import start_over_list, who_is_in
from tests.builders import DAY, Cast, make_athlete, make_drill, make_person
from tests.drills.editing import Desk, make_desk
from tests.sessions.boards.helpers import NOON, get, make_course, make_gate, practise, signed_in, text_of
from tests.sessions.trends.rep_builders import roll_up

pytestmark = [pytest.mark.django_db, pytest.mark.usefixtures("noon")]
SETTLED = {DAY - timedelta(days=6): "1" * 8, DAY - timedelta(days=2): "1" * 8}


def post(member, drill: Drill, **data):
    return signed_in(member).post(f"/c/{member.club.slug}/drills/{drill.key}/start-over/", data)


def both_in(cast: Cast) -> tuple[Drill, Drill]:
    first, later = make_course(cast.club)
    practise(cast.vaulter, first, SETTLED)
    practise(cast.team_mate, first, {DAY - timedelta(days=1): "101"})
    return first, later


# ── who is in it ─────────────────────────────────────────────────────────────────────────────────────────────────────


def test_those_in_a_drill_stand_by_state_with_when_they_last_did_it(cast: Cast) -> None:
    first, later = both_in(cast)
    said = text_of(get(cast.assistant, f"drills/{first.key}/who/"))
    assert "In work 1 Eero V. yesterday Settled 1 Nandi K. 2 days ago" in said
    assert "Start it over" not in said and "Start it over for some" in text_of(
        get(cast.head_coach, f"drills/{first.key}/who/")
    )
    assert "May begin 1 Nandi K. no rep yet" in text_of(get(cast.assistant, f"drills/{later.key}/who/"))
    wall = make_drill(cast.club, key="wall", risk="contact", adult="contact", needs=(later,), entry_drill=later)
    assert "Nobody is in this drill now." in text_of(get(cast.assistant, f"drills/{wall.key}/who/"))


def test_names_are_not_on_the_drills_page_until_they_are_asked_for(cast: Cast) -> None:
    first, _later = both_in(cast)
    page = get(cast.assistant, f"drills/{first.key}/")
    assert "Nandi" not in page.content.decode() and "Show who is in it" in text_of(page)
    fragment = get(cast.assistant, f"drills/{first.key}/who/", **{"HX-Request": "true"})
    assert b"<html" not in fragment.content and "Nandi K." in text_of(fragment)


def test_a_restriction_is_said_and_who_left_is_not_named(cast: Cast) -> None:
    first, _later = both_in(cast)
    Restriction.objects.create(club=cast.club, athlete=cast.vaulter, excludes=["floor"], what="rest", starts_on=DAY)
    cast.team_mate.left_on = DAY
    cast.team_mate.save(update_fields=["left_on"])
    said = text_of(get(cast.head_coach, f"drills/{first.key}/who/"))
    assert "Nandi K. held back" in said and "Eero" not in said


@pytest.mark.parametrize("athletes", [1, 7])
def test_it_costs_the_same_for_few_and_for_many(cast: Cast, django_assert_num_queries, athletes: int) -> None:
    first, _later = both_in(cast)
    for _ in range(athletes):
        practise(make_athlete(cast.club, make_person(cast.club, "athlete")), first, {DAY: "1"})
    member = cast.head_coach.acting(Permission.READINESS_READ)
    with django_assert_num_queries(7):
        who_is_in(member, first, DAY)
    with django_assert_num_queries(8):
        start_over_list(member, first, NOON)


# ── starting over ────────────────────────────────────────────────────────────────────────────────────────────────────


def test_the_ticked_ones_start_over_at_one_touch_and_the_others_keep_what_they_have(cast: Cast) -> None:
    first, _later = both_in(cast)
    page = text_of(get(cast.head_coach, f"drills/{first.key}/start-over/"))
    assert "Nandi K." in page and "Eero V." in page
    answer = post(cast.head_coach, first, act="start", athlete=[str(cast.vaulter.pk)])
    assert answer.status_code == 302
    roll_up()
    nandi, eero = (Readiness.objects.get(athlete=one, drill=first) for one in (cast.vaulter, cast.team_mate))
    assert (nandi.reps, nandi.good, nandi.last_day) == (0, 0.0, None) and eero.reps == 3
    assert Standing.objects.get(athlete=cast.vaulter, drill=first).state == "open"
    said = text_of(get(cast.head_coach, f"drills/{first.key}/start-over/"))
    assert "You started Standing drop over for Nandi K. at 12:00" in said and "Undo" in said
    assert AuditEntry.objects.filter(kind="started a drill over for an athlete").count() == 1


def test_undo_brings_the_figures_back(cast: Cast) -> None:
    first, _later = both_in(cast)
    before = list(Readiness.objects.order_by("pk").values())
    everybody = [str(one.pk) for one in (cast.vaulter, cast.team_mate)]
    post(cast.head_coach, first, act="start", athlete=everybody)
    roll_up()
    assert set(Readiness.objects.filter(drill=first).values_list("reps", flat=True)) == {0}
    assert "Undo all 2" in text_of(get(cast.head_coach, f"drills/{first.key}/start-over/"))
    post(cast.head_coach, first, act="undo")
    roll_up()
    assert list(Readiness.objects.order_by("pk").values()) == before
    assert Decision.objects.filter(kind="taken back").count() == 2
    assert Standing.objects.get(athlete=cast.vaulter, drill=first).state == "settled"


@pytest.mark.parametrize(
    "sent", [{}, {"act": "start"}, {"act": "all"}, {"act": "start", "athlete": ["x"]}, {"act": "start", "athlete": 0}]
)
def test_what_makes_no_sense_is_refused_and_changes_nothing(cast: Cast, sent: dict) -> None:
    first, _later = both_in(cast)
    stranger = make_athlete(cast.other_club, make_person(cast.other_club, "athlete"))
    sent = {**sent, **({"athlete": [str(stranger.pk)]} if sent.get("athlete") == 0 else {})}
    answer = post(cast.head_coach, first, **sent)
    assert answer.status_code == 422 and 'role="alert"' in answer.content.decode()
    assert not Decision.objects.exists()


def test_only_the_head_coach_starts_over(cast: Cast) -> None:
    first, _later = both_in(cast)
    assert post(cast.assistant, first, act="start", athlete=[str(cast.vaulter.pk)]).status_code == 403


# ── offered where the change is made ─────────────────────────────────────────────────────────────────────────────────


def save(desk: Desk, **changes) -> str:
    """Where saving the drill leads to."""
    return desk.post("drills/run/edit/", desk.form_data(ItemId(Kind.DRILL, "run"), sure="on", **changes)).url


@pytest.fixture
def desk(db: None) -> Desk:
    desk = make_desk()
    run, hour_ago = Drill.objects.get(club=desk.cast.club, key="run"), NOON - timedelta(hours=1)
    what = {"athlete": desk.cast.vaulter, "drill": run, "kind": DecisionKind.TOUCH}
    decide(by=desk.cast.head_coach, **what, today=DAY, now=hour_ago)
    practise(desk.cast.vaulter, run, {DAY: "11"})
    return desk


@pytest.mark.parametrize("changes", [{"gate_1": "drop-start", "gate_2": ""}, {"steps": "6, 8, 10"}])
def test_another_gate_or_run_leads_to_the_page_that_offers_to_start_over(desk: Desk, changes: dict) -> None:
    assert save(desk, **changes) == desk.url("drills/run/start-over/")
    assert "Nandi K." in text_of(get(desk.cast.head_coach, "drills/run/start-over/"))


def test_another_name_leads_back_to_the_drill(desk: Desk) -> None:
    assert save(desk, name="Run, another way") == desk.url("drills/run/")


def test_nothing_is_offered_where_nobody_has_figures(desk: Desk) -> None:
    Readiness.objects.all().delete()
    assert save(desk, gate_1="drop-start", gate_2="") == desk.url("drills/run/")


def test_at_contact_starting_over_closes_the_drill_until_the_next_touch(cast: Cast) -> None:
    run = make_drill(cast.club, (make_gate(cast.club),), key="run", name="Run", risk="moving")
    wall = make_drill(cast.club, key="wall", name="Wall", risk="contact", adult="contact", needs=(run,),
                      entry_drill=run)  # fmt: skip
    practise(cast.vaulter, run, SETTLED)
    hour_ago = NOON - timedelta(hours=1)
    decide(by=cast.head_coach, athlete=cast.vaulter, drill=wall, kind=DecisionKind.TOUCH, today=DAY, now=hour_ago)
    practise(cast.vaulter, wall, {DAY: "11"})
    assert Standing.objects.get(athlete=cast.vaulter, drill=wall).state == "open"
    post(cast.head_coach, run, act="start", athlete=[str(cast.vaulter.pk)])
    roll_up()
    assert Standing.objects.get(athlete=cast.vaulter, drill=wall).state == "closed again"
