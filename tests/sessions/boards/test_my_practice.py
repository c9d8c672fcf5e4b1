"""The athlete's own page: the next practice, their drills, and what a coach released."""

import re
from datetime import time, timedelta
from uuid import uuid4

import pytest
from django.utils import timezone

from athletes.models import Restriction
from club.roles import Permission
from drills.models import Drill, Fault, SafetyText
from sessions.boards.queries import reader
from sessions.practices.models import AdultPresence, Assignment, Attendance, Practice
from sessions.reps.models import RepNote
from tests.builders import (
    DAY,
    Cast,
    aware,
    make_athlete,
    make_block,
    make_person,
    make_practice,
    make_squad,
    make_station,
)
from tests.sessions.boards.helpers import get, make_course, practise, signed_in, text_of

pytestmark = [pytest.mark.django_db, pytest.mark.usefixtures("noon")]
NOW = {"published_at": aware(DAY)}
LAST = DAY - timedelta(days=2)


@pytest.fixture
def squad(cast: Cast):
    return make_squad(cast.club, cast.vaulter, cast.team_mate)


def mine(cast: Cast) -> str:
    return text_of(get(cast.athlete, "my/"))


def assign(practice: Practice, athlete, *drills: Drill) -> None:
    station = practice.stations.first() or make_station(practice)
    for number, drill in enumerate(drills, start=1):
        block = practice.blocks.filter(number=number).first() or make_block(practice, number=number)
        Assignment.objects.create(club=practice.club, block=block, station=station, athlete=athlete, drill=drill)


def test_the_next_practice_says_when_where_until_and_what_to_bring(cast: Cast, squad) -> None:
    practice = make_practice(
        cast.club, day=DAY + timedelta(days=1), squads=[squad], starts=time(17, 30), ends=time(19), bring="flat shoes",
        **NOW,
    )  # fmt: skip
    AdultPresence.objects.create(club=cast.club, practice=practice, person=cast.assistant.person)
    shown = mine(cast)
    assert "Tuesday 3 March, 17:30" in shown and f"{practice.venue}, until 19:00, with Aiko." in shown
    assert "Bring: flat shoes" in shown


def test_a_draft_and_a_practice_of_others_are_not_shown(cast: Cast, squad) -> None:
    make_practice(cast.club, day=DAY, squads=[squad])
    make_practice(cast.club, day=DAY, squads=[make_squad(cast.club, cast.team_mate)], **NOW)
    assert "No practice set yet" in mine(cast)


def test_a_practice_that_is_over_makes_room_for_the_next(cast: Cast, squad) -> None:
    make_practice(cast.club, day=DAY, squads=[squad], starts=time(10), ends=time(12), **NOW)
    make_practice(cast.club, day=DAY + timedelta(days=3), squads=[squad], **NOW)
    assert "Thursday 5 March, 17:00" in mine(cast)


def test_a_cancelled_practice_is_said_first_and_the_next_one_follows(cast: Cast, squad) -> None:
    make_practice(cast.club, day=DAY, squads=[squad], cancelled_at=timezone.now(), **NOW)
    make_practice(cast.club, day=DAY + timedelta(days=1), squads=[squad], **NOW)
    shown = mine(cast)
    assert shown.index("this practice does not take place") < shown.index("Tuesday 3 March, 17:00")
    assert "Cancelled Monday 2 March, 17:00" in shown


def test_my_drills_come_in_order_with_my_hand_and_no_one_else_s(cast: Cast, squad) -> None:
    first, later = make_course(cast.club)
    Drill.objects.update(steps=[6])
    practice = make_practice(cast.club, day=DAY, squads=[squad], **NOW)
    assign(practice, cast.vaulter, first, later)
    assign(practice, cast.team_mate, later, first)
    response = get(cast.athlete, "my/")
    shown = text_of(response)
    assert shown.index("Standing drop") < shown.index("Six-step walk")
    assert response.content.decode().count("<details") == 2
    assert "You take off from your left foot." in shown and "right-handed run; the sixth-last is marked" in (
        response.content.decode()
    )
    assert "Bottom hand starts down on landing 6." in shown


