"""Logging at a station in a real browser, by touch."""

import re
from collections.abc import Callable
from datetime import timedelta

import pytest
from django.utils import timezone
from playwright.sync_api import Page, expect

from athletes.models import Athlete
from drills.models import DrillCheckpoint
from sessions.practices.models import Attendance
from sessions.reps.models import AdjustmentUsed, Event, Hold, Look, LookFault, Rep, RepNote
from tests.browser.conftest import PageFor
from tests.browser.sizes import DESK, SIZES, TABLET, Size
from tests.browser.station_world import StationWorld, make_station_world, practice_now
from tests.builders import Cast

pytestmark = [pytest.mark.browser, pytest.mark.django_db(transaction=True)]


@pytest.fixture
def world(transactional_db: None, cast: Cast) -> StationWorld:
    return make_station_world(cast)


def opened(page: Page, world: StationWorld, query: str = "") -> Page:
    page.goto(world.address + query)
    expect(page.locator("#area")).to_be_visible()
    return page


def on_server(page: Page, count: int) -> None:
    expect(page.locator("#on-server")).to_have_text(f"{count} on the server")


def tap(page: Page, label: str) -> None:
    page.locator("#rail .fchip", has_text=label).tap()


def area(page: Page) -> None:
    """The large area; it takes no second touch for 1.5 s, so this waits as a finger would."""
    page.locator("#area:not([aria-disabled])").tap()


def test_ten_reps_with_faults_and_one_undone_are_rows_on_the_server(
    world: StationWorld, cast: Cast, page_for: PageFor
) -> None:
    page = opened(page_for(cast.assistant, TABLET), world)
    script = ["", "plant late", "", "bent arm", "plant early", "", "plant late", "drop late", "", "plant late"]
    for fault in script:
        if fault:
            tap(page, fault)
            expect(page.locator("#area-what")).to_have_text(fault.capitalize())
        area(page)
    page.locator("#undo").tap()
    on_server(page, 10)
    assert Rep.objects.filter(state="counts").count() == 9 and Rep.objects.filter(state="void").count() == 1
    assert Event.objects.filter(kind="void").count() == 1
    turns = Rep.objects.filter(state="counts").order_by("at", "sequence")
    names = [rep.athlete.person.given_name for rep in turns.select_related("athlete__person")]
    assert names == ["Nandi", "Eero", "Saoirse", "Amara"] * 2 + ["Nandi"]
    seen = LookFault.objects.filter(look__rep__state="counts").order_by("look__rep__at", "look__rep__sequence")
    assert list(seen.values_list("fault__label", "inside")) == [
        ("plant late", True),
        ("bent arm", True),
        ("plant early", True),
        ("plant late", True),
        ("drop late", False),  # also noticed: the gate watches plant start and full reach
    ]
    watched = Look.objects.first().watch_set.checkpoints.values_list("key", flat=True)
    assert set(watched) == {"plant-start", "full-reach"}
    assert Hold.objects.filter(station=world.station, until=None).count() == 1


def test_a_second_touch_makes_no_second_rep(world: StationWorld, cast: Cast, page_for: PageFor) -> None:
    page = opened(page_for(cast.assistant, TABLET), world)
    box = page.locator("#area").bounding_box()
    for _touch in range(4):
        page.touchscreen.tap(box["x"] + box["width"] / 2, box["y"] + box["height"] / 2)
    on_server(page, 1)
    expect(page.locator("#athlete")).to_have_text("Eero")
    assert Rep.objects.count() == 1


def test_what_was_not_seen_is_no_good_rep(world: StationWorld, cast: Cast, page_for: PageFor) -> None:
    page = opened(page_for(cast.assistant, TABLET), world)
    page.get_by_role("button", name="Did not see").tap()
    on_server(page, 1)
    assert Look.objects.get().watch_set.checkpoints.count() == 0


def test_an_unsafe_rep_stops_the_turn_and_says_what_to_do(world: StationWorld, cast: Cast, page_for: PageFor) -> None:
    page = opened(page_for(cast.assistant, TABLET), world)
    page.get_by_role("button", name="Unsafe").tap()
    dialog = page.locator("#unsafe-dialog")
    expect(dialog).to_contain_text("Stop. Nandi’s rep was unsafe.")
    expect(dialog).to_contain_text("licensed or certified coach in charge come first")
    expect(page.locator("#athlete")).to_have_text("Nandi")
    on_server(page, 1)
    assert Rep.objects.get().unsafe
    dialog.get_by_role("button", name="Go on with the next").tap()
    expect(page.locator("#athlete")).to_have_text("Eero")


