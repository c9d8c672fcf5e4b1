"""People in a real browser: a roster imported by a person at a desk, the pages of athletes and guardians on a phone."""

import time
from collections.abc import Callable
from dataclasses import dataclass
from datetime import timedelta
from decimal import Decimal
from pathlib import Path

import pytest
from django.utils import timezone
from playwright.sync_api import Page, expect

from athletes.actions import body, poles, profile, restrictions
from athletes.models import Athlete, CardLook, Restriction, RosterDraft
from club.clock import club_today
from club.models import BarredContact, Consent, Person, SignInLink
from club.roles import Permission
from tests.athletes.rosters import SEMICOLONS, VALID, as_csv, inline_workbook, merged_headings
from tests.browser.conftest import PageFor
from tests.browser.sizes import DESK, PHONE, SIZES, Size
from tests.builders import Cast, make_drill, make_practice, make_squad

pytestmark = [pytest.mark.browser, pytest.mark.django_db(transaction=True)]
MOST_SECONDS = 120


@dataclass(frozen=True, slots=True)
class World:
    pole: str
    practice: str
    draft: str
    venue: str


@pytest.fixture
def world(transactional_db: None, cast: Cast) -> World:
    """A club with something on every page of people."""
    coach, today, now = cast.head_coach.acting(Permission.ATHLETE_EDIT), club_today(cast.club), timezone.now()
    squad = make_squad(cast.club, cast.vaulter, name="Terns")
    practice = make_practice(cast.club, day=today, squads=[squad], published_at=now)
    pole = poles.add_pole(
        by=coach,
        tag="Heron",
        length_m=Decimal("3.7"),
        rating_kg=Decimal(60),
        band_m=Decimal("3.4"),
        flex=Decimal("21.5"),
    )
    old = poles.add_pole(by=coach, tag="Bittern", length_m=Decimal("3.4"), rating_kg=Decimal(50))
    poles.withdraw_pole(by=coach, pole=old, why="a crack above the plug", today=today)
    poles.note_marks(
        by=coach, athlete=cast.vaulter, on=today, pole=pole, grip_m=Decimal("3.21"), steps=6, mid_mark_m=Decimal("9.4")
    )
    for kind, value in (("mass", "52.5"), ("height", "1.62"), ("standing_reach", "2.05")):
        body.measure(by=coach, athlete=cast.vaulter, kind=kind, value=Decimal(value), on=today - timedelta(days=3))
    body.keep_card(
        by=cast.parent, athlete=cast.vaulter, now=now, allergies="wasp stings", medicines="pen in the red bag"
    )
    body.look_at_card(by=coach, athlete=cast.vaulter, now=now)
    for reader in ("coaches", "athlete"):
        text = "Counts better than she looks for markers." if reader == "coaches" else "Markers first, then counting."
        profile.add_note(by=coach, athlete=cast.vaulter, text=text, reader=reader, now=now)
    drill = make_drill(cast.club, name="Wall plant, walked", risk="contact", adult="contact")
    profile.place(by=coach, athlete=cast.vaulter, drill=drill, day=today, now=now, seen="Walks it at her old club.")
    restrictions.report(
        by=cast.parent, athlete=cast.vaulter, what="No running", excludes=["moving"], starts_on=today, reason="ankle"
    )
    BarredContact.objects.create(club=cast.club, child=cast.vaulter.person, name="Rex Crane", note="red van")
    given = {"given_by": cast.parent.person, "given_on": today}
    Consent.objects.create(club=cast.club, person=cast.vaulter.person, kind="video", **given)
    draft = RosterDraft.objects.create(
        club=cast.club,
        made_by=coach.person,
        made_at=now,
        name="spring.csv",
        cells=[
            ["Name", "Born", "Phone"],
            ["Eero Vinter", "2010-05-04", ""],
            ["Pilar Gorse", "soon", "call"],
            ["Hana Sedge", ["date", "2012-01-02"], "07700 900104"],
        ],
        choices={"header": 0, "columns": ["name", "born", "phone"], "imperial": False},
    )
    return World(str(pole.pk), str(practice.pk), str(draft.pk), str(practice.venue_id))


# --- every page, at its sizes --------------------------------------------------------------------

OF_HEAD = {
    "people": "people/",
    "person": "people/{nandi}/",
    "guardian": "people/{parent}/",
    "new person": "people/new/",
    "roles": "people/{nandi}/roles/",
    "tie": "people/{nandi}/guardian/",
    "consent": "people/{nandi}/consent/",
    "invitations": "people/invitations/",
    "club": "club/",
    "settings": "club/edit/",
    "venue": "venues/{venue}/",
    "profile": "athletes/{athlete}/profile/",
    "edit athlete": "athletes/{athlete}/edit/",
    "restrict": "athletes/{athlete}/restrict/",
    "measure": "athletes/{athlete}/measure/",
    "notebook": "athletes/{athlete}/notebook/",
    "place": "athletes/{athlete}/place/",
    "squads": "squads/",
    "poles": "poles/",
    "pole": "poles/{pole}/",
    "roster": "people/roster/",
    "columns": "people/roster/{draft}/columns/",
    "preview": "people/roster/{draft}/",
    "cards": "practices/{practice}/cards/",
}