def test_a_standing_drill_says_nothing_about_a_run_and_dashes_what_it_is_not_about(cast: Cast, squad) -> None:
    first, _later = make_course(cast.club)
    assign(make_practice(cast.club, day=DAY, squads=[squad], **NOW), cast.vaulter, first)
    response = get(cast.athlete, "my/")
    task = response.content.decode().split("<details")[1].split("</details>")[0]
    words = text_of(response)
    assert "You take off" not in words and "soles" not in words and "sixth-last" not in task
    assert 'class="foot' not in task and "It is done standing" in task
    me = cast.athlete.acting(Permission.MY_READ)
    strip = reader.tasks(me, cast.vaulter, Practice.objects.get().pk, DAY)[0].strip
    assert strip is not None and (strip.lit, strip.off) == ("drop", "carry plant contact")
    assert "Bottom hand starts down on landing 6." in words
    Drill.objects.update(steps=[6])
    walked = get(cast.athlete, "my/").content.decode().split("<details")[1]
    assert "You take off from your left foot." in walked and 'class="foot' in walked


def test_a_cue_is_called_only_where_a_released_practice_showed_the_need(cast: Cast, squad) -> None:
    first, _later = make_course(cast.club)
    Fault.objects.filter(key="drop-start-late").update(cues=["Sooner."])
    assign(make_practice(cast.club, day=DAY, squads=[squad], **NOW), cast.vaulter, first)
    before = make_practice(cast.club, day=LAST, squads=[squad], **NOW)
    practise(cast.vaulter, first, {LAST: "0"})
    assert "Sooner." not in mine(cast)
    Practice.objects.filter(pk=before.pk).update(released_at=timezone.now())
    assert "“Sooner.”" in mine(cast)


def test_safety_words_stand_with_the_drill_and_end_with_the_rules(cast: Cast, squad) -> None:
    first, _later = make_course(cast.club)
    SafetyText.objects.create(club=cast.club, key="drop-grip", title="Hold lower", text="For drop work hold lower.")
    Drill.objects.filter(pk=first.pk).update(safety=["drop-grip"])
    assign(make_practice(cast.club, day=DAY, squads=[squad], **NOW), cast.vaulter, first)
    assert re.search(r"For drop work hold lower\. Local rules, .*? come first\.", mine(cast))


def test_turns_show_after_the_release_and_not_before(cast: Cast, squad) -> None:
    first, _later = make_course(cast.club)
    practice = make_practice(cast.club, day=LAST, squads=[squad], **NOW)
    practise(cast.vaulter, first, {LAST: "10-"})
    assert "turns" not in mine(cast)
    Practice.objects.filter(pk=practice.pk).update(released_at=timezone.now())
    assert "Standing drop 3 turns" in mine(cast)


def test_a_day_with_a_second_unreleased_practice_stays_closed(cast: Cast, squad) -> None:
    first, _later = make_course(cast.club)
    make_practice(cast.club, day=LAST, squads=[squad], released_at=timezone.now(), **NOW)
    practise(cast.vaulter, first, {LAST: "1"})
    evening = make_practice(cast.club, day=LAST, squads=[squad], starts=time(20), ends=time(21), **NOW)
    from tests.sessions.trends.rep_builders import log, roll_up

    log(cast.vaulter, first, practice=evening, day=LAST)
    roll_up()
    assert "turn" not in mine(cast)


def test_neither_rate_nor_readiness_nor_advice_nor_fault_is_shown(cast: Cast, squad) -> None:
    first, later = make_course(cast.club)
    make_practice(cast.club, day=LAST, squads=[squad], released_at=timezone.now(), **NOW)
    assign(make_practice(cast.club, day=DAY, squads=[squad], **NOW), cast.vaulter, first, later)
    practise(cast.vaulter, first, {LAST - timedelta(days=3): "0000000", LAST: "0000000"})
    shown = mine(cast)
    assert "7 turns" in shown
    for never in ("%", "easier drill", "Easier drill", "settled", "likely range", "faulty", "fault", "late", "Eero"):
        assert never not in shown, never