def test_the_focus_is_changed_in_two_taps(world: StationWorld, cast: Cast, page_for: PageFor) -> None:
    page = opened(page_for(cast.assistant, TABLET), world)
    expect(page.locator("#focus")).to_contain_text("plant start, full reach")
    page.locator("#focus").tap()
    page.locator("[data-watch=drop-start]").tap()
    expect(page.locator("#focus")).to_contain_text("drop start")
    tap(page, "drop late")
    area(page)
    on_server(page, 1)
    assert LookFault.objects.get().inside
    assert list(Look.objects.get().watch_set.checkpoints.values_list("key", flat=True)) == ["drop-start"]


def test_the_two_faults_of_a_rep_stand_in_the_order_of_the_run(
    world: StationWorld, cast: Cast, page_for: PageFor
) -> None:
    page = opened(page_for(cast.assistant, TABLET), world)
    tap(page, "bent arm")
    tap(page, "drop late")
    expect(page.locator("#area-what")).to_have_text("Drop late, bent arm")
    area(page)
    on_server(page, 1)
    seen = LookFault.objects.values_list("fault__label", flat=True)
    assert set(seen) == {"drop late", "bent arm"}


def test_every_fault_of_the_drill_can_be_reached(world: StationWorld, cast: Cast, page_for: PageFor) -> None:
    page = opened(page_for(cast.assistant, TABLET), world)
    page.locator("#more-faults").tap()
    assert page.locator("#all-faults .fchip").count() > 30
    page.locator("#all-faults .fchip", has_text="feet stutter").tap()
    expect(page.locator("#area-what")).to_have_text("Feet stutter")
    expect(page.locator("#rail .fchip.on")).to_have_text("feet stutter")


def test_another_athlete_is_picked_and_one_is_skipped(world: StationWorld, cast: Cast, page_for: PageFor) -> None:
    page = opened(page_for(cast.assistant, TABLET), world)
    page.locator("#line .pick", has_text="Amara").tap()
    area(page)
    expect(page.locator("#athlete")).to_have_text("Nandi")
    page.get_by_role("button", name="Skip this turn").tap()
    expect(page.locator("#athlete")).to_have_text("Eero")
    on_server(page, 1)
    assert Rep.objects.get().athlete == world.athletes["Amara"]


def test_an_injured_athlete_leaves_the_queue(world: StationWorld, cast: Cast, page_for: PageFor) -> None:
    page = opened(page_for(cast.assistant, TABLET), world)
    page.locator("[data-about]").first.tap()
    page.get_by_role("button", name="Injured").tap()
    expect(page.locator("#injured-dialog")).to_contain_text("Stay with the athlete")
    on_server(page, 1)
    page.locator("#injured-dialog").get_by_role("button", name="Close").tap()
    expect(page.locator("#athlete")).to_have_text("Eero")
    assert Attendance.objects.get(athlete=world.athletes["Nandi"]).state == "out"
    page.reload()
    expect(page.locator("#line .kept")).to_contain_text("out of practice")


def test_a_set_is_logged_for_everybody_with_exceptions(transactional_db: None, cast: Cast, page_for: PageFor) -> None:
    world = make_station_world(cast, drill="standing-drop")
    page = page_for(cast.assistant, TABLET)
    page.goto(world.address)
    page.locator("#set-pad").get_by_role("button", name="All did 5").tap()
    row = page.locator(".set-row", has_text="Eero")
    row.get_by_role("button", name="Eero: one rep more with a fault").tap()
    row.get_by_role("button", name="Eero: one rep more with a fault").tap()
    page.get_by_role("button", name="saw all of Eero").tap()
    row.locator("[data-which]").tap()
    page.locator("#which-dialog .fchip", has_text="hand sinks").tap()
    for _step in range(5):
        page.get_by_role("button", name="One rep fewer for Amara").tap()
    page.get_by_role("button", name="Log the set of 3 athletes").tap()
    on_server(page, 3)
    assert Rep.objects.count() == 15
    seen = Rep.objects.filter(looks__watch_set__checkpoints__isnull=False).distinct()
    assert set(seen.values_list("athlete__person__given_name", flat=True)) == {"Eero"}, "to do a set is not to be seen"
    assert seen.count() == 5
    assert LookFault.objects.filter(look__rep__athlete=world.athletes["Eero"], fault__label="hand sinks").count() == 2
    page.locator("#undo").tap()
    expect(page.locator("#undo-words")).to_have_text("Nothing to undo")
    page.wait_for_timeout(300)
    on_server(page, 3)
    assert not Rep.objects.filter(state="counts").exists()


