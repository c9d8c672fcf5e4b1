"""The parent's pages: is it on, did they come, what was worked on; nothing else, and no other child."""

from datetime import time, timedelta
from uuid import uuid4

import pytest
from django.utils import timezone

from athletes.models import AthleteNote, EmergencyCard, Restriction
from club.members import Member, find_member
from club.models import Guardianship
from drills.models import Drill
from sessions.practices.models import Attendance, Practice
from sessions.reps.models import RepNote
from tests.builders import DAY, Cast, aware, make_athlete, make_person, make_practice, make_squad
from tests.sessions.boards.helpers import get, make_course, practise, signed_in, text_of

pytestmark = [pytest.mark.django_db, pytest.mark.usefixtures("noon")]
NOW = {"published_at": aware(DAY)}
LAST = DAY - timedelta(days=2)
QUERIES = 29


@pytest.fixture
def squad(cast: Cast):
    return make_squad(cast.club, cast.vaulter, cast.team_mate)


def child(cast: Cast) -> str:
    return text_of(get(cast.parent, f"children/{cast.vaulter.pk}/"))


def attend(practice: Practice, athlete, state: str = "here") -> None:
    at = aware(practice.day)
    Attendance.objects.create(club=practice.club, practice=practice, athlete=athlete, state=state, at=at)


def test_a_parent_of_one_child_lands_on_that_child(cast: Cast) -> None:
    response = get(cast.parent, "children/")
    assert response.status_code == 302 and response["Location"].endswith(f"/children/{cast.vaulter.pk}/")


def test_a_parent_of_two_chooses_and_gets_across(cast: Cast) -> None:
    sister = make_athlete(cast.club, make_person(cast.club, "athlete", given_name="Lindi", family_name="Kestrel"))
    Guardianship.objects.create(club=cast.club, guardian=cast.parent.person, child=sister.person)
    shown = get(cast.parent, "children/")
    assert shown.status_code == 200 and "Nandi" in text_of(shown) and "Lindi" in text_of(shown)
    assert f"children/{sister.pk}/" in get(cast.parent, f"children/{cast.vaulter.pk}/").content.decode()


def test_a_parent_sees_only_their_own_child(cast: Cast) -> None:
    assert get(cast.parent, f"children/{cast.vaulter.pk}/").status_code == 200
    assert get(cast.parent, f"children/{cast.team_mate.pk}/").status_code == 404
    assert get(cast.outsider, f"children/{cast.vaulter.pk}/", club=cast.club.slug).status_code == 404


NONE = {"sees_progress": False, "may_collect": False, "may_consent": False, "gets_mail": False}


def tied(cast: Cast, **rights: object) -> Member:
    """A second guardian of Nandi, with none of the rights but these."""
    person = make_person(cast.club, "guardian")
    Guardianship.objects.create(club=cast.club, guardian=person, child=cast.vaulter.person, **{**NONE, **rights})
    member = find_member(person, cast.club.slug)
    assert member is not None
    return member


@pytest.mark.parametrize("ended", [{"barred": True}, {"until": DAY - timedelta(days=1), "sees_progress": True}])
def test_a_barred_or_ended_tie_opens_nothing(cast: Cast, ended: dict[str, object]) -> None:
    member, athlete = tied(cast, **ended), cast.vaulter.pk
    assert "No child is linked to you yet." in text_of(get(member, "children/"))
    for address in (f"children/{athlete}/", f"children/{athlete}/restriction/", f"athletes/{athlete}/card/keep/"):
        assert get(member, address).status_code == 404


def test_a_guardian_without_the_right_sees_when_and_where_and_never_how_it_goes(cast: Cast, squad) -> None:
    first, _later = make_course(cast.club)
    practice = make_practice(cast.club, day=LAST, squads=[squad], **NOW)
    attend(practice, cast.vaulter)
    practise(cast.vaulter, first, {LAST: "11"})
    Practice.objects.filter(pk=practice.pk).update(released_at=timezone.now())
    coming = make_practice(cast.club, day=DAY, squads=[squad], bring="water", **NOW)
    make_practice(cast.club, day=DAY + timedelta(days=1), squads=[squad], cancelled_at=timezone.now(), **NOW)
    Restriction.objects.create(club=cast.club, athlete=cast.vaulter, what="No box", excludes=["contact"], starts_on=DAY)
    AthleteNote.objects.create(
        club=cast.club, athlete=cast.vaulter, text="Runs well.", reader="athlete", at=timezone.now()
    )
    member = tied(cast)
    assert get(member, "children/").status_code == 302
    shown = text_of(get(member, f"children/{cast.vaulter.pk}/"))
    assert str(coming.venue) in shown and "cancelled" in shown and "No box" in shown and "Emergency card" in shown
    for kept in ("Standing drop", "Nandi came to", "Runs well."):
        assert kept in child(cast) and kept not in shown


