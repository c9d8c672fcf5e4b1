"""One athlete on the map of the progression."""

from datetime import timedelta

from athletes.models import Restriction
from club.roles import Permission
from sessions.boards.queries.progression_map import athlete_map
from tests.builders import DAY, Cast, make_drill
from tests.sessions.boards.helpers import get, make_gate, practise, text_of


def test_the_map_says_where_the_figures_stand_at_each_drill(cast: Cast, noon) -> None:
    first = make_drill(cast.club, (make_gate(cast.club),), key="first", name="First drop")
    second = make_drill(cast.club, (make_gate(cast.club, key="second-gate"),), key="second", name="Second drop",
                        needs=(first,))  # fmt: skip
    make_drill(cast.club, (make_gate(cast.club, key="third-gate"),), key="third", name="Third drop", needs=(second,))
    practise(cast.vaulter, first, {DAY - timedelta(days=n): "1" * 12 for n in (3, 2, 1)})
    practise(cast.vaulter, second, {DAY - timedelta(days=1): "101"})
    page = get(cast.assistant, f"athletes/{cast.vaulter.pk}/map/")
    drawn = page.content.decode()
    assert 'aria-label="First drop, settled"' in drawn and 'aria-label="Second drop, in work"' in drawn
    assert 'aria-label="Third drop, no reps"' in drawn
    assert "Third drop no reps ; floor drill ; needs Second drop" in text_of(page).replace(
        "no reps;", "no reps ;"
    ).replace("drill;", "drill ;")


def test_what_a_restriction_excludes_is_held_back(cast: Cast, noon) -> None:
    make_drill(cast.club, (make_gate(cast.club),), key="wall", name="Wall", risk="contact")
    Restriction.objects.create(
        club=cast.club, athlete=cast.vaulter, excludes=["contact"], what="no contact work", starts_on=DAY
    )
    assert 'aria-label="Wall, held back"' in get(cast.head_coach, f"athletes/{cast.vaulter.pk}/map/").content.decode()


def test_queries_do_not_grow_with_drills(cast: Cast, django_assert_num_queries) -> None:
    member = cast.head_coach.acting(Permission.READINESS_READ)
    for drills in (1, 6):
        for n in range(drills):
            make_drill(cast.club, (make_gate(cast.club, key=f"gate-{drills}-{n}", name=f"gate {drills} {n}"),))
        with django_assert_num_queries(7):
            athlete_map(member, cast.vaulter, DAY)


def test_an_athlete_has_no_such_page(cast: Cast, noon) -> None:
    assert get(cast.athlete, f"athletes/{cast.vaulter.pk}/map/").status_code == 403
