"""The main job on imported data: a roster, a plan, sixty reps and six sets, figures, a decision, the wrap-up, a
cancellation. Behind the pages' back only the club, its adults, its venue and the shipped catalogue are made.
"""

import re
import time
from datetime import timedelta
from io import StringIO
from typing import Any
from urllib.parse import urlsplit
from uuid import uuid4

import pytest
from django.core.management import call_command
from django.utils import timezone
from playwright.sync_api import Page, expect

from athletes.models import Athlete, Decision
from club import duties
from club.clock import club_today
from club.members import Member, find_member
from club.models import Person
from drills.models import DrillCheckpoint
from drills.shipped import load_shipped_catalogue
from sessions.practices.models import Assignment, Practice, Station
from sessions.reps.models import Event, Rep
from tests.athletes.rosters import as_csv
from tests.browser import circle
from tests.browser.circle import Place
from tests.browser.conftest import PageFor
from tests.browser.sizes import DESK, PHONE, TABLET
from tests.builders import Cast, make_area, make_member, make_venue

pytestmark = [pytest.mark.browser, pytest.mark.django_db(transaction=True)]

NAMES = "Abel Bea Cato Dara Elif Fenn Gita Hugo Ilse Jory Kaya Liev Mina Nils Odile Pavo Quin Runa Sami Tove"
GIVEN = NAMES.split()
ROSTER = [("Name", "Born", "Hand", "Squad", "Parent")] + [
    (
        f"{given} Sorrel",
        f"{2009 + n % 4}-0{1 + n % 9}-14",
        "left" if n % 7 == 3 else "right",
        "Swifts",
        f"{given}a Sorrel",
    )
    for n, given in enumerate(GIVEN)
]
FLOORS = {"Smooth floor": 6, "Hall": 7, "Gym": 7}
LANE, DRILL, KEY = "Lane 1", "Six-step walking drop and plant", "six-step-walking-drop-and-plant"
SETS, TAPPED, SENT = 6, 12, 48
FAULTS = ("", "plant late", "", "") * 3

SEND = """async ({club, practice, device, events, now}) => {
  const base = `/api/v1/clubs/${club}`;
  const me = await (await fetch(`${base}/hello/`)).json();
  const body = {version: 2, by: me.person, unsent: 0, device: {uuid: device, name: "Tablet"}, sent_at: now, events};
  const headers = {"Content-Type": "application/json", "X-CSRFToken": me.csrf};
  const url = `${base}/practices/${practice}/events/`;
  const answer = await fetch(url, {method: "POST", headers, body: JSON.stringify(body)});
  return (await answer.json()).results.map((one) => one.state);
}"""


@pytest.fixture
def adults(transactional_db: None, cast: Cast) -> list[str]:
    """The venue, the catalogue and four adults who may run a station; their names, the head coach's first."""
    load_shipped_catalogue(cast.club)
    quarry = make_venue(cast.club, name="Quarry Track")
    for name, places in FLOORS.items():
        make_area(quarry, name=name, places=places)
    make_area(quarry, name=LANE, kind="runway", surface="synthetic-track")
    more = [make_member(cast.club, "assistant", given_name=given, family_name="Wren") for given in ("Ola", "Tam")]
    return [member.person.full_name for member in (cast.head_coach, cast.assistant, *more)]


def import_roster(page: Page, cast: Cast) -> None:
    page.goto(f"/c/{cast.club.slug}/people/")
    page.get_by_role("link", name="Import a roster").click()
    page.get_by_label("File").set_input_files({"name": "swifts.csv", "mimeType": "text/csv", "buffer": as_csv(ROSTER)})
    page.get_by_role("button", name="Read the file").click()
    page.get_by_role("button", name="Show what would change").click()
    page.get_by_role("button", name="Import the ticked rows").click()
    expect(page.get_by_text("Imported: 20 new athletes")).to_be_visible()


def fill(page: Page, adults: list[str]) -> None:
    """One block, three floors with an adult each; the page fills them."""
    circle.plan(
        page, 55, [Place(area, run_by, "", ()) for area, run_by in zip(FLOORS, adults, strict=False)], put_too=False
    )
    page.get_by_role("button", name="Fill for me").click()
    expect(page.get_by_role("status").first).to_contain_text("20 places were filled")


def change_by_hand(page: Page, run_by: str, names: tuple[str, ...]) -> None:
    """Five who have done it at another club do more at a station of their own: floor drills may be gone ahead with."""
    page.get_by_label("Place", exact=True).select_option(label=LANE)
    circle.choose(page.get_by_label("Who runs it"), run_by)
    page.get_by_role("button", name="Add this station").click()
    expect(page.get_by_role("rowheader", name=LANE)).to_be_visible()
    circle.put(page, Place(LANE, run_by, DRILL, names))


def send_reps(page: Page, practice: Practice, station: Station, athletes: list[Athlete]) -> None:
    """Through the API that the page itself uses, signed in as it is: every third rep with a fault at the gate."""
    gate = [row.checkpoint for row in DrillCheckpoint.objects.filter(drill__key=KEY, gate=True)]
    fault, now = gate[0].faults.all()[0].key, timezone.now()
    device = str(station.holds.get().device.uuid)  # the tablet's own: what a second one sends would wait for a coach
    events: list[dict[str, Any]] = [
        {
            "uuid": str(uuid4()), "kind": "rep", "sequence": 10_000 + n,
            "at": (now - timedelta(seconds=2 * (SENT - n))).isoformat(),
            "athlete": str(athletes[n % len(athletes)].pk), "drill": KEY, "station": str(station.pk),
            "watched": [point.key for point in gate], "faults": [fault] if n % 3 == 2 else [],
        }
        for n in range(SENT)
    ]  # fmt: skip
    sent = {
        "club": practice.club.slug,
        "practice": str(practice.pk),
        "device": device,
        "events": events,
        "now": now.isoformat(),
    }
    assert page.evaluate(SEND, sent) == ["accepted"] * SENT