def test_a_guardian_without_the_right_reports_and_keeps_the_card(cast: Cast) -> None:
    member, athlete = tied(cast), cast.vaulter
    base = f"/c/{cast.club.slug}"
    client = signed_in(member)
    sent = client.post(f"{base}/children/{athlete.pk}/restriction/", {"much": "contact", "days": ""})
    assert sent.status_code == 302 and Restriction.objects.get(athlete=athlete).reported_by == member.person
    kept = client.post(f"{base}/athletes/{athlete.pk}/card/keep/", {"allergies": "nuts"})
    assert kept.status_code == 302 and EmergencyCard.objects.get(athlete=athlete).kept_by == member.person
    other = cast.team_mate.pk
    for address in (f"children/{other}/restriction/", f"athletes/{other}/card/keep/"):
        assert client.post(f"{base}/{address}", {"much": "contact", "days": ""}).status_code == 404


def test_next_dates_say_when_where_until_and_what_to_bring(cast: Cast, squad) -> None:
    practice = make_practice(cast.club, day=DAY, squads=[squad], ends=time(18, 30), bring="water", **NOW)
    make_practice(cast.club, day=DAY + timedelta(days=1), squads=[squad])
    shown = child(cast)
    assert f"Today, 17:00 {practice.venue}, until 18:30." in shown and "Bring: water" in shown
    assert f"Pick-up: 18:30, {practice.venue}" in shown and "3 March" not in shown


def test_pick_up_is_told_to_whoever_may_collect(cast: Cast, squad) -> None:
    make_practice(cast.club, day=DAY, squads=[squad], **NOW)
    Guardianship.objects.update(may_collect=False)
    shown = child(cast)
    assert "until 19:00" in shown and "Pick-up" not in shown


def test_a_cancelled_practice_is_the_first_thing_said(cast: Cast, squad) -> None:
    make_practice(cast.club, day=DAY, squads=[squad], cancelled_at=timezone.now(), **NOW)
    shown = child(cast)
    assert shown.index("this practice does not take place") < shown.index("Next dates")
    assert "Mon 2 March, 17:00 cancelled" in shown


def test_no_date_is_said_as_that(cast: Cast) -> None:
    assert "No date is set yet." in child(cast)


def test_what_was_worked_on_shows_after_the_release_with_the_words_explained(cast: Cast, squad) -> None:
    first, later = make_course(cast.club)
    practice = make_practice(cast.club, day=LAST, squads=[squad], **NOW)
    attend(practice, cast.vaulter)
    practise(cast.vaulter, first, {LAST: "11"})
    practise(cast.vaulter, later, {LAST: "0"})
    hidden = child(cast)
    assert "Standing drop" not in hidden and "came to" not in hidden and "28 February" not in hidden
    Practice.objects.filter(pk=practice.pk).update(released_at=timezone.now())
    shown = child(cast)
    assert "Saturday 28 February Standing drop Six-step walk" in shown
    assert "Nandi came to the last practice." in shown
    assert "The drop: over three steps" in shown and "The plant:" in shown and "Tip contact" not in shown


def test_a_child_with_reps_came_even_where_nobody_took_the_roll(cast: Cast, squad) -> None:
    first, _later = make_course(cast.club)
    make_practice(cast.club, day=LAST, squads=[squad], released_at=timezone.now(), **NOW)
    practise(cast.vaulter, first, {LAST: "1"})
    shown = child(cast)
    assert "Nandi came to the last practice." in shown and "was not" not in shown


def test_where_nobody_took_the_roll_nothing_is_said_about_who_came(cast: Cast, squad) -> None:
    practice = make_practice(cast.club, day=LAST, squads=[squad], released_at=timezone.now(), **NOW)
    shown = child(cast)
    assert "Nobody noted who came." in shown and "was not" not in shown and "came to" not in shown
    attend(practice, cast.team_mate, "out")
    assert "Nobody noted who came." in child(cast), "that one was taken out is no roll"
    attend(practice, make_athlete(cast.club), "absent")
    shown = child(cast)
    assert "Nandi was not at the last practice." in shown and "Nandi was not there." in shown