def test_notes_are_those_meant_for_me_and_released(cast: Cast, squad) -> None:
    released = make_practice(cast.club, day=LAST, squads=[squad], released_at=timezone.now(), **NOW)
    closed = make_practice(cast.club, day=DAY, squads=[squad], **NOW)

    def note(practice: Practice, text: str, athlete=cast.vaulter, reader: str = "athlete") -> None:
        RepNote.objects.create(
            club=cast.club, uuid=uuid4(), practice=practice, athlete=athlete, by=cast.assistant.person, reader=reader,
            text=text, at=aware(practice.day),
        )  # fmt: skip

    note(released, "calm drop")
    note(released, "for coaches", reader="coaches")
    note(closed, "not yet")
    note(released, "for Eero", athlete=cast.team_mate)
    shown = mine(cast)
    assert "calm drop Aiko, 28 February" in shown
    assert not [said for said in ("for coaches", "not yet", "for Eero") if said in shown]


def test_my_own_restriction_says_what_and_until_when(cast: Cast) -> None:
    for athlete, what in ((cast.vaulter, "No runs"), (cast.team_mate, "No wall")):
        Restriction.objects.create(
            club=cast.club, athlete=athlete, excludes=[], what=what, reason=f"why {what}", starts_on=DAY, ends_on=DAY
        )
    shown = mine(cast)
    assert "No runs, until 2 March." in shown and "No wall" not in shown and "why" not in shown


def test_whether_i_was_there_is_said_where_no_turn_was_logged(cast: Cast, squad) -> None:
    practice = make_practice(cast.club, day=LAST, squads=[squad], released_at=timezone.now(), **NOW)
    assert "Nobody noted who came, and no turns were logged." in mine(cast)
    noted = {"club": cast.club, "practice": practice, "at": aware(LAST)}
    Attendance.objects.create(**noted, athlete=cast.team_mate, state="here")
    assert "You were not there." in mine(cast)
    Attendance.objects.create(**noted, athlete=cast.vaulter, state="late")
    assert "You were there. No turns were logged." in mine(cast)


def test_the_safeguarding_officer_stands_on_the_page(cast: Cast) -> None:
    person = cast.officer.person
    person.phone = "555 0147"
    person.save(update_fields=["phone"])
    assert "Safeguarding officer: Ines Moor, 555 0147." in mine(cast)


def test_an_athlete_of_whom_no_profile_exists_is_told_whom_to_ask(cast: Cast) -> None:
    person = make_person(cast.club, "athlete", given_name="New")
    from club.members import find_member

    assert "Ask your head coach." in text_of(get(find_member(person, cast.club.slug), "my/"))


def test_the_number_of_queries_does_not_grow(
    cast: Cast, squad, django_assert_num_queries: pytest.FixtureRequest
) -> None:
    first, later = make_course(cast.club)
    make_practice(cast.club, day=LAST, squads=[squad], released_at=timezone.now(), **NOW)
    practice = make_practice(cast.club, day=DAY, squads=[squad], **NOW)
    assign(practice, cast.vaulter, first)
    practise(cast.vaulter, first, {LAST: "1"})
    client = signed_in(cast.athlete)
    with django_assert_num_queries(QUERIES):
        client.get(f"/c/{cast.club.slug}/my/")
    Assignment.objects.all().delete()
    assign(practice, cast.vaulter, first, later)
    practise(cast.vaulter, later, {LAST: "10"})
    make_practice(cast.club, day=DAY + timedelta(days=2), squads=[squad], **NOW)
    make_athlete(cast.club, make_person(cast.club, "athlete"))
    with django_assert_num_queries(QUERIES):
        client.get(f"/c/{cast.club.slug}/my/")


QUERIES = 30


def test_only_an_athlete_has_this_page(cast: Cast) -> None:
    assert get(cast.athlete, "my/").status_code == 200
    others = (cast.head_coach, cast.assistant, cast.helper, cast.parent, cast.officer)
    assert {get(one, "my/").status_code for one in others} == {403}
    assert get(cast.outsider, "my/", club=cast.club.slug).status_code == 404
