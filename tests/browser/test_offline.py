"""The tablet without a network: opened cold, logged on, sent when the network is back; whose entries go when, and
what is left on the tablet after somebody has signed out."""

import json
from collections import Counter
from pathlib import Path
from typing import Any

import pytest
from django.conf import settings
from playwright.sync_api import Page, expect
from rest_framework.response import Response

from club import duties
from club.members import Member
from drills.models import DrillCheckpoint
from sessions.reps.api import EventsView
from sessions.reps.models import Event, Rep, RepNote
from tests.browser.conftest import PageFor, session_cookie
from tests.browser.sizes import TABLET
from tests.browser.station_world import StationWorld, make_station_world
from tests.browser.test_station import area, on_server, tap
from tests.builders import Cast, make_squad
from tests.sessions.trends.test_check_counts import check_counts

pytestmark = [pytest.mark.browser, pytest.mark.django_db(transaction=True)]

# Each database, each cache and the small store, as text.
LEFT = """async () => {
  const wait = (request) => new Promise((resolve, reject) => {
    request.onsuccess = () => resolve(request.result);
    request.onerror = () => reject(request.error);
  });
  const found = { databases: {}, caches: {}, local: { ...localStorage } };
  for (const { name } of await indexedDB.databases()) {
    const db = await wait(indexedDB.open(name));
    found.databases[name] = {};
    for (const store of db.objectStoreNames) {
      found.databases[name][store] = await wait(db.transaction(store).objectStore(store).getAll());
    }
    db.close();
  }
  for (const name of await caches.keys()) {
    const cache = await caches.open(name);
    for (const request of await cache.keys()) {
      const answer = await cache.match(request);
      const kind = answer.headers.get("Content-Type") || "";
      found.caches[request.url] = /text|json|script/.test(kind) ? await answer.text() : kind;
    }
  }
  return JSON.stringify(found);
}"""
NAMES = ("Nandi", "Kestrel", "Eero", "Vinter", "Saoirse", "Mallow", "Amara", "Dune", "Aiko")
WORDS = "Looks at the box early."


@pytest.fixture
def world(transactional_db: None, cast: Cast) -> StationWorld:
    return make_station_world(cast)


def start_of(world: StationWorld) -> str:
    return f"/c/{world.practice.club.slug}/station/"


def taken_along(page_for: PageFor, world: StationWorld, member: Member) -> Page:
    """The page of today's stations on a tablet that can work without a network."""
    page = page_for(member, TABLET, service_workers="allow")
    page.goto(start_of(world))
    page.get_by_role("button", name="Take this practice with me").tap()
    expect(page.locator("[data-fresh]")).to_contain_text("With you as of")
    expect(page.locator("[data-fresh]")).to_contain_text("4 athletes, plan, drills and cues")
    expect(page.locator("#tablet-verdict")).to_have_text("works without a network")
    return page


def opened_cold(page: Page, world: StationWorld) -> Page:
    """The station on a new page without a network."""
    page.context.set_offline(True)
    cold = page.context.new_page()
    page.close()
    cold.goto(start_of(world))
    cold.locator(".station-link", has_text="Smooth floor").tap()
    expect(cold.locator("#area")).to_be_visible()
    return cold


def become(page: Page, member: Member) -> None:
    page.context.add_cookies([{**session_cookie(member), "url": page.evaluate("location.origin")}])


def left_on(page: Page) -> str:
    return page.evaluate(LEFT)


def stored(page: Page) -> list[dict[str, Any]]:
    return json.loads(left_on(page))["databases"]["sixmark-events"]["items"]


def on_tablet(page: Page, count: int) -> None:
    expect(page.locator("#on-tablet")).to_have_text(f"{count} on the tablet")


def write_note(page: Page) -> None:
    page.locator("[data-about]").first.tap()
    page.get_by_role("button", name="Write a note").tap()
    page.get_by_label("The note").fill(WORDS)
    page.get_by_role("button", name="Keep the note").tap()
    expect(page.locator("#said")).to_have_text("The note for Nandi is kept.")