def filled(cast: Cast, world: World, path: str) -> str:
    return f"/c/{cast.club.slug}/" + path.format(
        nandi=cast.athlete.person.pk,
        parent=cast.parent.person.pk,
        athlete=cast.vaulter.pk,
        pole=world.pole,
        draft=world.draft,
        practice=world.practice,
        venue=world.venue,
    )


@pytest.mark.parametrize("size", [DESK, PHONE], ids=lambda size: size.name)
def test_the_head_coachs_pages_are_clean_and_never_wider_than_their_window(
    world: World, cast: Cast, page_for: PageFor, axe: Callable, sideways: Callable, size: Size
) -> None:
    page = page_for(cast.head_coach, size)
    for name, path in OF_HEAD.items():
        answer = page.goto(filled(cast, world, path))
        assert answer and answer.status == 200, name
        assert axe(page) == [], name
        assert sideways(page) == 0, name


@pytest.mark.parametrize("size", SIZES, ids=lambda size: size.name)
def test_the_pages_of_athletes_and_guardians_are_clean(
    world: World, cast: Cast, page_for: PageFor, axe: Callable, sideways: Callable, size: Size
) -> None:
    for member, path in (
        (cast.parent, "children/{athlete}/"),
        (cast.parent, "children/{athlete}/restriction/"),
        (cast.parent, "athletes/{athlete}/card/keep/"),
        (cast.athlete, "my/"),
        (cast.athlete, "my/notebook/"),
        (cast.athlete, "athletes/{athlete}/card/keep/"),
        (cast.assistant, "athletes/{athlete}/profile/"),
        (cast.assistant, "poles/"),
    ):
        page = page_for(member, size)
        answer = page.goto(filled(cast, world, path))
        assert answer and answer.status == 200, path
        assert axe(page) == [] and sideways(page) == 0, path
    page = page_for(cast.athlete, size)
    page.goto("/account/")
    assert axe(page) == [] and sideways(page) == 0


# --- a roster, by a person -----------------------------------------------------------------------

MADE = Path(__file__).parents[1] / "athletes" / "files"
"""Written by LibreOffice 7.4: one saved as XLSX, one saved as ODS and that as XLSX."""
FILES = {
    "semicolons.csv": (SEMICOLONS, 3),
    "merged.xlsx": (merged_headings(), 3),
    "plain.xlsx": (inline_workbook(VALID), 2),
    "made_by_libreoffice.xlsx": ((MADE / "made_by_libreoffice.xlsx").read_bytes(), 2),
    "ods_saved_as_xlsx.xlsx": ((MADE / "ods_saved_as_xlsx.xlsx").read_bytes(), 3),
}


def choose_file(page: Page, cast: Cast, name: str, data: bytes) -> None:
    page.goto(f"/c/{cast.club.slug}/people/")
    page.get_by_role("link", name="Import a roster").click()
    page.get_by_label("File").set_input_files({"name": name, "mimeType": "application/octet-stream", "buffer": data})
    page.get_by_role("button", name="Read the file").click()
    expect(page.get_by_role("heading", name="What the columns mean")).to_be_visible()
    page.get_by_label("Day on which heights and reaches were measured").fill("2026-03-02")
    page.get_by_role("button", name="Show what would change").click()
    expect(page.get_by_role("heading", name="What would change", exact=True)).to_be_visible()


@pytest.mark.parametrize("name", FILES)
def test_a_person_imports_a_roster_in_under_two_minutes_and_again_it_changes_nothing(
    transactional_db: None, cast: Cast, page_for: PageFor, axe: Callable, name: str
) -> None:
    for letter, person in zip("abcdefgh", Person.objects.exclude(pk=cast.head_coach.person.pk), strict=False):
        Person.objects.filter(pk=person.pk).update(given_name="Zed", family_name=f"Zephyr{letter}")
    data, children = FILES[name]
    page, began, before = page_for(cast.head_coach, DESK), time.monotonic(), Athlete.objects.count()
    choose_file(page, cast, name, data)
    assert axe(page) == []
    expect(page.get_by_text("Nothing is written before you import.")).to_be_visible()
    page.get_by_role("button", name="Import the ticked rows").click()
    expect(page.get_by_text(f"Imported: {children} new athletes")).to_be_visible()
    assert time.monotonic() - began < MOST_SECONDS
    assert Athlete.objects.count() - before == children
    choose_file(page, cast, name, data)
    expect(page.get_by_text(f"All {children} rows that can be read are in the club already")).to_be_visible()
    assert page.locator("input[name=take]:checked").count() == 0
    page.get_by_role("button", name="Throw the file away").click()
    expect(page.get_by_text("Nothing was imported.")).to_be_visible()


