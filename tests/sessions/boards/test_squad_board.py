"""The squad board: what its cells say, who reads it, how it keeps itself fresh, and how many queries it takes."""

import re
from datetime import timedelta

import pytest
from django.urls import reverse

from athletes.models import Restriction
from club.members import Member
from tests.builders import DAY, Cast, make_athlete, make_drill, make_person, make_squad
from tests.sessions.boards.helpers import get, make_course, practise, signed_in, text_of

pytestmark = [pytest.mark.django_db, pytest.mark.usefixtures("noon")]
QUERIES = 11
"""Session, person, membership; squads; drills, needs; standings; readiness; held; roster 2."""
LATELY = (DAY - timedelta(days=6), DAY - timedelta(days=2))


def cell(body: str, athlete, drill) -> str:
    """The table cell with that athlete's link to that drill; "" if there is none."""
    found = re.search(rf'<td[^>]*><a id="cell-{athlete.pk}-{drill.key}".*?</td>', body, re.S)
    return found.group(0) if found else ""


def test_a_cell_says_the_reading_to_those_who_do_not_see_the_bar(cast: Cast) -> None:
    first, _later = make_course(cast.club)
    practise(cast.vaulter, first, {LATELY[0]: "1101", LATELY[1]: "1011"})
    body = get(cast.head_coach, "board/").content.decode()
    found = cell(body, cast.vaulter, first)
    assert "Nandi K., Standing drop: keep on, likely range" in found and "8 reps counted" in found
    assert "<svg" in found and 'aria-hidden="true"' in found


def test_a_drill_that_is_not_open_is_blank_and_an_open_one_without_reps_a_diamond(cast: Cast) -> None:
    first, later = make_course(cast.club)
    practise(cast.vaulter, first, {LATELY[0]: "11"})
    body = get(cast.head_coach, "board/").content.decode()
    assert cell(body, cast.vaulter, later) == ""
    assert "diamond" in cell(body, cast.team_mate, first)
    assert "Eero V., Standing drop: open, no reps counted yet" in cell(body, cast.team_mate, first)
    assert "not open yet 2" in text_of(get(cast.head_coach, "board/"))


def test_reps_of_a_drill_that_is_not_open_are_shown_and_said(cast: Cast) -> None:
    _first, later = make_course(cast.club)
    practise(cast.vaulter, later, {LATELY[0]: "1101", LATELY[1]: "1011"})
    found = cell(get(cast.head_coach, "board/").content.decode(), cast.vaulter, later)
    assert "keep on, not open yet, likely range" in found and 'class="shut"' in found


def test_reps_that_were_not_watched_give_a_diamond_and_no_percentage(cast: Cast) -> None:
    first, _later = make_course(cast.club)
    practise(cast.vaulter, first, {LATELY[0]: "---"})
    found = cell(get(cast.head_coach, "board/").content.decode(), cast.vaulter, first)
    assert "diamond" in found and "no reps counted yet" in found and "%" not in found


def test_a_settled_drill_leads_on_until_the_next_is_begun(cast: Cast) -> None:
    first, later = make_course(cast.club)
    practise(cast.vaulter, first, {LATELY[0]: "11111111", LATELY[1]: "11111111"})
    assert 'class="s0 inv"' in cell(get(cast.head_coach, "board/").content.decode(), cast.vaulter, first)
    practise(cast.vaulter, later, {LATELY[1]: "1"})
    found = cell(get(cast.head_coach, "board/").content.decode(), cast.vaulter, first)
    assert 'class="s0 done"' in found and "<svg" not in found


def test_a_restriction_hatches_what_it_excludes_until_its_last_day(cast: Cast) -> None:
    make_course(cast.club)
    restriction = Restriction.objects.create(
        club=cast.club, athlete=cast.vaulter, excludes=["moving"], what="No runs", reason="", starts_on=DAY, ends_on=DAY
    )
    assert text_of(get(cast.head_coach, "board/")).count("Six-step walk: held back by a restriction") == 1
    Restriction.objects.filter(pk=restriction.pk).update(starts_on=DAY - timedelta(days=9), ends_on=LATELY[1])
    assert "Six-step walk: held back" not in text_of(get(cast.head_coach, "board/"))


def test_the_address_of_a_cell_opens_it_as_a_page_and_as_a_fragment(cast: Cast) -> None:
    first, _later = make_course(cast.club)
    practise(cast.vaulter, first, {LATELY[0]: "1101", LATELY[1]: "1011"})
    address = reverse("board_cell", args=[cast.club.slug, cast.vaulter.pk, first.key])
    assert f'href="{address}" hx-get="{address}"' in get(cast.head_coach, "board/").content.decode()
    client = signed_in(cast.head_coach)
    page, fragment = client.get(address), client.get(address, headers={"HX-Request": "true"})
    for shown in (page, fragment):
        assert "Good in 6 of the last 8 reps on 2 days. Last counted 2 days ago." in text_of(shown)
    assert b"<html" in page.content and b"<html" not in fragment.content