def as_logged(rep: Rep) -> tuple[str, str, frozenset[str], frozenset[str]]:
    """Athlete, drill, what was watched, the faults."""
    looks = list(rep.looks.all())
    watched = {key for look in looks for key in look.watch_set.checkpoints.values_list("key", flat=True)}
    faults = {label for look in looks for label in look.faults.values_list("fault__label", flat=True)}
    return rep.athlete.person.given_name, rep.drill.key, frozenset(watched), frozenset(faults)


def test_a_practice_taken_along_is_opened_cold_logged_and_sent_when_the_network_is_back(
    world: StationWorld, cast: Cast, page_for: PageFor
) -> None:
    page = opened_cold(taken_along(page_for, world, cast.assistant), world)
    expect(page.locator("#from-along")).to_contain_text("No network: plan and readiness as of")
    expect(page.locator("#athlete")).to_have_text("Nandi")
    for name in world.athletes:
        expect(page.locator("#line")).to_contain_text(name)
    area(page)
    on_tablet(page, 1)
    tap(page, "plant late")
    area(page)
    area(page)
    page.locator("#undo").tap()
    page.locator("#did-not-see:not([aria-disabled])").tap()
    tap(page, "bent arm")
    area(page)
    page.locator("#menu-open").tap()
    page.get_by_role("button", name="Log a whole round at once").tap()
    page.locator("#set-pad").get_by_role("button", name="All did 2").tap()
    page.wait_for_selector("#area:not([aria-disabled])", state="attached")
    page.locator("#set-log").tap()
    on_tablet(page, 9)
    on_server(page, 0)
    page.reload()
    on_tablet(page, 9)
    assert not Event.objects.exists()
    page.context.set_offline(False)
    on_server(page, 9)
    gate, drill = frozenset({"plant-start", "full-reach"}), "running-drop-and-plant"
    none: frozenset[str] = frozenset()
    logged = [
        ("Nandi", drill, gate, none),
        ("Eero", drill, gate, frozenset({"plant late"})),
        ("Saoirse", drill, none, none),
        ("Amara", drill, gate, frozenset({"bent arm"})),
        *[(name, drill, none, none) for name in world.athletes for _rep in range(2)],
    ]
    assert Counter(map(as_logged, Rep.objects.filter(state="counts"))) == Counter(logged)
    assert as_logged(Rep.objects.get(state="void")) == ("Saoirse", drill, gate, none)
    assert Counter(Event.objects.values_list("kind", flat=True)) == {"rep": 5, "void": 1, "set": 4, "hold": 1}
    while duties.drain(duties.QUICK):
        pass
    assert check_counts() == 0


def test_without_a_network_a_drill_is_chosen_on_the_spot(world: StationWorld, cast: Cast, page_for: PageFor) -> None:
    world.practice.squads.add(make_squad(cast.club, *world.athletes.values()))
    page = opened_cold(taken_along(page_for, world, cast.assistant), world)
    page.goto(start_of(world))
    page.get_by_role("link", name="Log without a plan").tap()
    page.get_by_text("Eero", exact=True).tap()
    page.get_by_text("Six-step walking drop and plant", exact=True).tap()
    page.get_by_role("button", name="Start logging").tap()
    expect(page.locator("#athlete")).to_have_text("Eero")
    area(page)
    on_tablet(page, 1)
    page.context.set_offline(False)
    on_server(page, 1)
    rep = Rep.objects.get()
    assert (as_logged(rep)[:2], rep.station) == (("Eero", "six-step-walking-drop-and-plant"), None)


def test_what_one_person_logged_is_never_sent_by_another(world: StationWorld, cast: Cast, page_for: PageFor) -> None:
    page = opened_cold(taken_along(page_for, world, cast.assistant), world)
    area(page)
    on_tablet(page, 1)
    become(page, cast.head_coach)
    page.context.set_offline(False)
    expect(page.locator("#trouble")).to_contain_text("Somebody else has signed in on this tablet")
    page.goto(world.address)
    area(page)
    expect(page.locator("#on-server")).to_have_text("1 on the server")
    expect(page.locator("#trouble")).to_contain_text("wait")
    assert {event.by for event in Event.objects.all()} == {cast.head_coach.person}
    become(page, cast.assistant)
    page.goto(world.address)
    on_server(page, 2)
    assert Event.objects.filter(kind="rep", by=cast.assistant.person).count() == 1
    assert Rep.objects.count() == 2


