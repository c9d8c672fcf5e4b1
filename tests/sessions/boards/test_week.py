"""The week page: practices on a line, advice, who was not seen, who is held back."""

from datetime import time, timedelta
from uuid import uuid4

import pytest
from django.utils import timezone

from athletes.models import Restriction
from sessions.boards.queries import week as week_queries
from sessions.boards.queries.told import Told
from sessions.practices.models import AdultPresence, Attendance, Practice
from tests.builders import DAY, Cast, aware, make_athlete, make_block, make_practice, make_squad
from tests.sessions.boards.helpers import get, make_course, make_gate, practise, signed_in, text_of

QUERIES = 33
"""Door 3; roster 2; practices 4, turnout 2, reps 1; held 1; drills 2, readiness 1, last reps 1; standings, decisions,
notices 3; absences 4; told 3."""

pytestmark = [pytest.mark.django_db, pytest.mark.usefixtures("noon")]


def attend(practice: Practice, athlete, state: str = "here") -> None:
    Attendance.objects.create(
        club=practice.club, practice=practice, athlete=athlete, state=state, at=aware(practice.day)
    )


def test_a_week_without_practices_says_so_and_offers_to_plan_one(cast: Cast) -> None:
    response = get(cast.head_coach, "week/")
    assert "2 to 8 March" in text_of(response) and "No practice this week." in text_of(response)
    assert f"/c/{cast.club.slug}/practices/new/" in response.content.decode()


def test_an_assistant_is_not_offered_what_they_may_not_do(cast: Cast) -> None:
    assert "practices/new/" not in get(cast.assistant, "week/").content.decode()


def test_each_practice_stands_on_the_line_as_what_it_is(cast: Cast) -> None:
    squad = make_squad(cast.club, cast.vaulter, cast.team_mate)
    held = make_practice(cast.club, day=DAY - timedelta(days=6), squads=[squad], published_at=timezone.now())
    attend(held, cast.vaulter)
    make_practice(cast.club, day=DAY, squads=[squad], published_at=timezone.now(), starts=time(18))
    make_block(make_practice(cast.club, day=DAY + timedelta(days=1), squads=[squad]))
    make_practice(cast.club, day=DAY + timedelta(days=2), squads=[squad])
    make_practice(cast.club, day=DAY + timedelta(days=3), published_at=timezone.now(), cancelled_at=timezone.now())
    response = get(cast.head_coach, "week/")
    shown = text_of(response)
    assert "4 practices, 1 of them today: 1 published, 1 draft, 1 without a plan, 1 cancelled." in shown
    assert "2 expected" in shown and "18:00" in shown
    for css in ('class="day now"', 'class="day draft"', 'class="day none"'):
        assert css in response.content.decode()
    before = text_of(get(cast.head_coach, f"week/?week={DAY - timedelta(days=1)}"))
    assert "1 practice: held." in before and "1 of 2 came" in before


def test_who_did_a_rep_counts_as_come_and_without_a_roll_no_number_is_claimed(cast: Cast) -> None:
    first, _later = make_course(cast.club)
    squad = make_squad(cast.club, cast.vaulter, cast.team_mate)
    last = DAY - timedelta(days=3)
    practice = make_practice(cast.club, day=last, squads=[squad], published_at=timezone.now())
    address = f"week/?week={last}"
    assert "who came was not noted" in text_of(get(cast.head_coach, address))
    attend(practice, cast.team_mate, "absent")
    assert "0 of 2 came" in text_of(get(cast.head_coach, address))
    practise(cast.vaulter, first, {last: "1"})
    assert "1 of 2 came" in text_of(get(cast.head_coach, address))


def test_a_rep_on_a_day_with_two_practices_counts_at_that_of_the_squad(cast: Cast) -> None:
    first, _later = make_course(cast.club)
    last = DAY - timedelta(days=3)
    for athlete in (cast.vaulter, cast.team_mate):
        make_practice(cast.club, day=last, squads=[make_squad(cast.club, athlete)], published_at=timezone.now())
    practise(cast.vaulter, first, {last: "1"})
    shown = text_of(get(cast.head_coach, f"week/?week={last}"))
    assert shown.count("1 of 1 came") == 1 and shown.count("who came was not noted") == 1