def test_without_a_network_taps_are_kept_and_sent_later(world: StationWorld, cast: Cast, page_for: PageFor) -> None:
    page = opened(page_for(cast.assistant, TABLET), world)
    area(page)
    on_server(page, 1)
    page.context.set_offline(True)
    area(page)
    area(page)
    expect(page.locator("#on-tablet")).to_have_text("3 on the tablet")
    expect(page.locator("#trouble")).to_contain_text("Everything is kept on this tablet")
    on_server(page, 1)
    page.context.set_offline(False)
    on_server(page, 3)
    expect(page.locator("#trouble")).to_be_hidden()
    assert Rep.objects.count() == 3
    page_for.errors[:] = [error for error in page_for.errors if "ERR_INTERNET_DISCONNECTED" not in error]


def test_whoever_lost_the_session_keeps_what_was_tapped(world: StationWorld, cast: Cast, page_for: PageFor) -> None:
    page = opened(page_for(cast.assistant, TABLET), world)
    cookies = page.context.cookies()
    page.context.clear_cookies()
    area(page)
    expect(page.locator("#trouble")).to_contain_text("no longer lets this page send")
    page.context.add_cookies(cookies)
    page.get_by_role("button", name="Send again").tap()
    on_server(page, 1)
    assert Rep.objects.count() == 1
    page_for.errors[:] = [error for error in page_for.errors if "403" not in error]


def test_what_the_server_refuses_stays_with_its_reason(world: StationWorld, cast: Cast, page_for: PageFor) -> None:
    page = opened(page_for(cast.assistant, TABLET), world)
    world.athletes["Nandi"].assignments.all().delete()
    DrillCheckpoint.objects.filter(drill__key="running-drop-and-plant", checkpoint__key="full-reach").delete()
    area(page)
    expect(page.locator("#looks")).to_contain_text("1 needs a look")
    page.locator("#looks").tap()
    expect(page.locator("#looks-list")).to_contain_text("Nandi: Good")
    expect(page.locator("#looks-list")).to_contain_text("does not offer")
    page.get_by_role("button", name="Close").tap()
    page.locator("#undo").tap()
    expect(page.locator("#looks")).to_be_hidden()
    expect(page.locator("#on-tablet")).to_have_text("0 on the tablet")
    assert not Rep.objects.exists() and not Event.objects.filter(kind="void").exists()


def test_what_the_server_keeps_for_a_coach_is_safe_and_said(world: StationWorld, cast: Cast, page_for: PageFor) -> None:
    Athlete.objects.filter(pk=world.athletes["Nandi"].pk).update(joined_on=world.practice.day + timedelta(days=1))
    page = opened(page_for(cast.assistant, TABLET), world)
    area(page)
    on_server(page, 1)
    page.locator("#looks").tap()
    expect(page.locator("#looks-list")).to_contain_text("a coach looks at it before it counts")
    expect(page.locator("#looks-list")).to_contain_text("had not joined yet")


def test_a_station_is_taken_over_and_let_go(world: StationWorld, cast: Cast, page_for: PageFor) -> None:
    opened(page_for(cast.assistant, TABLET), world)
    expect(page_for.contexts[0].pages[0].locator("#athlete")).to_have_text("Nandi")
    page_for.contexts[0].pages[0].wait_for_timeout(500)
    second = opened(page_for(cast.head_coach, TABLET), world)
    second.get_by_role("button", name="Take it over").tap()
    area(second)
    on_server(second, 1)
    assert Hold.objects.order_by("-since").first().person == cast.head_coach.person
    second.locator("#menu-open").tap()
    second.get_by_role("button", name="Let the station go").tap()
    area(second)
    on_server(second, 2)
    assert Hold.objects.get(person=cast.head_coach.person).until is not None


