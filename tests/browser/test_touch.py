"""One thumb: how many taps, how large and how far apart the targets are, and where a finger that misses ends up."""

import random
from collections import Counter

import pytest
from django.utils import timezone
from playwright.sync_api import Page, expect

from sessions.practices.models import AdultPresence
from sessions.reps.core.events import RepMarks
from sessions.reps.models import Hold, LookFault, Rep
from tests.browser.conftest import PageFor
from tests.browser.sizes import PHONE, TABLET, Size
from tests.browser.station_world import StationWorld, make_station_world
from tests.browser.test_station import area, on_server, opened
from tests.builders import Cast
from tests.sessions.demo.played import play

pytestmark = [pytest.mark.browser, pytest.mark.django_db(transaction=True)]

DRILL = "running-drop-and-plant"
OTHERS = ("#undo", "#did-not-see", "#line li:nth-child(2) .pick", "#line li:nth-child(3) .pick")
PX_A_MM = (TABLET.width**2 + TABLET.height**2) ** 0.5 / (10 * 25.4)
"""Of a tablet with a diagonal of ten inches."""
OFF_MM = 3.0
"""Standard deviation of a finger in each direction: 19 of 20 touches fall within 6 mm of where they were meant."""
ACROSS = Size("tablet across", 1280, 800, touch=True)


@pytest.fixture
def world(transactional_db: None, cast: Cast) -> StationWorld:
    return make_station_world(cast)


def simulated() -> list[RepMarks]:
    """What the simulator's coaches log at the station's drill while they watch its gate."""
    found = [event.content for event in play(2, 16, placed=DRILL).events()]
    gate = frozenset({"plant-start", "full-reach"})
    return [one for one in found if isinstance(one, RepMarks) and one.drill == DRILL and one.watched == gate]


def on_rail(page: Page) -> set[str]:
    found: list[str] = page.evaluate("[...document.querySelectorAll('#rail [data-fault]')].map((c) => c.dataset.fault)")
    return set(found)


def test_on_the_simulators_mix_a_rep_with_k_faults_is_k_and_one_tap(
    world: StationWorld, cast: Cast, page_for: PageFor
) -> None:
    page = opened(page_for(cast.assistant, TABLET), world)
    mix, there = simulated(), on_rail(page)
    assert len(mix) > 100
    assert sum(rep.faults <= there for rep in mix) >= 0.95 * len(mix), "the others were noticed beside the focus"
    by_faults = {
        k: [sorted(rep.faults) for rep in mix if len(rep.faults) == k and rep.faults <= there] for k in (0, 1, 2)
    }
    reps = [by_faults[k][n] for n in range(3) for k in (0, 2, 1)]
    for faults in reps:
        for key in faults:
            page.locator(f"#rail [data-fault={key}]").tap()
        area(page)
    on_server(page, len(reps))
    page.locator("#undo").tap()
    expect(page.locator("#said")).to_contain_text("Taken back")
    on_server(page, len(reps))
    assert Rep.objects.filter(state="counts").count() == len(reps) - 1
    logged = Counter(LookFault.objects.filter(look__rep__state="counts").values_list("fault__key", flat=True))
    assert logged == Counter(key for faults in reps[:-1] for key in faults)


# Where each touch ends: the button under the finger, by what it does.
HITS = """(touches) => {
  const button = (one) => one?.closest("button");
  const name = (one) => one && (one.dataset.fault || one.dataset.pick || one.dataset.about || one.id);
  return touches.map(([selector, x, y]) => {
    const { left, top, width, height } = document.querySelector(selector).getBoundingClientRect();
    const hit = button(document.elementFromPoint(left + width / 2 + x, top + height / 2 + y));
    return [name(document.querySelector(selector)), name(hit) || ""];
  });
}"""


