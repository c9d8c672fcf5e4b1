"""Summaries of fifty simulated seasons: numbers, names, the list of what is never said, and "better" by evidence."""

import random
import re
from collections import Counter
from datetime import timedelta

import pytest
from django.utils import translation
from scipy.stats import binomtest

from club.core.marks import tries
from sessions.summaries.core.facts import PERIOD_DAYS, CheckDay, gather
from sessions.summaries.core.never import found
from tests.sessions.demo.played import DAY
from tests.sessions.summaries.seasons import NAMES, Told, names, parts_of, season, text_of

SEASONS = 50
LANGUAGES = ("en", "de")


def told() -> list[Told]:
    return [one for seed in range(SEASONS) for one in season(seed)]


def stored_numbers(one: Told) -> Counter[int]:
    """Every number that the stored facts hold for the reader."""
    facts = one.facts
    numbers = [facts.since.day, facts.until.day, *(row.turns for row in facts.drills)]
    numbers += [facts.days, facts.turns] if facts.days else []
    for row in facts.better:
        numbers += [row.good, row.watched, row.good_before, row.watched_before]
    return Counter(numbers)


def low_end(now: tuple[int, int], before: tuple[int, int]) -> float:
    """Newcombe, Stat Med 1998;17:873-890, method 10, the low end, on Wilson intervals of SciPy."""
    here, there = (binomtest(*share).proportion_ci(0.95, "wilson") for share in (now, before))
    p, q = now[0] / now[1], before[0] / before[1]
    return p - q - ((p - here.low) ** 2 + (there.high - q) ** 2) ** 0.5


def read_numbers(text: str) -> Counter[int]:
    """Every number in the text, without those that belong to the name of a drill."""
    for name in sorted(names().drills.values(), key=len, reverse=True):
        text = text.replace(name, "")
    return Counter(int(number) for number in re.findall(r"\d+", text))


@pytest.mark.parametrize("language", LANGUAGES)
def test_every_number_in_the_text_is_the_stored_figure(language: str) -> None:
    with translation.override(language):
        for one in told():
            assert read_numbers(text_of(one)) == stored_numbers(one), text_of(one)


def test_the_pictures_have_a_block_for_each_stored_try() -> None:
    drawn = 0
    for one in told():
        pictured = [part.compared for part in parts_of(one) if part.compared]
        stored = [[(row.good_before, row.watched_before), (row.good, row.watched)] for row in one.facts.better]
        assert [[(row.good, row.watched) for row in compared.rows] for compared in pictured] == stored
        for compared in pictured:
            for row in compared.rows:
                kinds = Counter(shape.attr("class") for shape in tries(row.good, row.watched, compared.per_row).shapes)
                assert (kinds["good"], kinds.total()) == (row.good, row.watched)
                drawn += 1
    assert drawn > 60


@pytest.mark.parametrize("language", LANGUAGES)
def test_no_other_child_is_named_and_nothing_is_said_that_is_never_said(language: str) -> None:
    with translation.override(language):
        for one in told():
            text = text_of(one)
            assert found(text, [name for name in NAMES if name != one.name]) == [], text
            assert one.name in text and "%(" not in text and "  " not in text


def test_better_is_said_only_where_the_figures_counted_again_exclude_no_change() -> None:
    said = 0
    for one in told():
        first, last = one.facts.since, one.facts.until
        for better in one.facts.better:
            said += 1
            rows = [row for row in one.checks if (row.drill, row.checkpoint) == (better.drill, better.checkpoint)]
            now = [row for row in rows if first <= row.day <= last]
            before = [row for row in rows if first - timedelta(days=PERIOD_DAYS) <= row.day < first]
            counted = [
                (sum(row.watched - row.faulty for row in part), sum(row.watched for row in part))
                for part in (now, before)
            ]
            assert counted == [(better.good, better.watched), (better.good_before, better.watched_before)]
            assert low_end(*counted) > 0 and all(whole >= 10 for _good, whole in counted)
            assert all(len({row.day for row in part}) >= 2 for part in (now, before))
    assert said > 30, "fifty seasons hold something that got better, or this test says nothing"


def test_somebody_who_does_not_change_is_rarely_said_to_be_better() -> None:
    """Fifteen comparisons of a vaulter whose true shares stay as they are: one summary in forty at most, by design."""
    dice, wrong, summaries = random.Random(5), 0, 2000
    for _number in range(summaries):
        share = [dice.uniform(0.4, 0.9) for _point in range(15)]
        rows = [
            CheckDay("walk", f"point-{point}", DAY + timedelta(days=day), 6, sum(dice.random() > p for _ in range(6)))
            for point, p in enumerate(share)
            for day in range(0, 2 * PERIOD_DAYS, 8)
        ]
        wrong += bool(gather([], rows, DAY + timedelta(days=2 * PERIOD_DAYS - 1)).better)
    assert wrong / summaries < 0.025 + 3 * (0.025 * 0.975 / summaries) ** 0.5


def test_facts_survive_being_stored() -> None:
    for one in told()[:60]:
        assert type(one.facts).from_row(one.facts.as_row()) == one.facts
