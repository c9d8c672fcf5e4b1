"""German grammar for none, one, two and many: what parents and athletes read of counts, lists, dates and units."""

from collections.abc import Iterator
from datetime import date, time
from decimal import Decimal

import pytest
from django.utils import translation

from club.models import Club
from club.templatetags.club_words import length
from sessions.boards import reader_words
from sessions.boards.words import moment_words
from sessions.news import words as news
from sessions.news.core import Facts as When
from sessions.news.core import What
from sessions.summaries.core.facts import Better, Turns
from tests.sessions.summaries.test_words import NBSP, facts, said

MARCH = When(date(2026, 3, 3), time(17), time(19), "Sporthalle Nord", True)


@pytest.fixture(autouse=True)
def german() -> Iterator[None]:
    with translation.override("de"):
        yield


@pytest.mark.parametrize(
    ("days", "turns", "words"),
    [
        (0, 0, "In diesen vier Wochen wurde kein Training von Kalea notiert."),
        (1, 1, "Kalea hat an 1 Tag trainiert und 1 Versuch gemacht."),
        (2, 2, "Kalea hat an 2 Tagen trainiert und 2 Versuche gemacht."),
        (8, 103, "Kalea hat an 8 Tagen trainiert und 103 Versuche gemacht."),
    ],
)
def test_days_and_turns(days: int, turns: int, words: str) -> None:
    assert words in said(facts(days, turns))


@pytest.mark.parametrize(
    ("drills", "words"),
    [
        (["walk"], "Am meisten: „Three-step walk“ (1 Versuch)."),
        (["walk", "jog"], "„Three-step walk“ (1 Versuch) und „Jogging plant“ (2 Versuche)."),
        (["walk", "jog", "run"], "(1 Versuch), „Jogging plant“ (2 Versuche) und „Plant run, 6 steps“ (3 Versuche)."),
    ],
)
def test_drills_are_listed(drills: list[str], words: str) -> None:
    assert words in said(facts(3, 6, drills=tuple(Turns(drill, n) for n, drill in enumerate(drills, 1))))


@pytest.mark.parametrize(
    ("good", "watched", "words"),
    [
        (0, 1, "0 von 1 Versuch,"),
        (1, 1, "1 von 1 Versuch,"),
        (1, 2, "1 von 2 Versuchen,"),
        (33, 39, "33 von 39 Versuchen,"),
    ],
)
def test_tries_take_the_dative(good: int, watched: int, words: str) -> None:
    assert words in said(facts(3, 9, better=(Better("walk", "drop-start", good, watched, 10, 19),)))


def test_one_drill_and_two_that_were_opened() -> None:
    assert "für Kalea diese Übung freigegeben: „Jogging plant“." in said(facts(3, 9, opened=("jog",)))
    two = said(facts(3, 9, opened=("jog", "walk")))
    assert "für Kalea diese Übungen freigegeben: „Jogging plant“ und „Three-step walk“." in two


@pytest.mark.parametrize(
    ("came", "practices", "not_noted", "words"),
    [
        (0, 1, 0, "Kalea war beim letzten Training nicht da."),
        (1, 1, 0, "Kalea war beim letzten Training da."),
        (1, 1, 2, "Kalea war bei dem einen Training da, bei dem notiert wurde, wer kam."),
        (0, 1, 2, "Kalea war bei dem einen Training nicht da, bei dem notiert wurde, wer kam."),
        (0, 2, 0, "Kalea war bei keinem der letzten 2 Trainings da."),
        (1, 2, 0, "Kalea war bei 1 der letzten 2 Trainings da."),
        (9, 10, 0, "Kalea war bei 9 der letzten 10 Trainings da."),
        (2, 5, 1, "Kalea war bei 2 von 5 Trainings da, bei denen notiert wurde, wer kam."),
        (0, 5, 1, "Kalea war bei keinem der letzten 5 Trainings da, bei denen notiert wurde, wer kam."),
    ],
)
def test_how_often_a_child_came(came: int, practices: int, not_noted: int, words: str) -> None:
    assert reader_words.came_sentence("Kalea", came, practices, not_noted).replace(NBSP, " ") == words


@pytest.mark.parametrize(("n", "words"), [(0, "0 Versuche"), (1, "1 Versuch"), (2, "2 Versuche"), (12, "12 Versuche")])
def test_turns(n: int, words: str) -> None:
    assert reader_words.turns_words(n) == words


@pytest.mark.parametrize(
    ("what", "count", "words"),
    [
        (What.CANCELLED, 1, "Kein Training am Dienstag, 3. März"),
        (What.MOVED, 1, "Training verlegt auf Dienstag, 3. März"),
        (What.BACK_ON, 1, "Doch Training am Dienstag, 3. März"),
        (What.MOVED, 2, "2 Trainings haben sich geändert"),
        (What.CANCELLED, 12, "12 Trainings haben sich geändert"),
    ],
)
def test_one_changed_practice_and_many(what: What, count: int, words: str) -> None:
    assert news.change_title([(what, MARCH, MARCH)] * count) == words


def test_dates_and_units() -> None:
    assert "Kalea, 2. November bis 29. November" in said(facts())
    assert news.when_words(MARCH) == "Dienstag, 3. März, 17:00 bis 19:00 Uhr, Sporthalle Nord"
    assert moment_words(date(2026, 11, 27), time(17), date(2026, 11, 27)) == "Heute, 17:00 Uhr"
    assert moment_words(date(2026, 11, 27), time(17), date(2026, 11, 26)) == "Freitag, 27. November, 17:00 Uhr"
    assert length(Decimal("3.2"), Club(units="metric")).replace(NBSP, " ") == "3,20 m"