def test_reps_of_the_day_and_adults_and_focus_are_named(cast: Cast) -> None:
    first, _later = make_course(cast.club)
    focus = first.checkpoints.get()
    practice = make_practice(cast.club, day=DAY, focus=focus, published_at=timezone.now())
    AdultPresence.objects.create(club=cast.club, practice=practice, person=cast.assistant.person)
    practise(cast.vaulter, first, {DAY: "110"})
    shown = text_of(get(cast.head_coach, "week/"))
    assert "3 reps logged" in shown and "Aiko" in shown and "Focus drop start" in shown


@pytest.mark.parametrize("wanted", ["soon", "2026-13-01", "2026-3-2"])
def test_a_week_that_is_no_day_is_not_found(cast: Cast, wanted: str) -> None:
    assert get(cast.head_coach, f"week/?week={wanted}").status_code == 404


def test_a_day_outside_of_any_club_s_calendar_shows_this_week(cast: Cast) -> None:
    assert "2 to 8 March" in text_of(get(cast.head_coach, "week/?week=0001-01-01"))
    assert "2 to 8 March" in text_of(get(cast.head_coach, "week/?week=9999-12-31"))


def test_advice_is_listed_with_its_figures_and_an_assistant_has_nothing_to_press(cast: Cast) -> None:
    first, later = make_course(cast.club)
    days = (DAY - timedelta(days=6), DAY - timedelta(days=2))
    practise(cast.vaulter, first, {days[0]: "11111111", days[1]: "11111111"})
    practise(cast.team_mate, later, {days[0]: "00000", days[1]: "00000"})
    response = get(cast.assistant, "week/")
    shown = text_of(response)
    assert "1 drill is settled and leads on, 1 drill speaks for an easier one." in shown
    assert "Good in 16 of the last 16 reps on 2 days. Even the low end" in shown and "Leads to Six-step walk." in shown
    assert "Good in 0 of the last 10 reps on 2 days." in shown and "no higher than 50 %" in shown
    main = response.content.decode().split("<main")[1].split("</main>")[0]
    assert "<button" not in main and "<form" not in main


def test_who_was_not_seen_for_ten_days_is_named_and_who_came_is_not(cast: Cast) -> None:
    squad = make_squad(cast.club, cast.vaulter, cast.team_mate)
    for gap in (12, 8, 3):
        practice = make_practice(cast.club, day=DAY - timedelta(days=gap), squads=[squad], published_at=timezone.now())
        attend(practice, cast.team_mate)
        attend(practice, cast.vaulter, "here" if gap == 12 else "absent")
    response = get(cast.head_coach, "week/")
    side = text_of(response).split("Not seen lately")[1]
    assert "Nandi K." in side and "12 days" in side and "Eero V." not in side
    assert "Came to 1 of the last 3 practices" in response.content.decode()
    assert "1 vaulter has not been seen for ten days or more" in text_of(response)


def test_who_was_seen_before_the_days_looked_back_on_is_away_for_longer(cast: Cast) -> None:
    squad = make_squad(cast.club, cast.vaulter, cast.team_mate)
    for gap in (week_queries.SEEN_DAYS + 1, 1):
        practice = make_practice(cast.club, day=DAY - timedelta(days=gap), squads=[squad], published_at=timezone.now())
        attend(practice, cast.team_mate if gap == 1 else cast.vaulter)
    new = make_athlete(cast.club, joined_on=DAY - timedelta(days=20))
    squad.athletes.add(new)
    assert "longer than 120 days" in text_of(get(cast.head_coach, "week/")).split("Not seen lately")[1]
    assert "not seen yet" in text_of(get(cast.head_coach, "week/")).split("Not seen lately")[1]
    attend(make_practice(cast.club, day=DAY - timedelta(days=week_queries.SEEN_DAYS), squads=[squad]), cast.vaulter)
    assert "120 days" in text_of(get(cast.head_coach, "week/")) and "longer" not in text_of(
        get(cast.head_coach, "week/")
    )


