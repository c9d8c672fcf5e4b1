"""A practice that moved says so on its readers' pages, with where it was, until it is over or back."""

from datetime import time, timedelta

import pytest

from club.roles import Permission
from sessions.boards.models import MovedFrom
from sessions.practices.actions.calendar import Details, edit_practice
from sessions.practices.models import Practice
from tests.builders import DAY, Cast, aware, make_practice, make_squad, make_venue
from tests.sessions.boards.helpers import get, text_of

pytestmark = [pytest.mark.django_db, pytest.mark.usefixtures("noon")]


@pytest.fixture
def practice(cast: Cast) -> Practice:
    squads = [make_squad(cast.club, cast.vaulter)]
    venue = make_venue(cast.club, name="Quarry Track")
    day = DAY + timedelta(days=1)
    return make_practice(cast.club, day=day, squads=squads, venue=venue, published_at=aware(DAY))


def move(cast: Cast, practice: Practice, **to: object) -> None:
    row = Practice.objects.get(pk=practice.pk)
    values = {"venue": row.venue, "day": row.day, "starts": row.starts, "ends": row.ends, **to}
    by = cast.head_coach.acting(Permission.PRACTICE_PLAN)
    edit_practice(by=by, practice=row, details=Details(**values, squads=tuple(row.squads.all())))


def test_parent_and_athlete_read_at_once_where_it_is_and_where_it_was(cast: Cast, practice: Practice) -> None:
    move(cast, practice, venue=make_venue(cast.club, name="North Hall"), starts=time(16), ends=time(18))
    said = "Moved Now: Tuesday 3 March, 16:00, North Hall. It was: Tuesday 3 March, 17:00, Quarry Track."
    for reader, address in ((cast.parent, f"children/{cast.vaulter.pk}/"), (cast.athlete, "my/")):
        shown = text_of(get(reader, address))
        assert said in shown and shown.index(said) < shown.index("until 18:00")


def test_moved_twice_it_says_what_was_known_first_and_moved_back_nothing(cast: Cast, practice: Practice) -> None:
    for starts in (time(16), time(15)):
        move(cast, practice, starts=starts)
    assert MovedFrom.objects.get().starts == time(17)
    move(cast, practice, starts=time(17))
    assert not MovedFrom.objects.exists()


def test_nobody_knew_a_draft_so_nobody_is_told_that_it_moved(cast: Cast, practice: Practice) -> None:
    Practice.objects.update(published_at=None)
    move(cast, practice, starts=time(16))
    assert not MovedFrom.objects.exists()
