"""The athlete and the parent on a phone: one tap to what they came for, also without script and zoomed."""

from collections.abc import Callable
from dataclasses import replace

import pytest
from playwright.sync_api import Page, expect

from sessions.practices.models import CannotCome
from sessions.summaries.core.facts import Better, Facts, Turns, first_day
from sessions.summaries.models import Summary
from tests.browser.conftest import PageFor
from tests.browser.sizes import PHONE
from tests.browser.test_boards import World, world  # noqa: F401
from tests.builders import Cast, aware

pytestmark = [pytest.mark.browser, pytest.mark.django_db(transaction=True)]
ZOOMED = replace(PHONE, name="at 400 % of 1280 px", width=320, height=256)


@pytest.fixture
def summary(cast: Cast, world: World) -> Summary:  # noqa: F811
    until = world.today
    better = (Better("walk", "drop-start", 33, 39, 10, 19),)
    facts = Facts(first_day(until), until, 8, 93, (Turns("walk", 93),), better, goes_on=("walk",), compared=1)
    names = {
        "drills": {"walk": "Six-step walk"},
        "points": {"drop-start": {"name": "drop start", "phase": "drop", "cells": ["6"]}},
    }
    about = {"club": cast.club, "athlete": cast.vaulter, "since": facts.since, "until": until}
    made = {"made_at": aware(until), "approved_at": aware(until), "approved_by": cast.head_coach.person}
    return Summary.objects.create(**about, facts=facts.as_row(), names=names, **made)


@pytest.mark.parametrize("script", [True, False], ids=["script", "no script"])
def test_a_parent_says_with_one_tap_that_a_child_cannot_come_and_takes_it_back(
    page_for: PageFor, cast: Cast, summary: Summary, script: bool
) -> None:
    page = page_for(cast.parent, PHONE, java_script_enabled=script)
    page.goto(f"/c/{cast.club.slug}/")
    expect(page.get_by_role("heading", level=1)).to_contain_text("Today, 00:01")
    page.get_by_role("button", name="Nandi can’t come").tap()
    expect(page.get_by_text("It is noted that Nandi can’t come.")).to_be_visible()
    assert CannotCome.objects.get().by == cast.parent.person
    page.get_by_role("button", name="Can come after all").tap()
    expect(page.get_by_role("button", name="Nandi can’t come")).to_be_visible()


def test_from_the_link_each_is_one_tap_away_from_what_they_came_for(
    page_for: PageFor, cast: Cast, summary: Summary
) -> None:
    page = page_for(cast.parent, PHONE)
    for link, there in (("Hurt or unwell", "Nandi is not up to everything"), ("Emergency card", "Emergency card")):
        page.goto(f"/c/{cast.club.slug}/")
        page.get_by_role("link", name=link).tap()
        expect(page.get_by_role("heading", level=1)).to_contain_text(there)
    page.goto(f"/c/{cast.club.slug}/")
    page.locator("a[href*='/summaries/']").first.tap()
    expect(page.get_by_text("33 of 39 tries")).to_be_visible()
    mine = page_for(cast.athlete, PHONE)
    mine.goto(f"/c/{cast.club.slug}/")
    expect(mine.get_by_role("heading", name="Standing drop")).to_be_visible()
    mine.get_by_text("Getting there").tap()
    mine.get_by_role("button", name="Send").tap()
    expect(mine.get_by_text("Your coaches read it before the next practice.")).to_be_visible()


def test_the_readers_pages_hold_at_four_hundred_percent_and_for_everybody(
    page_for: PageFor,
    cast: Cast,
    summary: Summary,
    axe: Callable[[Page], list[str]],
    sideways: Callable[[Page], int],
) -> None:
    club = cast.club.slug
    addresses = {cast.athlete: ["my/"], cast.parent: [f"children/{cast.vaulter.pk}/", f"summaries/{summary.pk}/"]}
    for member, paths in addresses.items():
        page = page_for(member, ZOOMED)
        for path in paths:
            page.goto(f"/c/{club}/{path}")
            assert sideways(page) == 0, path
            assert axe(page) == [], path
            small = page.locator("main button, main a.btn").evaluate_all(
                "all => all.filter(one => one.offsetHeight && one.offsetHeight < 44).map(one => one.textContent)"
            )
            assert small == [], path
