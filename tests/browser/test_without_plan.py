"""A practice with no plan: four taps from today's stations to the first rep that the server has."""

import pytest
from django.utils import timezone
from playwright.sync_api import Locator, Page, expect

from drills.shipped import load_shipped_catalogue
from sessions.practices.models import Attendance
from sessions.reps.models import Rep
from tests.browser.conftest import PageFor
from tests.browser.sizes import PHONE, TABLET, Size
from tests.browser.station_world import practice_now
from tests.builders import Cast, make_squad

pytestmark = [pytest.mark.browser, pytest.mark.django_db(transaction=True)]

MOST_TAPS = 4
DRILL = "Six-step walking drop and plant"


class Finger:
    """Taps what can be seen and hit, and counts."""

    def __init__(self) -> None:
        self.taps = 0

    def tap(self, target: Locator) -> None:
        expect(target).to_be_visible()
        target.tap()
        self.taps += 1


def first_rep(page: Page, finger: Finger) -> None:
    finger.tap(page.get_by_text(DRILL, exact=True))
    finger.tap(page.get_by_role("button", name="Start logging"))
    finger.tap(page.locator("#area:not([aria-disabled])"))
    expect(page.locator("#on-server")).to_have_text("1 on the server")


@pytest.mark.parametrize("size", [TABLET, PHONE], ids=lambda size: size.name)
def test_after_noting_who_is_here_the_first_rep_is_four_taps_from_todays_stations(
    cast: Cast, page_for: PageFor, size: Size
) -> None:
    load_shipped_catalogue(cast.club)
    practice = practice_now(cast, squads=[make_squad(cast.club, cast.vaulter, cast.team_mate)])
    Attendance.objects.create(club=cast.club, practice=practice, athlete=cast.vaulter, state="late", at=timezone.now())
    Attendance.objects.create(
        club=cast.club, practice=practice, athlete=cast.team_mate, state="absent", at=timezone.now()
    )
    page, finger = page_for(cast.assistant, size), Finger()
    page.goto(f"/c/{cast.club.slug}/station/")
    finger.tap(page.get_by_role("link", name="Log without a plan"))
    expect(page.get_by_label("Nandi", exact=False)).to_be_checked()
    expect(page.get_by_label("Eero", exact=False)).not_to_be_checked()
    first_rep(page, finger)
    rep = Rep.objects.get()
    assert (rep.practice, rep.athlete, rep.drill.name, finger.taps) == (practice, cast.vaulter, DRILL, MOST_TAPS)


def test_with_nobody_noted_it_is_four_taps_from_the_page_that_asks(cast: Cast, page_for: PageFor) -> None:
    load_shipped_catalogue(cast.club)
    practice = practice_now(cast)
    page, finger = page_for(cast.assistant, PHONE), Finger()
    page.goto(f"/c/{cast.club.slug}/station/without-plan/{practice.pk}/")
    expect(page.get_by_role("checkbox", checked=True)).to_have_count(0)
    finger.tap(page.get_by_text("Nandi K."))
    first_rep(page, finger)
    assert (Rep.objects.get().athlete, finger.taps) == (cast.vaulter, MOST_TAPS)