def test_the_queue_stays_on_the_side_that_was_chosen(world: StationWorld, cast: Cast, page_for: PageFor) -> None:
    page = opened(page_for(cast.assistant, TABLET), world)
    page.locator("#menu-open").tap()
    page.get_by_role("button", name="Queue on the other side").tap()
    page.reload()
    expect(page.locator("#area")).to_be_visible()
    assert page.locator("#line").bounding_box()["x"] < page.locator("#area").bounding_box()["x"]


def test_a_second_device_is_told_who_holds_the_station(world: StationWorld, cast: Cast, page_for: PageFor) -> None:
    opened(page_for(cast.assistant, TABLET), world)
    first = page_for.contexts[0].pages[0]
    area(first)
    on_server(first, 1)
    second = opened(page_for(cast.head_coach, TABLET), world)
    expect(second.locator("#held-by")).to_have_text(re.compile(r"^Aiko’s device holds this station since \d\d:\d\d\.$"))
    second.get_by_role("button", name="Only add looks").tap()
    second.locator("#line .pick", has_text="Nandi").tap()
    area(second)
    on_server(second, 1)
    assert Rep.objects.count() == 1 and Look.objects.count() == 2
    assert Look.objects.get(deciding=True).observer == cast.assistant.person


def test_keys_log_while_the_large_area_has_the_focus(world: StationWorld, cast: Cast, page_for: PageFor) -> None:
    page = opened(page_for(cast.assistant, DESK), world)
    page.keyboard.press("1")
    expect(page.locator("#athlete")).to_have_text("Nandi")
    page.locator("#area").focus()
    page.keyboard.press("1")
    expect(page.locator("#athlete")).to_have_text("Eero")
    page.keyboard.press("u")
    expect(page.locator("#athlete")).to_have_text("Nandi")
    page.keyboard.press("n")
    expect(page.locator("#athlete")).to_have_text("Eero")
    page.keyboard.press("0")
    on_server(page, 2)
    assert list(Rep.objects.order_by("sequence").values_list("state", flat=True)) == ["void", "counts"]


def test_without_script_the_page_says_so_and_lists_the_queue(
    world: StationWorld, cast: Cast, page_for: PageFor
) -> None:
    page = page_for(cast.assistant, TABLET, java_script_enabled=False)
    page.goto(world.address)
    expect(page.get_by_text("nothing can be logged here")).to_be_visible()
    expect(page.locator("#line")).to_contain_text("Saoirse")
    expect(page.locator("#area")).to_be_hidden()


def test_a_practice_without_a_plan_is_logged_in_four_taps(world: StationWorld, cast: Cast, page_for: PageFor) -> None:
    other = practice_now(cast)
    page = page_for(cast.assistant, TABLET)
    page.goto(f"/c/{cast.club.slug}/station/without-plan/{other.pk}/")
    page.get_by_text("Nandi K.").tap()
    page.get_by_text("Standing drop", exact=True).tap()
    page.get_by_role("button", name="Start logging").tap()
    expect(page.locator("#athlete")).to_have_text("Nandi")
    page.locator("#set-pad").get_by_role("button", name="All did 5").tap()
    page.locator("#set-log").tap()
    on_server(page, 1)
    assert Rep.objects.filter(practice=other, station=None).count() == 5


@pytest.mark.parametrize("size", SIZES, ids=lambda size: size.name)
@pytest.mark.parametrize("drill", ["running-drop-and-plant", "standing-drop"])
def test_no_accessibility_rule_is_broken(
    transactional_db: None,
    cast: Cast,
    page_for: PageFor,
    axe: Callable[[Page], list[str]],
    sideways: Callable[[Page], int],
    size: Size,
    drill: str,
) -> None:
    world = make_station_world(cast, drill=drill)
    page = page_for(cast.assistant, size)
    page.goto(world.address)
    expect(page.locator("#acts")).to_be_visible()
    assert axe(page) == [] and sideways(page) == 0
    for dialog in ("#focus", "#menu-open", "[data-about]", "#unsafe"):
        page.locator(dialog).first.click()
        assert axe(page) == [], dialog
        page.keyboard.press("Escape")
    page.goto(f"/c/{cast.club.slug}/station/")
    assert axe(page) == [] and sideways(page) == 0
    page.goto(f"/c/{cast.club.slug}/station/without-plan/{world.practice.pk}/")
    assert axe(page) == [] and sideways(page) == 0


