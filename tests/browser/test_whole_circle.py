"""One practice all the way round, on a real site with real workers: planned, logged, rolled up, read, released.

The four people of the invented club sign in by the links that ``deploy/up --demo`` prints and work by what they see.
The three delays that people would notice are measured and printed.
"""

from collections.abc import Iterator
from pathlib import Path

import pytest
from playwright.sync_api import Browser, expect

from tests.browser import circle
from tests.browser.circle import People, Place
from tests.browser.sizes import DESK, PHONE, TABLET
from tests.deploy.running import Place as Folder
from tests.deploy.running import Up, place, up

pytestmark = pytest.mark.browser

FRESH_S = 5.0
DRILL, KEY = "Six-step walking drop and plant", "six-step-walking-drop-and-plant"
FLOOR = Place("Smooth floor", "Aiko Reed", DRILL, ("Nandi", "Eero", "Saoirse"))
LANE = Place("Lane 1", "Marta Okoro", "Standing drop", ("Tomasz", "Mireille", "Leif"))
# 30 reps of three athletes in turn, ten each; every fault but one shows at what the drill's gate watches.
FAULTS = ("", "plant late", "", "", "plant early", "bent arm", "", "plant late", "", "") * 3


@pytest.fixture
def folder(tmp_path: Path) -> Iterator[Folder]:
    with place(tmp_path) as made:
        yield made


@pytest.fixture
def site(folder: Folder) -> Iterator[Up]:
    with up(folder, "--demo") as started:
        yield started


@pytest.fixture
def people(browser: Browser, site: Up) -> Iterator[People]:
    made = People(browser, site)
    yield made
    assert made.close() == []


def test_a_practice_is_planned_logged_rolled_up_and_read_by_all_four(folder: Folder, people: People) -> None:
    coach, assistant = people.sign_in("head coach", DESK), people.sign_in("assistant", TABLET)
    athlete, parent = people.sign_in("athlete", PHONE), people.sign_in("guardian", PHONE)

    circle.cancel_today(coach)
    circle.make_practice(coach, "Terns", ["Marta Okoro", "Aiko Reed"])
    circle.plan(coach, 55, [FLOOR, LANE])
    circle.publish(coach)
    practice = coach.url

    circle.open_practice(assistant, practice)
    circle.check_in(assistant, ["Marta Okoro", "Aiko Reed"], [*FLOOR.names, *LANE.names])
    circle.open_station(assistant, LANE.area)
    circle.log_set(assistant, 5, "Mireille", "hand sinks")
    circle.all_on_server(assistant, 3)

    coach.get_by_role("link", name="Squad board").click()
    cell = circle.counted(coach, "Saoirse", KEY)
    before = circle.reps_counted(cell)
    circle.open_station(assistant, FLOOR.area)
    tapped = circle.log_reps(assistant, FAULTS)
    board_s = circle.seconds_until(coach, [f"{before + 10} reps counted"], tapped, where=cell)
    circle.all_on_server(assistant, 33)
    circle.shot(assistant, "8-station-after")
    circle.shot(coach, "8-board")

    circle.open_practice(coach, practice)
    circle.shot(coach, "9-practice-before-release")
    clicked = circle.release(coach)
    athlete_s = circle.seconds_until(athlete, ["What you did:", f"{DRILL} 10 turns"], clicked, reload=True)
    parent_s = circle.seconds_until(parent, ["Nandi came", DRILL], clicked, reload=True)
    expect(coach.get_by_role("main")).to_contain_text("Released.")
    for page, name in ((coach, "coach"), (athlete, "athlete"), (parent, "parent")):
        circle.shot(page, f"9-{name}-after-release")

    print(
        f"\nboard {board_s:.1f} s after the last rep; athlete {athlete_s:.1f} s, parent {parent_s:.1f} s after release"
    )
    assert max(board_s, athlete_s, parent_s) < FRESH_S
    for command in (["check_counts", "--wait", "20"], ["check_club"]):
        checked = folder.manage(*command)
        assert (checked.returncode, checked.stdout.strip()) == (0, "0"), checked.stderr
