"""What a head coach must hear of a practice reaches a page that they open: unsafe reps, and who was taken out."""

from datetime import timedelta
from typing import Any

import pytest
from django.utils import timezone

from sessions.practices.models import Practice
from tests.builders import DAY
from tests.sessions.boards.helpers import get, text_of
from tests.sessions.reps.ground import SECOND, Ground, make_ground

pytestmark = [pytest.mark.django_db, pytest.mark.usefixtures("noon")]


@pytest.fixture
def ground(db: None) -> Ground:
    return make_ground(published_at=timezone.now())


def told(ground: Ground, who: Any = None, **headers: str) -> str:
    return text_of(get(who or ground.cast.head_coach, f"practices/{ground.practice.pk}/told/", **headers))


def week(ground: Ground) -> str:
    return text_of(get(ground.cast.head_coach, "week/"))


def test_an_unsafe_rep_is_told_with_who_what_when_and_who_saw_it(ground: Ground) -> None:
    ground.send(ground.rep(unsafe=True), ground.rep(90))
    name = ground.drop.name
    assert f"Unsafe: Nandi K., {name}, 17:30, seen by Aiko." in told(ground)
    assert f"Unsafe: Nandi K., {name}, Mon 2, 17:30, seen by Aiko." in week(ground)
    assert told(ground).count("Unsafe: ") == 1


def test_the_time_is_that_of_the_wall_of_the_practice(ground: Ground) -> None:
    ground.send(ground.rep(unsafe=True))
    Practice.objects.filter(pk=ground.practice.pk).update(zone="Asia/Tokyo")
    assert "02:30, seen by Aiko." in told(ground) and "Tue 3, 02:30, seen by Aiko." in week(ground)


def test_an_unsafe_fault_is_told_like_an_unsafe_rep(ground: Ground) -> None:
    ground.send(ground.rep(watched=["feet"], faults=["feet-jumps"]))
    assert "Unsafe: Nandi K." in told(ground)


def test_two_who_saw_one_unsafe_rep_are_named_in_one_line(ground: Ground) -> None:
    rep = ground.rep(unsafe=True)
    ground.send(rep)
    ground.send(ground.look(5, target=rep["uuid"], unsafe=True), by=ground.cast.head_coach, device=SECOND)
    shown = told(ground)
    head = ground.cast.head_coach.person.given_name
    assert shown.count("Unsafe: ") == 1 and f"seen by Aiko and {head}." in shown


def test_an_unsafe_rep_that_was_taken_back_or_corrected_is_told_no_more(ground: Ground) -> None:
    first, second = ground.rep(unsafe=True), ground.rep(90, unsafe=True)
    ground.send(first, second)
    assert told(ground).count("Unsafe: ") == 2
    ground.send(ground.void(first), ground.correct(second, unsafe=False))
    assert "Unsafe: " not in told(ground) and "Look at this first" not in week(ground)


def test_an_unsafe_entry_that_waits_for_a_coach_is_told_as_waiting(ground: Ground) -> None:
    far = timedelta(hours=14)
    late = ground.rep(far.total_seconds(), unsafe=True)
    ground.practice.refresh_from_db()
    answer = ground.send(late, received_at=ground.at + timedelta(hours=15))
    assert answer.results[0].state == "kept"
    assert "still waits for a coach’s look: Nandi K." in told(ground)


def test_who_was_taken_out_is_told_with_the_reason_and_who_said_so(ground: Ground) -> None:
    vaulter = ground.cast.vaulter.pk
    ground.send(ground.event(60, kind="out_of_practice", athlete=vaulter, reason="injured"))
    assert "Out: Nandi K., injured, 17:31 (Aiko)." in told(ground)
    assert "Out: Nandi K., injured, Mon 2, 17:31 (Aiko)." in week(ground)


def test_who_was_brought_back_is_not_told_as_out(ground: Ground) -> None:
    vaulter = ground.cast.vaulter.pk
    ground.send(ground.event(60, kind="out_of_practice", athlete=vaulter, reason="unwell"))
    assert "unwell" in told(ground)
    ground.send(ground.event(120, kind="attendance", athlete=vaulter, state="here"), by=ground.cast.head_coach)
    assert "Out: " not in told(ground)


def test_nothing_to_tell_is_said_on_the_page_and_leaves_the_week_and_the_fragment_empty(ground: Ground) -> None:
    ground.send(ground.rep())
    assert "No rep was called unsafe, and nobody is out." in told(ground)
    assert told(ground, **{"HX-Request": "true"}).strip() == "" and "Look at this first" not in week(ground)


def test_another_week_s_unsafe_rep_is_not_on_this_week_s_page(ground: Ground) -> None:
    ground.send(ground.rep(unsafe=True))
    after = DAY + timedelta(days=7)
    assert "Unsafe: " not in text_of(get(ground.cast.head_coach, f"week/?week={after}"))


def test_the_page_of_a_practice_asks_for_the_list_and_links_to_it_without_script(
    ground: Ground, monkeypatch: pytest.MonkeyPatch
) -> None:
    address = f"/c/{ground.cast.club.slug}/practices/{ground.practice.pk}/told/"
    page = f"practices/{ground.practice.pk}/"
    assert address not in get(ground.cast.head_coach, page).content.decode(), "noon: it has not begun"
    Practice.objects.filter(pk=ground.practice.pk).update(starts="09:00")
    shown = get(ground.cast.head_coach, page).content.decode()
    assert f'hx-get="{address}"' in shown and f'href="{address}"' in shown


def test_only_coaches_are_told(ground: Ground) -> None:
    address, cast = f"practices/{ground.practice.pk}/told/", ground.cast
    assert [get(one, address).status_code for one in (cast.head_coach, cast.assistant)] == [200, 200]
    assert {get(one, address).status_code for one in (cast.helper, cast.athlete, cast.parent, cast.officer)} == {403}
    assert get(cast.outsider, address, club=cast.club.slug).status_code == 404