def test_the_board_answers_unchanged_until_a_rep_was_rolled_up(cast: Cast) -> None:
    first, _later = make_course(cast.club)
    practise(cast.vaulter, first, {LATELY[0]: "11"})
    client = signed_in(cast.head_coach)
    body = client.get(f"/c/{cast.club.slug}/board/").content.decode()
    poll = re.search(r'id="squad_board" hx-get="([^"]+)" hx-trigger="every 3s"', body).group(1).replace("&amp;", "&")
    assert client.get(poll, headers={"HX-Request": "true"}).status_code == 204
    practise(cast.vaulter, first, {LATELY[1]: "0"})
    fresh = client.get(poll, headers={"HX-Request": "true"})
    assert fresh.status_code == 200 and "3 reps counted" in fresh.content.decode()
    assert 'id="board_key" hx-swap-oob="true"' in fresh.content.decode() and b"<html" not in fresh.content


def test_an_open_cell_keeps_itself_fresh_without_taking_the_focus_again(cast: Cast) -> None:
    first, _later = make_course(cast.club)
    practise(cast.vaulter, first, {LATELY[0]: "11"})
    client = signed_in(cast.head_coach)
    address = reverse("board_cell", args=[cast.club.slug, cast.vaulter.pk, first.key])
    opened = client.get(address, headers={"HX-Request": "true"}).content.decode()
    poll = re.search(r'hx-get="([^"]+stamp=[^"]+)"', opened).group(1)
    assert "autofocus" in opened and client.get(poll, headers={"HX-Request": "true"}).status_code == 204
    practise(cast.vaulter, first, {LATELY[1]: "0"})
    assert "autofocus" not in client.get(poll, headers={"HX-Request": "true"}).content.decode()


def test_one_squad_is_shown_alone_and_an_unknown_one_is_not_found(cast: Cast) -> None:
    make_course(cast.club)
    squad = make_squad(cast.club, cast.team_mate)
    other = make_squad(cast.other_club)
    shown = text_of(get(cast.head_coach, f"board/?squad={squad.pk}"))
    assert "Eero V." in shown and "Nandi K." not in shown and "1 vaulter along 2 drills" in shown
    assert get(cast.head_coach, f"board/?squad={other.pk}").status_code == 404
    assert get(cast.head_coach, "board/?squad=everyone").status_code == 404


def test_an_athlete_who_left_and_a_retired_drill_are_not_on_the_board(cast: Cast) -> None:
    make_course(cast.club)
    make_drill(cast.club, name="Old drill", short="Old drill", retired=True)
    type(cast.team_mate).objects.filter(pk=cast.team_mate.pk).update(left_on=DAY)
    shown = text_of(get(cast.head_coach, "board/"))
    assert "Eero V." not in shown and "Old drill" not in shown


def test_an_empty_club_is_told_what_to_do_next(cast: Cast) -> None:
    assert "No drill in the catalogue yet" in text_of(get(cast.head_coach, "board/"))


def reads(viewer: Member, address: str) -> int:
    return get(viewer, address).status_code


def test_only_coaches_read_the_board(cast: Cast) -> None:
    first, _later = make_course(cast.club)
    for address in ("board/", f"board/{cast.vaulter.pk}/{first.key}/"):
        assert [reads(one, address) for one in (cast.head_coach, cast.assistant)] == [200, 200]
        assert {reads(one, address) for one in (cast.helper, cast.athlete, cast.parent, cast.officer)} == {403}
        assert get(cast.outsider, address, club=cast.club.slug).status_code == 404


def test_an_athlete_of_another_club_is_not_found(cast: Cast) -> None:
    first, _later = make_course(cast.club)
    stranger = make_athlete(cast.other_club)
    assert get(cast.head_coach, f"board/{stranger.pk}/{first.key}/").status_code == 404


def test_the_number_of_queries_does_not_grow_with_athletes_or_drills(
    cast: Cast, django_assert_num_queries: pytest.FixtureRequest
) -> None:
    first, later = make_course(cast.club)
    practise(cast.vaulter, first, {LATELY[0]: "11"})
    client = signed_in(cast.head_coach)
    address = f"/c/{cast.club.slug}/board/"
    with django_assert_num_queries(QUERIES):
        client.get(address)
    for name in ("Ada", "Bo", "Cy"):
        athlete = make_athlete(cast.club, make_person(cast.club, "athlete", given_name=name))
        drill = make_drill(cast.club, name=name, needs=(first, later))
        make_squad(cast.club, athlete)
        practise(athlete, drill, {LATELY[0]: "10", LATELY[1]: "1"})
    with django_assert_num_queries(QUERIES):
        assert "Ada V." in text_of(client.get(address))
