"""One athlete on the map of the progression."""

from datetime import timedelta

from athletes.actions.decisions import decide
from athletes.core.standing import DecisionKind
from athletes.models import Restriction, Standing
from club.roles import Permission
from sessions.boards.queries.progression_map import athlete_map
from tests.builders import DAY, Cast, make_drill
from tests.sessions.boards.helpers import get, make_gate, practise, text_of
from tests.sessions.trends.rep_builders import roll_up


def drawn_for(cast: Cast) -> str:
    return get(cast.assistant, f"athletes/{cast.vaulter.pk}/map/").content.decode()


def test_the_map_says_where_they_stand_at_each_drill(cast: Cast, noon) -> None:
    first = make_drill(cast.club, (make_gate(cast.club),), key="first", name="First drop")
    second = make_drill(cast.club, (make_gate(cast.club, key="second-gate"),), key="second", name="Second drop",
                        needs=(first,))  # fmt: skip
    third = make_drill(cast.club, (make_gate(cast.club, key="third-gate"),), key="third", name="Third drop",
                       needs=(second,))  # fmt: skip
    make_drill(cast.club, (make_gate(cast.club, key="other-gate"),), key="other", name="Other drop")
    practise(cast.vaulter, first, {DAY - timedelta(days=n): "1" * 12 for n in (3, 2, 1)})
    practise(cast.vaulter, second, {DAY - timedelta(days=1): "101"})
    page = get(cast.assistant, f"athletes/{cast.vaulter.pk}/map/")
    drawn = page.content.decode()
    assert 'aria-label="First drop, settled"' in drawn and 'aria-label="Second drop, in work"' in drawn
    assert 'aria-label="Third drop, not open yet"' in drawn and 'aria-label="Other drop, may begin"' in drawn
    assert "Third drop not open yet ; floor drill; needs Second drop" in text_of(page)
    decide(by=cast.head_coach, athlete=cast.vaulter, drill=third, kind=DecisionKind.TOUCH, today=DAY, now=noon)
    roll_up()
    assert 'aria-label="Third drop, may begin"' in drawn_for(cast)


def test_a_contact_drill_is_never_shown_as_begun_before_the_head_coach_touched_it(cast: Cast, noon) -> None:
    run = make_drill(cast.club, (make_gate(cast.club),), key="run", name="Run", risk="moving")
    wall = make_drill(cast.club, key="wall", name="Wall", risk="contact", adult="contact", needs=(run,),
                      entry_drill=run)  # fmt: skip
    practise(cast.vaulter, run, {DAY - timedelta(days=n): "1" * 8 for n in (6, 2)})
    practise(cast.vaulter, wall, {DAY - timedelta(days=1): "111"})
    Standing.objects.filter(drill=wall).update(state="settled", opened_by="figures", asks=False)
    assert 'aria-label="Wall, closed again"' in drawn_for(cast)
    Standing.objects.filter(drill=wall).update(state="not open", asks=True, opened_by="")
    assert 'aria-label="Wall, wants a touch"' in drawn_for(cast)


def test_what_a_restriction_excludes_is_held_back(cast: Cast, noon) -> None:
    make_drill(cast.club, (make_gate(cast.club),), key="wall", name="Wall", risk="contact")
    Restriction.objects.create(
        club=cast.club, athlete=cast.vaulter, excludes=["contact"], what="no contact work", starts_on=DAY
    )
    assert 'aria-label="Wall, held back"' in drawn_for(cast)


def test_queries_do_not_grow_with_drills(cast: Cast, django_assert_num_queries) -> None:
    member = cast.head_coach.acting(Permission.READINESS_READ)
    for drills in (1, 6):
        for n in range(drills):
            make_drill(cast.club, (make_gate(cast.club, key=f"gate-{drills}-{n}", name=f"gate {drills} {n}"),))
        with django_assert_num_queries(8):
            athlete_map(member, cast.vaulter, DAY)


def test_an_athlete_has_no_such_page(cast: Cast, noon) -> None:
    assert get(cast.athlete, f"athletes/{cast.vaulter.pk}/map/").status_code == 403