def test_a_finger_that_misses_by_some_millimetres_seldom_marks_the_wrong_athlete_or_fault(
    world: StationWorld, cast: Cast, page_for: PageFor
) -> None:
    page = opened(page_for(cast.assistant, TABLET), world)
    dice, there = random.Random(20261201), on_rail(page)
    aims = list[str]()
    for rep in simulated():
        aims += [f"#rail [data-fault={key}]" for key in rep.faults & there]
        aims += ["#area", dice.choice(OTHERS)]
    touches = [(aim, *(dice.gauss(0, OFF_MM * PX_A_MM) for _ in "xy")) for aim in aims]
    hits = page.evaluate(HITS, touches)
    assert len(hits) > 300
    wrong = [(aim, hit) for aim, hit in hits if hit and hit != aim]
    assert len(wrong) <= 0.01 * len(hits), Counter(map(tuple, wrong))
    missed = sum(not hit for _aim, hit in hits)
    assert missed <= 0.05 * len(hits), "between two targets nothing happens: the finger comes again"


# What of a target can be seen: a list that scrolls hides the rest.
SMALL = """() => {
  const hidden = "dialog:not([open]), dialog:not([open]) *, .vh, .skip";
  const shown = (one) => one.offsetParent && !one.matches(hidden);
  const said = (one) => one.outerHTML.slice(0, 80);
  const hasText = (one) => [...one.childNodes].some((part) => part.nodeType === 3 && part.textContent.trim());
  const find = (selector) => [...document.querySelectorAll(selector)].filter(shown);
  const targets = find("button, a[href]").map((one) => ({ one, whole: one.getBoundingClientRect() }));
  const frame = (one) => one.closest("#line")?.getBoundingClientRect() || { top: -Infinity, bottom: Infinity };
  const seen = ({ one, whole: { left, right, top, bottom } }) =>
    ({ one, left, right, top: Math.max(top, frame(one).top), bottom: Math.min(bottom, frame(one).bottom) });
  const gap = (a, b) => Math.max(a.left - b.right, b.left - a.right, a.top - b.bottom, b.top - a.bottom);
  const boxes = targets.map(seen).filter(({ top, bottom }) => top < bottom);
  const pairs = boxes.flatMap((a, n) => boxes.slice(n + 1).map((b) => [a, b]));
  return {
    close: pairs.filter(([a, b]) => gap(a, b) < 7.99).map(([a, b]) => [said(a.one), said(b.one)]),
    targets: targets.filter(({ whole }) => Math.min(whole.width, whole.height) < 48).map(({ one }) => said(one)),
    texts: find("body *").filter((one) => hasText(one) && parseFloat(getComputedStyle(one).fontSize) < 20).map(said),
  };
}"""


@pytest.mark.parametrize("size", [TABLET, PHONE], ids=lambda size: size.name)
def test_text_and_targets_are_large_enough_and_apart(
    world: StationWorld, cast: Cast, page_for: PageFor, size: Size
) -> None:
    page = opened(page_for(cast.assistant, size), world)
    area(page)
    expect(page.locator("#mend")).to_be_visible()
    assert page.evaluate(SMALL) == {"close": [], "targets": [], "texts": []}


def test_all_rows_of_faults_stand_on_a_tablets_first_screen_below_a_warning(
    world: StationWorld, cast: Cast, page_for: PageFor
) -> None:
    page = opened(page_for(cast.assistant, TABLET), world)
    expect(page.get_by_text("Floor drills only.")).to_be_visible()
    area(page)
    expect(page.locator("#mend")).to_be_visible()
    for size in (TABLET, ACROSS):
        page.set_viewport_size({"width": size.width, "height": size.height})
        assert page.locator("#main").evaluate("main => main.scrollHeight - main.clientHeight") == 0


def test_the_rare_buttons_stand_apart_and_the_head_leaves_the_area_on_a_phone(
    world: StationWorld, cast: Cast, page_for: PageFor
) -> None:
    for adult in (cast.head_coach, cast.assistant):
        AdultPresence.objects.create(
            club=cast.club, practice=world.practice, person=adult.person, came_at=timezone.now()
        )
    for size in (TABLET, PHONE):
        Hold.objects.all().delete()
        page = opened(page_for(cast.assistant, size), world)
        boxes = [page.locator(name).bounding_box() for name in ("#skip", "#did-not-see", "#unsafe", "#undo")]
        for one, other in zip(boxes, boxes[1:], strict=False):
            assert max(other["y"] - one["y"] - one["height"], other["x"] - one["x"] - one["width"]) >= 8
    assert page.locator(".bar").bounding_box()["height"] <= 96
    area_box = page.locator("#area").bounding_box()
    assert area_box["y"] + area_box["height"] <= page.viewport_size["height"]
