"""The coach's page of one athlete."""

from datetime import timedelta

import pytest

from athletes.models import Restriction
from sessions.reps.models import Rep
from tests.builders import DAY, Cast, make_athlete, make_checkpoint, make_squad
from tests.sessions.boards.helpers import get, make_course, practise, signed_in, text_of
from tests.sessions.trends.rep_builders import log, roll_up

pytestmark = [pytest.mark.django_db, pytest.mark.usefixtures("noon")]
YESTERDAY = DAY - timedelta(days=1)


def page(cast: Cast, viewer=None) -> str:
    return text_of(get(viewer or cast.head_coach, f"athletes/{cast.vaulter.pk}/"))


def test_name_hand_and_squads_stand_at_the_head(cast: Cast) -> None:
    make_squad(cast.club, cast.vaulter, name="Terns")
    shown = page(cast)
    assert "Nandi Kestrel Terns, right-handed, takes off from the left foot." in shown
    left = text_of(get(cast.head_coach, f"athletes/{cast.team_mate.pk}/"))
    assert "left-handed, takes off from the right foot." in left


def test_an_athlete_without_reps_is_shown_as_that(cast: Cast) -> None:
    shown = page(cast)
    for said in ("No drill tried yet.", "Nothing was watched in this time.", "No fault was seen", "No rep logged yet."):
        assert said in shown


def test_readiness_is_said_with_counts_range_and_reason(cast: Cast) -> None:
    first, _later = make_course(cast.club)
    practise(cast.vaulter, first, {YESTERDAY: "1101", DAY: "1011"})
    shown = page(cast)
    assert "Good in 6 of the last 8 reps on 2 days. Last counted today." in shown
    assert "is still under 65 % (likely range" in shown


def test_the_reason_of_a_restriction_is_for_the_head_coach_alone(cast: Cast) -> None:
    Restriction.objects.create(
        club=cast.club, athlete=cast.vaulter, excludes=["contact"], what="No wall", reason="sore ankle", starts_on=DAY
    )
    assert "No wall, until further notice. sore ankle" in page(cast)
    assistants = page(cast, cast.assistant)
    assert "No wall, until further notice." in assistants and "ankle" not in assistants


def test_checkpoints_are_counted_over_the_last_eight_weeks(cast: Cast) -> None:
    first, _later = make_course(cast.club)
    practise(cast.vaulter, first, {DAY - timedelta(days=56): "000", YESTERDAY: "10", DAY: "1-"})
    assert "drop start faulty in 1 of 3 watched too few to say 1 3 2" in page(cast)


def test_faults_are_counted_with_those_noticed_by_the_way(cast: Cast) -> None:
    first, _later = make_course(cast.club)
    elbow = make_checkpoint(cast.club, key="elbow", name="bottom elbow")
    gate = first.checkpoints.get()
    for minute in range(2):
        log(cast.vaulter, first, [gate], [elbow.faults.first()], day=DAY, minute=minute)
    log(cast.vaulter, first, [gate], [gate.faults.first()], day=DAY, minute=3)
    roll_up()
    shown = page(cast)
    assert "elbow late bottom elbow seen 2 times" in shown and "drop-start late drop start seen once" in shown
    assert "bottom elbow faulty" not in shown


def test_reps_say_how_the_gate_judged_them_and_what_was_noticed(cast: Cast) -> None:
    first, _later = make_course(cast.club)
    practise(cast.vaulter, first, {YESTERDAY: "1", DAY: "0-"})
    log(cast.vaulter, first, first.checkpoints.all(), unnamed_fault=True, day=DAY, minute=9)
    log(cast.vaulter, first, first.checkpoints.all(), day=DAY, minute=10, state=Rep.State.VOID)
    reps = page(cast).split("Seen by Mon")[1]
    marks = [word for word in ("not watched", "faulty", "good") for _ in range(reps.count(f"Standing drop {word}"))]
    assert marks == ["not watched", "faulty", "faulty", "good"]
    assert reps.index("not watched") < reps.index("drop-start late") < reps.index("good")


def test_a_long_list_of_reps_comes_in_pages(cast: Cast) -> None:
    first, _later = make_course(cast.club)
    practise(cast.vaulter, first, {DAY: "1" * 26})
    assert "Page 1" in page(cast)
    second = text_of(get(cast.head_coach, f"athletes/{cast.vaulter.pk}/?page=2"))
    assert second.count("Standing drop good") == 1


def test_the_number_of_queries_does_not_grow(cast: Cast, django_assert_num_queries: pytest.FixtureRequest) -> None:
    first, later = make_course(cast.club)
    practise(cast.vaulter, first, {YESTERDAY: "10"})
    client, address = signed_in(cast.head_coach), f"/c/{cast.club.slug}/athletes/{cast.vaulter.pk}/"
    with django_assert_num_queries(30):
        client.get(address)
    practise(cast.vaulter, first, {DAY: "10101"})
    practise(cast.vaulter, later, {DAY: "10101"})
    with django_assert_num_queries(30):
        client.get(address)


def test_only_coaches_of_the_club_read_it(cast: Cast) -> None:
    address = f"athletes/{cast.vaulter.pk}/"
    assert [get(one, address).status_code for one in (cast.head_coach, cast.assistant)] == [200, 200]
    others = (cast.helper, cast.athlete, cast.parent, cast.officer)
    assert {get(one, address).status_code for one in others} == {403}
    stranger = make_athlete(cast.other_club)
    assert get(cast.head_coach, f"athletes/{stranger.pk}/").status_code == 404