def drain() -> None:
    while duties.drain(duties.QUICK) + duties.drain(duties.LONG):
        pass


def imported(cast: Cast, name: str) -> Member:
    member = find_member(Person.objects.get(given_name=name, family_name="Sorrel"), cast.club.slug)
    assert member is not None
    return member


def test_a_club_goes_from_its_list_of_names_to_a_practice_wrapped_up(
    adults: list[str], cast: Cast, page_for: PageFor
) -> None:
    began, club = time.monotonic(), cast.club.slug
    coach, tablet = page_for(cast.head_coach, DESK), page_for(cast.assistant, TABLET)
    import_roster(coach, cast)
    coach.goto(f"/c/{club}/week/")
    circle.make_practice(coach, "Swifts", adults)
    practice = Practice.objects.get()
    fill(coach, adults)
    placed = Assignment.objects.exclude(station__area__name="Smooth floor").select_related("athlete__person")
    five = [row.athlete for row in placed[:5]]
    change_by_hand(coach, adults[3], tuple(athlete.person.given_name for athlete in five))
    coach.get_by_role("link", name="The practice").click()
    circle.publish(coach)

    tablet.goto(f"/c/{club}/practices/{practice.pk}/")
    circle.check_in(tablet, adults[:2], [])
    tablet.get_by_role("button", name="All here who are not yet noted").tap()
    expect(tablet.locator("#came")).to_have_text("20")
    tablet.goto(f"/c/{club}/station/")
    circle.open_station(tablet, "Smooth floor", listed=True)
    tablet.get_by_role("button", name="All did 5", exact=True).tap()
    tablet.locator("#set-log").tap()
    circle.all_on_server(tablet, SETS)
    tablet.goto(f"/c/{club}/station/")
    circle.open_station(tablet, LANE, listed=True)
    circle.log_reps(tablet, FAULTS)
    circle.all_on_server(tablet, SETS + TAPPED)
    send_reps(tablet, practice, practice.stations.get(area__name=LANE), five)
    drain()
    assert Event.objects.filter(kind="set").count() == SETS
    assert Rep.objects.filter(drill__key=KEY, state="counts").count() == TAPPED + SENT

    decide(coach, cast, five[0])
    coach.goto(f"/c/{club}/practices/{practice.pk}/wrap-up/")
    expect(coach.get_by_role("main")).to_contain_text("20 athletes came.")
    expect(coach.get_by_role("main")).to_contain_text(f"{DRILL} {TAPPED + SENT} reps")
    coach.get_by_role("button", name="Done", exact=True).click()
    expect(coach.get_by_text("The practice is wrapped up.")).to_be_visible()
    cancel_the_next(cast, page_for, coach)

    drain()
    out = StringIO()
    call_command("check_counts", stdout=out)
    assert out.getvalue().strip() == "0"
    print(f"\nfrom the roster to the cancellation: {time.monotonic() - began:.1f} s")


def decide(page: Page, cast: Cast, athlete: Athlete) -> None:
    """The squad board has the reps; one touch in the cell is a decision."""
    page.goto(f"/c/{cast.club.slug}/board/")
    reps = Rep.objects.filter(athlete=athlete, drill__key=KEY).count()
    cell = circle.counted(page, athlete.person.given_name, KEY)
    assert circle.reps_counted(cell) == reps > 0
    page.locator(f"#cell-{athlete.pk}-{KEY}").click()
    page.get_by_role("button", name=re.compile(f"^Open {DRILL}: ")).click()
    expect(page.get_by_text(re.compile(f"You opened {DRILL} for")).first).to_be_visible()
    assert Decision.objects.get(athlete=athlete).by == cast.head_coach.person


def cancel_the_next(cast: Cast, page_for: PageFor, coach: Page) -> None:
    """Made and published at the desk; taken off with two taps on the phone; everybody's page says so."""
    club, day = cast.club.slug, club_today(cast.club) + timedelta(days=1)
    coach.goto(f"/c/{club}/practices/new/")
    for label, value in (("Day", day.isoformat()), ("From", "17:00"), ("Until", "18:30")):
        coach.get_by_label(label, exact=True).fill(value)
    coach.get_by_label("Venue").select_option(label="Quarry Track")
    coach.get_by_label("Swifts").check()
    coach.get_by_role("button", name="Put it into the calendar").click()
    circle.publish(coach)
    address = urlsplit(coach.url).path
    readers = {
        coach: address,
        page_for(cast.assistant, TABLET): address,
        page_for(imported(cast, "Abel"), PHONE): f"/c/{club}/my/",
        page_for(imported(cast, "Abela"), PHONE): f"/c/{club}/children/",
    }
    for page, path in readers.items():
        page.goto(path)
        expect(page.get_by_text("ancelled")).to_have_count(0)
    phone = page_for(cast.head_coach, PHONE)
    phone.goto(address)
    phone.get_by_role("link", name="Cancel this practice").tap()
    phone.get_by_role("dialog").get_by_role("button", name="Cancel this practice").tap()
    expect(phone.get_by_role("heading", name="This practice is cancelled")).to_be_visible()
    for page in readers:
        page.reload()
        expect(page.get_by_role("main")).to_contain_text(
            re.compile("This practice is cancelled|this practice does not take place")
        )
