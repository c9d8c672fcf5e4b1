"""Sentences: for none, one, two and many; counts that do not break."""

from datetime import date, timedelta

import pytest

from athletes.core.readiness import EMPTY, Outcome, Rep, Settings, advise, fold
from sessions.boards import board_words, reader_words, words
from sessions.boards.core import CellState, Figures, Plan, RecentReps, WeekFigures

DAY = date(2026, 3, 4)
NBSP = "\N{NO-BREAK SPACE}"
SETTINGS = Settings()


def plain(text: str) -> str:
    return text.replace(NBSP, " ")


def week(plans: dict[Plan, int], today: int = 0, ahead: int = 0, easier: int = 0, away: int = 0) -> WeekFigures:
    return WeekFigures(plans, today, ahead, easier, away)


@pytest.mark.parametrize(
    "figures,sentence",
    [
        (week({}), "No practice this week."),
        (week({Plan.HELD: 1}), "1 practice: held."),
        (week({Plan.PUBLISHED: 1}, today=1), "1 practice, today: published."),
        (week({Plan.DRAFT: 1, Plan.PUBLISHED: 1}, today=1), "2 practices, 1 of them today: 1 published, 1 draft."),
        (
            week({Plan.NO_PLAN: 2, Plan.CANCELLED: 1, Plan.DRAFT: 2}),
            "5 practices: 2 drafts, 2 without a plan, 1 cancelled.",
        ),
    ],
)
def test_the_week_is_said_with_counts(figures, sentence) -> None:
    assert words.practices_sentence(figures) == sentence


@pytest.mark.parametrize(
    "figures,sentence",
    [
        (week({}), ""),
        (week({}, ahead=1), "1 drill is settled and leads on."),
        (week({}, easier=1), "1 drill speaks for an easier one."),
        (
            week({}, ahead=2, easier=2, away=1),
            "2 drills are settled and lead on, 2 drills speak for an easier one, "
            "1 vaulter has not been seen for ten days or more.",
        ),
        (week({}, away=7), "7 vaulters have not been seen for ten days or more."),
    ],
)
def test_what_waits_is_said_only_where_something_waits(figures, sentence) -> None:
    assert words.waiting_sentence(figures) == sentence


@pytest.mark.parametrize(
    "recent,sentence",
    [
        (RecentReps(0, 0, 0, None), "No rep has counted yet."),
        (RecentReps(1, 1, 1, DAY), "Good in 1 of the last 1 rep on 1 day."),
        (RecentReps(1, 2, 2, DAY), "Good in 1 of the last 2 reps on 2 days."),
        (RecentReps(13, 15, 4, DAY), "Good in 13 of the last 15 reps on 4 days."),
    ],
)
def test_the_last_reps_are_said_as_counts(recent, sentence) -> None:
    assert plain(words.recent_sentence(recent)) == sentence


def test_counts_and_shares_do_not_break() -> None:
    assert words.share_of(13, 15) == f"13{NBSP}of{NBSP}15"
    assert words.low_percent(0.65) == f"65{NBSP}%"
    assert f"13{NBSP}of the last 15{NBSP}reps" in words.recent_sentence(RecentReps(13, 15, 4, DAY))


def test_an_end_of_the_range_never_reads_as_on_the_other_side_of_a_line() -> None:
    assert plain(words.low_percent(0.6499)) == "64 %"
    assert plain(words.high_percent(0.5001)) == "51 %"
    assert plain(words.low_percent(0.29)) == "29 %" == plain(words.high_percent(0.29))


def advised(*days: str):
    """Reps of days two apart, "1" good and "0" bad, read on the last of them."""
    state = EMPTY
    for n, reps in enumerate(days):
        for rep in reps:
            outcome = Outcome.GOOD if rep == "1" else Outcome.BAD
            state = fold(state, Rep(DAY + timedelta(days=2 * n), outcome), SETTINGS)
    return advise(state, state.day or DAY, SETTINGS)


@pytest.mark.parametrize(
    "days,said",
    [
        ((), "there is no figure"),
        (("1111111111",), "Too little seen to say"),
        (("11111111", "11111111"), "reaches 65 %."),
        (("11111111", "111111110"), "but the last rep was not good"),
        (("00000", "00000"), "is no higher than 50 %"),
        (("1010", "1010", "1010"), "is still under 65 %"),
    ],
)
def test_the_reason_names_the_line_of_the_rule_that_spoke(days, said) -> None:
    assert said in plain(words.reason_sentence(advised(*days), SETTINGS))


def test_bad_reps_that_pile_up_are_said_to() -> None:
    reason = words.reason_sentence(advised("1111111111111111", "0000000000"), SETTINGS)
    assert "piled up" in reason and "%" in reason and "%(" not in reason


@pytest.mark.parametrize(
    "since,said", [(None, ""), (0, "was unsafe"), (1, "1 counted rep ago"), (9, "9 counted reps ago"), (10, "")]
)
def test_an_unsafe_rep_is_said_while_it_stands_in_the_window(since, said) -> None:
    sentence = words.unsafe_sentence(since, 10)
    assert said in sentence and bool(sentence) == bool(said)


