"""One practice day on a tablet: check-in, a station's check, a rep put right, an injury, check-out with a barred name,
and the wrap-up."""

import re
from collections.abc import Callable
from typing import Any

import pytest
from playwright.sync_api import Locator, Page, expect

from athletes.models import Restriction
from club.models import BarredContact
from sessions.practices.models import AdultPresence, Attendance, Departure, Incident, Practice, StationCheck
from sessions.reps.models import Rep
from tests.browser.conftest import PageFor
from tests.browser.sizes import PHONE, TABLET
from tests.browser.station_world import StationWorld, make_station_world
from tests.builders import Cast, make_squad

pytestmark = [pytest.mark.browser, pytest.mark.django_db(transaction=True)]


@pytest.fixture
def world(transactional_db: None, cast: Cast) -> StationWorld:
    found = make_station_world(cast, drill="wall-plant")
    found.practice.squads.add(make_squad(cast.club, *found.athletes.values()))
    for adult in (cast.head_coach, cast.assistant):
        AdultPresence.objects.create(club=cast.club, practice=found.practice, person=adult.person)
    BarredContact.objects.create(club=cast.club, child=cast.vaulter.person, name="Marek Novák", note="grey van")
    return found


def judged(page: Page, axe: Callable[[Page], list[str]], sideways: Callable[[Page], int]) -> None:
    assert axe(page) == [] and sideways(page) == 0


def button(page: Page, act: str, who: str, role: Any = "button") -> Locator:
    """What is done, and for whom in the words that only a screen reader says."""
    return page.get_by_role(role, name=re.compile(rf"^{act}\s*: {who}$"))


def test_a_practice_day_from_check_in_to_the_wrap_up(
    world: StationWorld,
    cast: Cast,
    page_for: PageFor,
    axe: Callable[[Page], list[str]],
    sideways: Callable[[Page], int],
) -> None:
    page = page_for(cast.head_coach, TABLET)
    here = f"/c/{cast.club.slug}/practices/{world.practice.pk}/"

    # check-in: two adults, all athletes
    page.goto(here + "attendance/")
    for name in ("Marta Oakes", "Aiko Reed"):
        button(page, "Is here", name).tap()
        expect(button(page, "Leaves", name)).to_be_visible()
    page.locator("#all_here").tap()
    expect(page.locator("#came")).to_have_text("4")
    assert Attendance.objects.filter(state="here").count() == 4

    # the contact station is not open before somebody has checked it by name
    page.goto(world.address)
    expect(page.locator("#station-safety")).to_contain_text("Not open yet.")
    page.get_by_role("link", name="Check it now").tap()
    page.get_by_role("button", name="All of this is right").tap()
    expect(page.locator(".form-errors")).to_contain_text("tick each line that is right")
    judged(page, axe, sideways)
    for box in page.get_by_role("checkbox").all():
        box.tap()
    page.get_by_role("button", name="All of this is right: Marta Oakes").tap()
    expect(page.locator("main")).to_contain_text("checked by Marta at")
    assert StationCheck.objects.get().by == cast.head_coach.person

    # a rep, given to whoever it was
    page.goto(world.address)
    expect(page.locator("#station-safety")).to_contain_text("Checked by Marta")
    expect(page.locator("#area")).to_be_visible()
    page.locator("#area").tap()
    page.locator("#contact-log").tap()  # nobody here may try the wall yet: it asks
    expect(page.locator("#not-her")).to_be_visible()
    page.get_by_role("button", name="Not Nandi?").tap()
    page.locator("#whose-dialog").get_by_role("button", name="Amara").tap()
    expect(page.locator("#said")).to_contain_text("It is Amara’s now")

    # somebody is hurt: out on every device, and the record is open
    page.locator("#line li", has_text="Eero").locator("[data-about]").tap()
    page.get_by_role("button", name="Injured").tap()
    expect(page.locator("#injured-dialog")).to_contain_text("Stay with the athlete")
    expect(page.locator("#on-server")).to_have_text("2 on the server")
    assert Rep.objects.get().athlete == world.athletes["Amara"]
    page.get_by_role("link", name="Write down what happened").tap()
    page.get_by_label("Who", exact=True).select_option(label="Eero Vinter")
    page.get_by_label("What happened").fill("Slipped and hit his head on the wall.")
    page.get_by_label("There was a blow to the head").tap()
    judged(page, axe, sideways)
    page.get_by_role("button", name="Keep the record").tap()
    expect(page.locator("main")).to_contain_text("nothing until a written clearance lifts it")
    assert Incident.objects.get().entries.count() == 1 and Restriction.objects.get().needs_clearance

    # check-out: the barred name warns before, stops the first act, and takes a second one
    page.goto(here + "pick-up/")
    expect(page.locator("main")).to_contain_text("Marek Novák (grey van)")
    judged(page, axe, sideways)
    button(page, "With somebody else", "Nandi Kestrel", "link").tap()
    page.get_by_label("Name of whoever collects").fill("novak, marek")
    page.get_by_role("button", name="Leaves with this person").tap()
    expect(page.get_by_role("alert").first).to_contain_text("Stop. This person must not collect.")
    judged(page, axe, sideways)
    assert not Departure.objects.exists()
    page.get_by_role("link", name="Keep the athlete here").tap()
    button(page, "With Thandi Kestrel", "Nandi Kestrel").tap()
    expect(page.locator("main")).to_contain_text("with Thandi Kestrel")
    assert Departure.objects.get().guardian == cast.parent.person

    # the wrap-up
    page.goto(here + "wrap-up/")
    for words in ("Saoirse M. no rep", "Eero Vinter", "are noted as still here"):
        expect(page.locator("main")).to_contain_text(words)
    judged(page, axe, sideways)
    page.get_by_role("button", name="Done").tap()
    expect(page.get_by_text("The practice is wrapped up.")).to_be_visible()
    assert Practice.objects.get(pk=world.practice.pk).wrapped_at

    phone = page_for(cast.assistant, PHONE)
    for part in ("", "attendance/", "pick-up/", "kit/", "incidents/new/", "wrap-up/", "looks/"):
        phone.goto(here + part)
        judged(phone, axe, sideways)
    asked_for = ("/checks/", "/pick-up/")  # an empty check and the barred name were refused
    page_for.errors[:] = [one for one in page_for.errors if "422" not in one or not any(a in one for a in asked_for)]
