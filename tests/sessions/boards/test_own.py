"""What an athlete can do now, by decisions alone; and the marks of their notebook."""

from datetime import timedelta
from decimal import Decimal

import pytest

from athletes.models import Decision, NotebookEntry, Pole, Standing
from tests.builders import DAY, Cast, aware
from tests.sessions.boards.helpers import get, make_course, text_of

pytestmark = [pytest.mark.django_db, pytest.mark.usefixtures("noon")]
HEADING = "What you can do now"


def decided(cast: Cast, drill, kind: str, state: str = "", days: int = 5, athlete=None) -> Decision:
    athlete = athlete or cast.vaulter
    day = DAY - timedelta(days=days)
    if state:
        values = {"club": cast.club, "state": state, "since": day}
        Standing.objects.update_or_create(athlete=athlete, drill=drill, defaults=values)
    about = {"club": cast.club, "athlete": athlete, "drill": drill}
    return Decision.objects.create(**about, kind=kind, day=day, at=aware(day))


def mine(cast: Cast) -> str:
    return text_of(get(cast.athlete, "my/"))


def test_what_the_head_coach_decided_is_said_and_what_only_the_figures_say_is_not(cast: Cast) -> None:
    first, later = make_course(cast.club)
    Standing.objects.create(club=cast.club, athlete=cast.vaulter, drill=later, state="settled", since=DAY)
    assert HEADING not in mine(cast)
    decided(cast, first, "settled", "settled")
    shown = mine(cast)
    assert f"{HEADING} Decided by your head coach, the newest first. Standing drop You have it 25 February" in shown
    assert "Six-step walk" not in shown


def test_what_was_opened_is_said_as_opened(cast: Cast) -> None:
    _first, later = make_course(cast.club)
    decided(cast, later, "touch", "open")
    assert "Six-step walk Opened for you 25 February" in mine(cast)


def test_what_was_taken_back_or_closed_again_or_is_long_ago_is_not_said(cast: Cast) -> None:
    first, later = make_course(cast.club)
    gone = decided(cast, first, "settled", "settled")
    about = {"club": cast.club, "athlete": cast.vaulter, "drill": first, "day": DAY, "at": aware(DAY)}
    Decision.objects.create(**about, kind="taken back", takes_back=gone)
    decided(cast, later, "touch", "closed again")
    assert HEADING not in mine(cast)
    Standing.objects.filter(drill=later).update(state="open")
    assert HEADING in mine(cast)
    Decision.objects.filter(drill=later).erase()
    decided(cast, later, "touch", "open", days=200)
    assert HEADING not in mine(cast)


def test_nobody_else_s_decisions_are_said(cast: Cast) -> None:
    first, _later = make_course(cast.club)
    decided(cast, first, "settled", "settled", athlete=cast.team_mate)
    assert HEADING not in mine(cast)


def test_the_newest_marks_stand_on_the_page_with_the_pole_by_its_tag(cast: Cast) -> None:
    pole = Pole.objects.create(club=cast.club, tag="Blue 3", length_m=Decimal("3.70"), rating_kg=Decimal("61.5"))
    about = {"club": cast.club, "athlete": cast.vaulter, "pole": pole}
    NotebookEntry.objects.create(**about, on=DAY - timedelta(days=9), grip_m=Decimal("3.05"))
    NotebookEntry.objects.create(**about, on=DAY - timedelta(days=2), grip_m=Decimal("3.20"), mid_mark_m=Decimal("9.4"))
    shown = mine(cast)
    assert "From your notebook, 28 February." in shown and "3.20 m" in shown and "Blue 3" in shown and "9.40 m" in shown
    assert "3.05" not in shown and "61.5" not in shown and "Start mark" not in shown