def test_practices_without_a_roll_are_left_out_of_how_often_they_came_and_that_is_said(cast: Cast, squad) -> None:
    for gap, state in ((9, "here"), (6, ""), (3, "absent")):
        day = DAY - timedelta(days=gap)
        practice = make_practice(cast.club, day=day, squads=[squad], released_at=aware(DAY), **NOW)
        if state:
            attend(practice, cast.vaulter, state)
    response = get(cast.parent, f"children/{cast.vaulter.pk}/")
    assert "Nandi came to 1 of 2 practices at which it was noted who came." in text_of(response)


def test_of_two_practices_of_a_day_one_without_a_roll_leaves_the_day_open(cast: Cast, squad) -> None:
    first, _second = (
        make_practice(cast.club, day=LAST, squads=[squad], starts=at, released_at=timezone.now(), **NOW)
        for at in (time(10), time(17))
    )
    attend(first, cast.vaulter, "absent")
    shown = child(cast)
    assert "Nobody noted who came." in shown and "was not there" not in shown


def test_came_is_counted_over_released_practices_alone(cast: Cast, squad) -> None:
    for gap, state in ((9, "here"), (6, "absent"), (3, "late")):
        day = DAY - timedelta(days=gap)
        attend(make_practice(cast.club, day=day, squads=[squad], released_at=aware(DAY), **NOW), cast.vaulter, state)
    attend(make_practice(cast.club, day=LAST, squads=[squad], **NOW), cast.vaulter, "absent")
    response = get(cast.parent, f"children/{cast.vaulter.pk}/")
    assert "Nandi came to 2 of the last 3 practices." in text_of(response)
    assert "Nandi was not there." in text_of(response)
    assert response.content.decode().count('class="came"') == 2


def test_nothing_that_must_never_be_said_to_parents_is_said(cast: Cast, squad) -> None:
    first, _later = make_course(cast.club)
    Drill.objects.filter(pk=first.pk).update(purpose="unread purpose")
    practice = make_practice(cast.club, day=LAST, squads=[squad], released_at=timezone.now(), **NOW)
    practise(cast.vaulter, first, {LAST - timedelta(days=2): "0000000", LAST: "0000000"})
    practise(cast.team_mate, first, {LAST: "1"})
    RepNote.objects.create(
        club=cast.club, uuid=uuid4(), practice=practice, athlete=cast.vaulter, by=cast.assistant.person,
        reader="coaches", text="for coaches", at=aware(LAST),
    )  # fmt: skip
    shown = child(cast)
    assert "Standing drop" in shown
    never = (
        "%",
        "easier",
        "settled",
        "behind",
        "stuck",
        "fault",
        "late ",
        "turn",
        "Eero",
        "for coaches",
        " she ",
        " he ",
    )
    assert [said for said in never if said in shown] == []
    assert "No pole, wall or box work at home" in shown and "come first." in shown


def test_the_child_s_own_restriction_says_what_and_until_when(cast: Cast) -> None:
    Restriction.objects.create(
        club=cast.club, athlete=cast.vaulter, excludes=[], what="No runs", reason="ankle", starts_on=DAY, ends_on=DAY
    )
    shown = child(cast)
    assert "For Nandi now: No runs, until 2 March." in shown and "ankle" not in shown


def test_the_number_of_queries_does_not_grow(
    cast: Cast, squad, django_assert_num_queries: pytest.FixtureRequest
) -> None:
    first, later = make_course(cast.club)

    def released(day) -> None:
        attend(make_practice(cast.club, day=day, squads=[squad], released_at=timezone.now(), **NOW), cast.vaulter)
        practise(cast.vaulter, first, {day: "1"})

    released(LAST)
    make_practice(cast.club, day=DAY, squads=[squad], **NOW)
    client, address = signed_in(cast.parent), f"/c/{cast.club.slug}/children/{cast.vaulter.pk}/"
    with django_assert_num_queries(QUERIES):
        client.get(address)
    for gap in (4, 5, 6):
        released(DAY - timedelta(days=gap))
        make_practice(cast.club, day=DAY + timedelta(days=gap), squads=[squad], **NOW)
    practise(cast.vaulter, later, {LAST: "1"})
    with django_assert_num_queries(QUERIES):
        client.get(address)


def test_only_guardians_have_these_pages(cast: Cast) -> None:
    others = (cast.head_coach, cast.assistant, cast.helper, cast.athlete, cast.officer)
    for address in ("children/", f"children/{cast.vaulter.pk}/"):
        assert {get(one, address).status_code for one in others} == {403}
