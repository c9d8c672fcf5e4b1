"""Who is here: one press notes everybody of whom nothing was recorded yet, and nobody else."""

import pytest
from django.utils import timezone
from playwright.sync_api import expect

from club.clock import club_today
from sessions.practices.models import Attendance
from tests.browser.conftest import PageFor
from tests.browser.sizes import TABLET
from tests.builders import Cast, aware, make_athlete, make_person, make_practice, make_squad

pytestmark = [pytest.mark.browser, pytest.mark.django_db(transaction=True)]


def test_all_here_notes_whom_nobody_noted_and_leaves_the_others(cast: Cast, page_for: PageFor) -> None:
    away = make_athlete(cast.club, make_person(cast.club, "athlete", given_name="Lindi", family_name="Vale"))
    day = club_today(cast.club)
    squad = make_squad(cast.club, cast.vaulter, cast.team_mate, away)
    practice = make_practice(cast.club, day=day, squads=[squad], published_at=timezone.now())
    Attendance.objects.create(club=cast.club, practice=practice, athlete=away, state="absent", at=aware(day))
    page = page_for(cast.head_coach, TABLET)
    page.goto(f"/c/{cast.club.slug}/practices/{practice.pk}/attendance/")
    page.get_by_role("button", name="All here who are not yet noted").click()
    expect(page.locator("#came")).to_have_text("2")
    expect(page.get_by_role("button", name="All here who are not yet noted")).to_be_hidden()
    expect(page.get_by_role("group", name="Lindi").get_by_role("button", name="not here")).to_have_attribute(
        "aria-pressed", "true"
    )
    noted = dict(Attendance.objects.filter(practice=practice).values_list("athlete", "state"))
    assert noted == {cast.vaulter.pk: "here", cast.team_mate.pk: "here", away.pk: "absent"}