def test_a_helper_sees_first_names_and_no_counts_of_faults(
    transactional_db: None, cast: Cast, page_for: PageFor
) -> None:
    world = make_station_world(cast, drill="six-step-walking-drop-and-plant", run_by=cast.helper.person)
    page = opened(page_for(cast.helper, TABLET), world)
    tap(page, "plant late")
    area(page)
    on_server(page, 1)
    assert "Kestrel" not in page.content()
    expect(page.locator("#today-marks svg")).to_have_count(0)
    expect(page.locator("#rail")).not_to_contain_text("×")
    assert Look.objects.get().observer == cast.helper.person and timezone.now() >= Rep.objects.get().at


def test_the_last_rep_is_given_to_whoever_it_was_and_then_changed(
    world: StationWorld, cast: Cast, page_for: PageFor
) -> None:
    page = opened(page_for(cast.assistant, TABLET), world)
    tap(page, "plant late")
    area(page)
    page.get_by_role("button", name="Not Nandi?").tap()
    page.locator("#whose-dialog").get_by_role("button", name="Amara").tap()
    expect(page.locator("#said")).to_have_text("It is Amara’s now: plant late")
    expect(page.locator("#line .now")).to_contain_text("Nandi")
    page.get_by_role("button", name="Change what was seen").tap()
    page.locator("#change-list .fchip.on").tap()
    page.locator("#change-list .fchip", has_text="bent arm").tap()
    page.get_by_role("button", name="Keep it so").tap()
    expect(page.locator("#said")).to_have_text("Changed for Amara: bent arm")
    on_server(page, 2)
    rep = Rep.objects.get(state="counts")
    assert rep.athlete == world.athletes["Amara"]
    assert list(LookFault.objects.filter(look__rep=rep).values_list("fault__label", flat=True)) == ["bent arm"]
    page.locator("#undo").tap()
    expect(page.locator("#said")).to_have_text("Taken back for Amara: bent arm")
    page.wait_for_timeout(300)
    assert not Rep.objects.filter(state="counts").exists()


def test_a_note_and_an_adjustment_are_kept_for_the_athlete(world: StationWorld, cast: Cast, page_for: PageFor) -> None:
    page = opened(page_for(cast.assistant, TABLET), world)
    page.locator("[data-about]").first.tap()
    page.get_by_role("button", name="Write a note").tap()
    page.get_by_role("button", name="Keep the note").tap()
    expect(page.locator("#note-wrong")).to_have_text("Write something first.")
    page.get_by_label("The note").fill("Looks at the box early.")
    page.get_by_role("button", name="Keep the note").tap()
    expect(page.locator("#said")).to_have_text("The note for Nandi is kept.")
    page.locator("#adjust").tap()
    page.locator("#adjust-list").get_by_role("button", name="hold lower").first.tap()
    expect(page.locator("#adjust")).to_contain_text("hold lower", ignore_case=True)
    on_server(page, 2)
    note, used = RepNote.objects.get(), AdjustmentUsed.objects.get()
    assert (note.text, note.reader, note.athlete) == ("Looks at the box early.", "coaches", world.athletes["Nandi"])
    assert used.athlete == world.athletes["Nandi"]
    page.reload()
    expect(page.locator("#adjust")).to_contain_text("hold lower", ignore_case=True)
    page.locator("#adjust").tap()
    page.locator("#adjust-list").get_by_role("button", pressed=True).tap()
    expect(page.locator("#adjust")).not_to_contain_text("hold lower", ignore_case=True)
    on_server(page, 2)
    assert not AdjustmentUsed.objects.exists()


def test_taking_over_ends_the_other_devices_hold(world: StationWorld, cast: Cast, page_for: PageFor) -> None:
    opened(page_for(cast.assistant, TABLET), world)
    second = page_for(cast.head_coach, TABLET)
    second.wait_for_timeout(300)
    opened(second, world)
    second.get_by_role("button", name="Take it over").tap()
    second.wait_for_timeout(500)
    assert Hold.objects.filter(until=None).get().person == cast.head_coach.person