def test_a_file_whose_dates_go_both_ways_asks_and_the_answer_lets_it_in(
    transactional_db: None, cast: Cast, page_for: PageFor, axe: Callable
) -> None:
    page = page_for(cast.head_coach, DESK)
    data = as_csv([("Name", "Born"), ("Pilar Gorse", "03/04/2011"), ("Hana Sedge", "05/06/2012")])
    choose_file(page, cast, "list.csv", data)
    expect(page.get_by_text("Which comes first, the day or the month?")).to_be_visible()
    assert axe(page) == []
    page.get_by_role("link", name="Say which comes first").click()
    page.get_by_label("the month comes first: March 4").check()
    page.get_by_role("button", name="Show what would change").click()
    page.get_by_role("button", name="Import the ticked rows").click()
    expect(page.get_by_text("Imported: 2 new athletes")).to_be_visible()
    assert str(Person.objects.get(given_name="Pilar").birth_date) == "2011-03-04"


def test_somebody_of_the_same_name_is_asked_about_in_the_preview(world: World, cast: Cast, page_for: PageFor) -> None:
    page = page_for(cast.head_coach, DESK)
    page.goto(filled(cast, world, OF_HEAD["preview"]))
    expect(page.get_by_text("This is not a date.")).to_be_visible()
    page.get_by_role("button", name="Import the ticked rows").click()
    expect(page.get_by_text("Say first who is meant")).to_be_visible()
    page_for.errors.clear()  # the browser writes the 422 of the refused form to its console
    page.get_by_role("group", name="Who is Eero Vinter?").get_by_label("the same: Eero Vinter").check()
    page.get_by_role("button", name="Import the ticked rows").click()
    expect(page.get_by_text("Imported: 1 new athlete,")).to_be_visible()
    assert str(Person.objects.get(given_name="Eero").birth_date) == "2010-05-04"


# --- by hand -------------------------------------------------------------------------------------


def test_a_parent_reports_a_restriction_on_a_phone_in_three_taps(world: World, cast: Cast, page_for: PageFor) -> None:
    page = page_for(cast.parent, PHONE)
    page.goto(f"/c/{cast.club.slug}/children/{cast.vaulter.pk}/")
    page.get_by_role("link", name="Hurt or unwell").tap()
    page.get_by_text("No practice at all").tap()
    page.get_by_role("button", name="Send").tap()
    expect(page.get_by_text("It holds from now on")).to_be_visible()
    row = Restriction.objects.get(what="No practice at all")
    assert row.unanswered and len(row.excludes) == 3


def test_a_coach_opens_a_card_at_practice_and_the_parent_sees_the_look(
    world: World, cast: Cast, page_for: PageFor, axe: Callable
) -> None:
    page = page_for(cast.head_coach, PHONE)
    page.goto(f"/c/{cast.club.slug}/practices/{world.practice}/")
    page.get_by_role("link", name="Emergency").tap()
    page.get_by_role("button", name="Card of Nandi Kestrel").tap()
    expect(page.get_by_text("pen in the red bag", exact=True)).to_be_visible()  # its history names it too
    assert axe(page) == [] and CardLook.objects.count() == 2
    parent = page_for(cast.parent, PHONE)
    parent.goto(f"/c/{cast.club.slug}/children/{cast.vaulter.pk}/")
    expect(parent.get_by_text("Marta looked at the emergency card")).to_be_visible()


def test_invitations_print_one_person_a_page(world: World, cast: Cast, page_for: PageFor, axe: Callable) -> None:
    Person.objects.exclude(pk__in=[cast.athlete.person.pk, cast.parent.person.pk, cast.helper.person.pk]).update(
        last_login=timezone.now()
    )
    Person.objects.filter(pk__in=[cast.athlete.person.pk, cast.parent.person.pk, cast.helper.person.pk]).update(
        last_login=None
    )
    page = page_for(cast.head_coach, DESK)
    page.goto(f"/c/{cast.club.slug}/people/invitations/")
    page.get_by_role("button", name="Make the sheet").click()
    expect(page.locator(".invitation")).to_have_count(3)
    assert axe(page) == [] and SignInLink.objects.count() == 3
    assert page.pdf(format="A4").count(b"/Type /Page\n") == 3