def test_what_the_server_refuses_after_a_time_without_network_needs_a_look(
    world: StationWorld, cast: Cast, page_for: PageFor
) -> None:
    page = opened_cold(taken_along(page_for, world, cast.assistant), world)
    area(page)
    on_tablet(page, 1)
    DrillCheckpoint.objects.filter(drill__key="running-drop-and-plant", checkpoint__key="full-reach").delete()
    page.context.set_offline(False)
    expect(page.locator("#looks")).to_contain_text("1 needs a look")
    page.reload()
    page.locator("#looks").tap()
    expect(page.locator("#looks-list")).to_contain_text("Nandi: Good")
    expect(page.locator("#looks-list")).to_contain_text("does not offer")
    assert not Rep.objects.exists()
    page.get_by_role("button", name="Without what this drill does not offer").tap()
    on_server(page, 1)
    expect(page.locator("#looks")).to_be_hidden()
    assert as_logged(Rep.objects.get())[2] == {"plant-start"}


@pytest.fixture
def busy(monkeypatch: pytest.MonkeyPatch) -> pytest.MonkeyPatch:
    """A server that says who is signed in but takes no entries, until this is undone."""
    monkeypatch.setattr(EventsView, "post", lambda *_args, **_kwargs: Response(status=503))
    return monkeypatch


def at_sign_out(page_for: PageFor, world: StationWorld, cast: Cast) -> Page:
    """A rep and a note that are nowhere but on the tablet, and the question before signing out."""
    page = opened_cold(taken_along(page_for, world, cast.assistant), world)
    write_note(page)
    area(page)
    on_tablet(page, 2)
    page.context.set_offline(False)
    page.goto(start_of(world))
    page.get_by_role("button", name="Sign out").tap()
    expect(page.locator("#leave-words")).to_have_text("3 entries are not on the server yet.")
    expect(page.locator("#leave-notes")).to_contain_text("The words of 1 note are still on this tablet")
    return page


def signed_out(page: Page) -> str:
    page.locator("#leave-go").tap()
    page.wait_for_url("**/sign-in/**")
    assert settings.SESSION_COOKIE_NAME not in {cookie["name"] for cookie in page.context.cookies()}
    left = left_on(page)
    assert [name for name in NAMES if name in left] == []
    return left


def test_signing_out_wipes_names_and_plan_and_keeps_what_was_not_sent(
    world: StationWorld, cast: Cast, page_for: PageFor, busy: pytest.MonkeyPatch
) -> None:
    page = at_sign_out(page_for, world, cast)
    page.get_by_role("button", name="Stay").tap()
    assert "Saoirse" in left_on(page), "who stays keeps the plan"
    page.get_by_role("button", name="Sign out").tap()
    assert WORDS in signed_out(page)
    assert [(item["event"]["kind"], item["state"]) for item in stored(page)] == [
        ("hold", "waiting"),
        ("note", "waiting"),
        ("rep", "waiting"),
    ]
    busy.undo()
    become(page, cast.assistant)
    page.goto(world.address)
    on_server(page, 2)
    assert RepNote.objects.get().text == WORDS and Rep.objects.count() == 1
    assert WORDS not in left_on(page), "the words leave the tablet once the server has them"


def test_a_note_that_is_in_a_file_leaves_the_tablet_at_sign_out(
    world: StationWorld, cast: Cast, page_for: PageFor, busy: pytest.MonkeyPatch
) -> None:
    page = at_sign_out(page_for, world, cast)
    with page.expect_download() as download:
        page.locator("#leave-save").tap()
    saved = json.loads(Path(download.value.path()).read_text(encoding="utf-8"))
    assert [event.get("text") for part in saved["parts"] for event in part["events"]] == [None, WORDS, None]
    expect(page.locator("#leave-notes")).to_have_text(
        "1 note is in your file and leaves this tablet when you sign out."
    )
    assert WORDS not in signed_out(page)
    assert [item["event"]["kind"] for item in stored(page)] == ["hold", "rep"]