def test_who_did_a_rep_was_seen_though_nobody_took_the_roll(cast: Cast) -> None:
    first, _later = make_course(cast.club)
    squad = make_squad(cast.club, cast.vaulter, cast.team_mate)
    for gap in (14, 11, 1):
        practice = make_practice(cast.club, day=DAY - timedelta(days=gap), squads=[squad], published_at=timezone.now())
        attend(practice, cast.team_mate)
    practise(cast.vaulter, first, {DAY - timedelta(days=1): "1"})
    assert "Nandi K." not in text_of(get(cast.head_coach, "week/")).split("Not seen lately")[1]


def test_who_is_held_back_is_said_with_until_when_and_without_why(cast: Cast) -> None:
    Restriction.objects.create(
        club=cast.club, athlete=cast.vaulter, excludes=["contact"], what="No wall", reason="ankle", starts_on=DAY,
        ends_on=DAY + timedelta(days=5),
    )  # fmt: skip
    shown = text_of(get(cast.assistant, "week/"))
    assert "Nandi K.: No wall, until 7 March." in shown and "ankle" not in shown
    assert "come first." in shown.split("No wall")[1]


def test_the_number_of_queries_does_not_grow(cast: Cast, django_assert_num_queries: pytest.FixtureRequest) -> None:
    first, later = make_course(cast.club)
    squad = make_squad(cast.club, cast.vaulter, cast.team_mate)
    make_gate(cast.club, key="other")

    def fill(day, athlete) -> None:
        practice = make_practice(cast.club, day=day, squads=[squad], published_at=timezone.now())
        attend(practice, athlete)
        AdultPresence.objects.create(club=cast.club, practice=practice, person=cast.assistant.person)
        practise(athlete, first, {day: "11111"})
        practise(athlete, later, {day: "00000"})

    fill(DAY - timedelta(days=5), cast.vaulter)
    fill(DAY, cast.vaulter)
    client = signed_in(cast.head_coach)
    with django_assert_num_queries(QUERIES):
        client.get(f"/c/{cast.club.slug}/week/")
    for gap in range(1, 5):
        fill(DAY + timedelta(days=gap) if gap < 3 else DAY - timedelta(days=gap), cast.team_mate)
    with django_assert_num_queries(QUERIES):
        client.get(f"/c/{cast.club.slug}/week/")


def test_only_coaches_read_the_week(cast: Cast) -> None:
    assert [get(one, "week/").status_code for one in (cast.head_coach, cast.assistant)] == [200, 200]
    others = (cast.helper, cast.athlete, cast.parent, cast.officer)
    assert {get(one, "week/").status_code for one in others} == {403}


def test_a_practice_is_cancelled_from_the_week_in_two_taps_and_a_banner_says_so(cast: Cast) -> None:
    practice = make_practice(cast.club, day=DAY + timedelta(days=1), published_at=timezone.now())
    past = make_practice(cast.club, day=DAY - timedelta(days=1), published_at=timezone.now())
    client = signed_in(cast.head_coach)
    page = get(cast.head_coach, f"week/?week={DAY}").content.decode()
    address = f"/c/{cast.club.slug}/practices/{practice.pk}/cancel/"
    assert f'action="{address}"' in page and f"{past.pk}/cancel/" not in page
    assert address not in get(cast.assistant, f"week/?week={DAY}").content.decode()
    client.post(address)
    shown = get(cast.assistant, f"week/?week={DAY}")
    assert "this practice is cancelled" in text_of(shown) and address not in shown.content.decode()


def test_of_many_notices_the_first_few_are_shown_and_the_rest_one_tap_away(
    cast: Cast, monkeypatch: pytest.MonkeyPatch
) -> None:
    many = tuple(Told(uuid4(), aware(DAY), f"Unsafe number {number}.") for number in range(9))
    monkeypatch.setattr(week_queries, "told", lambda *args, **kwargs: many)
    page = get(cast.head_coach, "week/")
    assert "Unsafe number 5." in text_of(page) and "Unsafe number 6." not in text_of(page)
    assert "And 3 more" in text_of(page) and "?notices=all" in page.content.decode()
    assert "Unsafe number 8." in text_of(get(cast.head_coach, "week/?notices=all"))
