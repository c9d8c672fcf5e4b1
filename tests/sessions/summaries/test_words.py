"""Grammar for none, one, two and many; what is said with too little seen; coach's words that are refused."""

from datetime import date

import pytest

from sessions.summaries import plain
from sessions.summaries.core.facts import Better, Facts, Turns
from sessions.summaries.core.never import Never, found
from sessions.summaries.words import About, Names, Point, parts, plain_text, title
from tests.sessions.summaries.seasons import _points

NAMES = Names(
    {"walk": "Three-step walk", "jog": "Jogging plant", "run": "Plant run, 6 steps"},
    {"drop-start": Point("drop start", "drop", ("6",)), "own": Point("quiet feet", "all", ())},
)
KALEA = About("Kalea", "left")
NBSP = "\N{NO-BREAK SPACE}"


def facts(days: int = 0, turns: int = 0, **more: object) -> Facts:
    return Facts(date(2026, 11, 2), date(2026, 11, 29), days, turns, **more)  # type: ignore[arg-type]


def said(of: Facts, **more: object) -> str:
    return plain_text(title(of, "Kalea"), parts(of, NAMES, KALEA, **more)).replace(NBSP, " ")  # type: ignore[arg-type]


@pytest.mark.parametrize(
    ("days", "turns", "words"),
    [
        (0, 0, "No practice of Kalea was noted in these four weeks."),
        (1, 1, "Kalea practised on 1 day and took 1 turn."),
        (2, 2, "Kalea practised on 2 days and took 2 turns."),
        (8, 103, "Kalea practised on 8 days and took 103 turns."),
    ],
)
def test_days_and_turns(days: int, turns: int, words: str) -> None:
    assert words in said(facts(days, turns))


@pytest.mark.parametrize(
    ("drills", "words"),
    [
        (["walk"], "Most of it: “Three-step walk” (1 turn)."),
        (["walk", "jog"], "Most of it: “Three-step walk” (1 turn) and “Jogging plant” (2 turns)."),
        (["walk", "jog", "run"], "(1 turn), “Jogging plant” (2 turns) and “Plant run, 6 steps” (3 turns)."),
    ],
)
def test_drills_are_listed(drills: list[str], words: str) -> None:
    rows = tuple(Turns(drill, n) for n, drill in enumerate(drills, 1))
    assert words in said(facts(3, 6, drills=rows))


def test_what_got_better_is_said_with_its_meaning_its_figures_and_a_picture() -> None:
    better = facts(5, 60, better=(Better("walk", "drop-start", 33, 39, 10, 19),))
    words = said(better)
    assert "The drop: over three steps the pole is lowered, without hurry." in words
    assert "Kalea now begins to lower the pole at the right moment." in words
    assert "in these four weeks 33 of 39 tries, in the four weeks before 10 of 19 tries." in words
    picture = next(part.picture for part in parts(better, NAMES, KALEA) if part.picture)
    assert (picture.hand, picture.lit, picture.flag) == ("left", "6", "6")
    compared = next(part.compared for part in parts(better, NAMES, KALEA) if part.compared)
    assert [(row.good, row.watched) for row in compared.rows] == [(10, 19), (33, 39)] and compared.phase == "drop"


def test_a_checkpoint_of_the_club_s_own_is_said_by_its_name_and_one_can_be_left_out() -> None:
    rows = tuple(Better("walk", key, 33, 39, 10, 19) for key in ("own", "drop-start"))
    better = facts(5, 60, better=rows)
    assert "Kalea does this better now: quiet feet." in said(better) and "And this too".upper() in said(better)
    assert "quiet feet" not in said(better, left_out=frozenset({"own"}))
    assert "too early to say" in said(facts(5, 60, better=rows, compared=2), left_out=frozenset({"own", "drop-start"}))


def test_too_little_seen_says_what_was_practised_and_what_comes_next() -> None:
    words = said(facts(2, 12, drills=(Turns("walk", 12),), goes_on=("walk", "jog")))
    assert "Too little was watched to say what changed." in words and "12 turns" in words
    assert "Kalea goes on with “Three-step walk” and “Jogging plant”." in words and "There is no hurry." in words


@pytest.mark.parametrize(
    ("opened", "words"),
    [
        (("jog",), "The head coach opened this drill for Kalea: “Jogging plant”."),
        (("jog", "walk"), "The head coach opened these drills for Kalea: “Jogging plant” and “Three-step walk”."),
    ],
)
def test_what_was_opened(opened: tuple[str, ...], words: str) -> None:
    assert words in said(facts(3, 9, opened=opened)) and "NEW" not in said(facts(3, 9))


def test_the_coach_s_own_words_stand_first_and_the_safety_words_last() -> None:
    words = said(facts(3, 9), own_words="A calm four weeks.\nGood company.")
    assert words.index("A calm four weeks.") < words.index("WHAT WAS PRACTISED")
    assert words.index("only with a coach of the club.") > words.index("HOW YOU CAN HELP")


def test_every_checkpoint_of_the_shipped_catalogue_has_its_plain_sentence() -> None:
    sentences = plain._sentences()
    assert set(sentences) == set(_points())
    assert all("%(name)s" in sentence for sentence in sentences.values())


@pytest.mark.parametrize(
    ("text", "kinds"),
    [
        ("A good month, with a lot of laughing.", []),
        ("Sie hat geduldig geübt.", []),
        ("Good in 80 %.", [Never.PERCENT]),
        ("Only three faults left.", [Never.FAULT]),
        ("Noch zwei Fehler.", [Never.FAULT]),
        ("She is behind the others.", [Never.BEHIND]),
        ("Er ist hinterher.", [Never.BEHIND]),
        ("She is stuck.", [Never.BEHIND]),
        ("On the pole rated to 55 kg.", [Never.RATING]),
        ("After the injury she came back.", [Never.INJURY]),
        ("She will jump 3.20 m in spring.", [Never.PROMISE]),
        ("Practise at home, please.", [Never.ALONE]),
        ("Runs like Eero.", [Never.NAME]),
        ("Runs like eero now, 80 percent", [Never.PERCENT, Never.NAME]),
        ("Seeroses are flowers.", []),
    ],
)
def test_what_is_never_said_is_found_in_a_coach_s_words(text: str, kinds: list[Never]) -> None:
    assert found(text, ["Eero"]) == kinds