@pytest.mark.parametrize(
    "drills,said",
    [
        ([], "Leads to no other drill."),
        (["jogging"], "Leads to jogging."),
        (["jogging", "run in place"], "Leads to jogging and run in place."),
        (["a", "b", "c"], "Leads to a, b and c."),
    ],
)
def test_what_a_drill_leads_to_is_listed(drills, said) -> None:
    assert words.leads_sentence(drills) == said


def test_a_cell_says_who_what_and_the_range_and_an_empty_one_nothing() -> None:
    figures = Figures("keep on", 0.481, 0.64, 0.799, 12, 3)
    said = board_words.CellWords().say("Nandi K.", "Standing drop", CellState.KEEP_ON, figures)
    assert plain(said) == "Nandi K., Standing drop: keep on, likely range 48 % to 80 %, 12 reps counted"
    assert board_words.CellWords().say("Nandi K.", "Standing drop", CellState.UNTRIED, None) == ""
    tried = Figures("no reps yet", 0.2, 0.5, 0.8, 0, 0)
    assert "%" not in board_words.CellWords().say("Nandi K.", "Standing drop", CellState.NO_REPS, tried)


@pytest.mark.parametrize(
    "faulty,watched,said",
    [
        (0, 0, "not watched"),
        (0, 1, "good in the one watched"),
        (0, 5, "good in all 5 watched"),
        (3, 12, "faulty in 3 of 12 watched"),
    ],
)
def test_a_checkpoint_is_said_as_counts(faulty, watched, said) -> None:
    assert plain(words.watched_words(faulty, watched)) == said


@pytest.mark.parametrize(
    "squads,said",
    [
        ((), "Quarry Track"),
        (("Terns",), "Terns at Quarry Track"),
        (("Swifts", "Terns"), "Swifts and Terns at Quarry Track"),
    ],
)
def test_squads_and_venue_are_told_apart(squads, said) -> None:
    assert words.where_words(squads, "Quarry Track") == said


@pytest.mark.parametrize("days,said", [(None, "not seen yet"), (1, "1 day"), (19, "19 days")])
def test_how_long_somebody_is_away(days, said) -> None:
    assert words.away_words(days) == said


@pytest.mark.parametrize("gap,said", [(0, "today"), (1, "yesterday"), (2, "2 days ago")])
def test_how_long_ago_a_day_was(gap, said) -> None:
    assert words.ago_words(DAY - timedelta(days=gap), DAY) == said


def test_a_week_is_named_within_one_month_and_across_two() -> None:
    assert words.week_words([date(2026, 3, 2), date(2026, 3, 8)]) == "2 to 8 March"
    assert words.week_words([date(2026, 3, 30), date(2026, 4, 5)]) == "30 March to 5 April"


@pytest.mark.parametrize("until,clearance,tells,said", [
    (date(2026, 12, 4), False, False, "until 4 December."), (None, False, False, "until further notice."),
    (date(2026, 12, 4), True, True, "until a written clearance lifts it."),
    (date(2026, 12, 4), True, False, "until further notice."),
])  # fmt: skip
def test_a_restriction_says_until_when(until, clearance, tells, said) -> None:
    assert words.restriction_sentence("Walking drills only", until, clearance, tells) == f"Walking drills only, {said}"


def test_a_left_hander_takes_off_from_the_right_and_stands_mirrored() -> None:
    assert "your right foot" in reader_words.foot_sentence("left", 3)
    assert reader_words.foot_sentence("left", 3).endswith("your third-last, a left.")
    assert reader_words.foot_sentence("right", 3).endswith("your third-last, a right.")
    assert "marked" not in reader_words.foot_sentence("right", None)


@pytest.mark.parametrize("done,said", [(0, "0 turns"), (1, "1 turn"), (2, "2 turns"), (12, "12 turns")])
def test_turns_are_counted(done, said) -> None:
    assert reader_words.turns_words(done) == said


@pytest.mark.parametrize("came,practices,said", [
    (1, 1, "Kalea came to the last practice."), (0, 1, "Kalea was not at the last practice."),
    (0, 2, "Kalea came to none of the last 2 practices."), (1, 2, "Kalea came to 1 of the last 2 practices."),
    (9, 10, "Kalea came to 9 of the last 10 practices."),
])  # fmt: skip
def test_a_parent_reads_how_often_their_child_came(came, practices, said) -> None:
    assert plain(reader_words.came_sentence("Kalea", came, practices)) == said


def test_a_parent_reads_each_trade_word_once_in_the_order_of_the_run() -> None:
    meanings = reader_words.phase_meanings(["plant", "drop", "plant"])
    assert [meaning.split(":")[0] for meaning in meanings] == ["The drop", "The plant"]
    assert len(reader_words.phase_meanings(["all"])) == 4
    assert reader_words.phase_meanings([]) == []
