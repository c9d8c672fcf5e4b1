"""Opening, closing and settling by risk class, case by case."""

from datetime import date, timedelta
from uuid import UUID

import pytest

from athletes.core.gates import lost_openings, need_tests, standing, standings, to_ask
from athletes.core.opening import replay
from athletes.core.progression import Drill, Edition, Editions, Progression, Risk, UnknownDrill
from athletes.core.standing import Book, ChangeKind, ClosedBy, DecisionKind, Lack, OpenedBy, SettledBy, Standing
from tests.athletes.opening_stream import DEFAULTS, PROGRESSION, START, replayed, stream

TOUCH, PLACE, EASIER, START_OVER = (
    DecisionKind.TOUCH,
    DecisionKind.PLACE,
    DecisionKind.EASIER_DRILL,
    DecisionKind.START_OVER,
)
# Placed at "run", which settles by figures over two days.
RUN_SETTLED = [(0, "run", PLACE), (0, "run", "1" * 8), (3, "run", "1" * 8)]
WALL_OPEN = [*RUN_SETTLED, (3, "wall", TOUCH)]


def now(drill: str, *parts, progression=PROGRESSION) -> Standing:
    return standing(replayed(*parts, progression=progression).book, drill, progression)


# Floor


@pytest.mark.parametrize(
    ("marks", "expected"),
    [
        ("1111", Standing.NOT_OPEN),
        ("01111", Standing.OPEN),
        ("11011", Standing.OPEN),
        ("11110", Standing.NOT_OPEN),
        ("10101", Standing.NOT_OPEN),
        ("--1111-", Standing.NOT_OPEN),
        ("0001111", Standing.OPEN),
    ],
)
def test_a_drill_opens_through_a_floor_drill_at_four_of_five_with_the_last_one_good(marks, expected):
    assert now("drop", (0, "hold", marks)) is expected


def test_a_beginner_walks_through_the_floor_drills_in_one_practice():
    parts = [(0, "hold", "11111"), (0, "drop", "11111"), (0, "walk", "11111")]
    assert now("jog", *parts) is Standing.OPEN


def test_a_drill_without_needs_is_open_and_an_unknown_one_is_refused():
    assert now("hold") is Standing.OPEN
    with pytest.raises(UnknownDrill):
        replayed((0, "cartwheel", "1"))


def test_every_need_must_be_met():
    opened = [(0, "walk", PLACE), (0, "drop", PLACE), (0, "walk", "11111")]
    assert now("jog", *opened) is Standing.NOT_OPEN
    assert now("jog", *opened, (0, "drop", "11111")) is Standing.OPEN


def test_nothing_opens_through_a_drill_that_is_not_open_itself():
    assert now("walk", (0, "drop", "11111")) is Standing.NOT_OPEN


def test_what_was_already_shown_opens_the_drill_after_the_next_as_soon_as_the_next_opens():
    parts = [(0, "drop", "11111"), (0, "hold", "11111")]
    assert [now(drill, *parts) for drill in ("drop", "walk")] == [Standing.OPEN, Standing.OPEN]


# The warm-up check


@pytest.mark.parametrize(
    ("later", "expected"),
    [
        ([(1, "hold", "00")], Standing.CLOSED_AGAIN),
        ([(1, "hold", "0"), (2, "hold", "1"), (3, "hold", "0")], Standing.CLOSED_AGAIN),
        ([(0, "hold", "000")], Standing.OPEN),
        ([(1, "hold", "11000")], Standing.OPEN),
        ([(1, "hold", "--0-"), (2, "hold", "0")], Standing.CLOSED_AGAIN),
        ([(1, "drop", "1"), (2, "drop", "1"), (3, "drop", "1"), (4, "hold", "00")], Standing.OPEN),
        ([(1, "drop", "1"), (2, "drop", "1"), (3, "hold", "00")], Standing.CLOSED_AGAIN),
        ([(1, "drop", TOUCH), (1, "hold", "00")], Standing.OPEN),
    ],
)
def test_two_bad_of_the_first_three_in_the_next_three_practices_close_what_figures_opened(later, expected):
    assert now("drop", (0, "hold", "11111"), *later) is expected


def test_a_check_that_passes_or_lapses_is_told():
    passed = replayed((0, "hold", "11111"), (1, "hold", "101")).changes
    lapsed = replayed((0, "hold", "11111"), *[(day, "drop", "1") for day in (1, 2, 3, 4)]).changes
    assert [(c.kind, c.through) for c in passed[1:]] == [(ChangeKind.CHECK_PASSED, "hold")]
    assert [(c.kind, c.through) for c in lapsed[1:]] == [(ChangeKind.CHECK_LAPSED, "hold")]


def test_what_opened_through_the_closing_drill_closes_with_it_while_its_own_check_runs():
    done = replayed((0, "hold", "11111"), (0, "drop", "11111"), (1, "hold", "00"))
    closed = [(c.drill, c.by, c.through) for c in done.changes if c.kind is ChangeKind.CLOSED]
    assert closed == [("drop", ClosedBy.WARM_UP_CHECK, "hold"), ("walk", ClosedBy.BELOW, "drop")]


def test_a_closed_drill_opens_again_by_figures_and_is_checked_again():
    parts = [(0, "hold", "11111"), (1, "hold", "001111")]
    assert now("drop", *parts) is Standing.OPEN
    assert now("drop", *parts, (2, "hold", "00")) is Standing.CLOSED_AGAIN


# Moving


def test_a_drill_opens_through_a_moving_drill_by_the_low_end_and_the_weight_of_evidence():
    # Eight decayed reps weigh 8 at the earliest after ten: 1 / (1 − f) · (1 − f^n) ≥ 8 with f = 2^(−1/15).
    assert now("run", (0, "jog", PLACE), (0, "jog", "1" * 9)) is Standing.NOT_OPEN
    assert now("run", (0, "jog", PLACE), (0, "jog", "1" * 10)) is Standing.OPEN
    assert now("run", (0, "jog", PLACE), (0, "jog", "10" * 15)) is Standing.NOT_OPEN


def test_the_head_coach_opens_floor_and_moving_drills_by_touch_and_nobody_else_does():
    assert now("run", (0, "run", TOUCH)) is Standing.OPEN
    done = replayed((0, "run", "not head coach"))
    assert standing(done.book, "run", PROGRESSION) is Standing.NOT_OPEN
    assert [c.kind for c in done.changes] == [ChangeKind.REFUSED]


# Settled


def test_settled_begins_when_the_advice_first_says_so_and_stays_through_bad_reps_and_time():
    assert now("run", *RUN_SETTLED, (3, "run", "000"), (400, "run", "0")) is Standing.SETTLED


@pytest.mark.parametrize("decision", [EASIER, START_OVER])
def test_easier_drill_and_start_over_end_settled(decision):
    assert now("run", *RUN_SETTLED, (3, "run", decision)) is Standing.OPEN


def test_the_coach_may_settle_a_drill_against_the_advice():
    book = replayed((0, "run", PLACE), (0, "run", "1"), (0, "run", DecisionKind.SETTLED)).book
    assert standing(book, "run", PROGRESSION) is Standing.SETTLED
    assert book.track("run").settled_by is SettledBy.COACH


def test_keep_on_changes_nothing_legal():
    assert now("run", *RUN_SETTLED, (3, "run", DecisionKind.KEEP_ON)) is Standing.SETTLED


# Contact


def test_figures_alone_never_open_a_contact_drill_they_only_ask_the_head_coach():
    book = replayed(*RUN_SETTLED).book
    assert standing(book, "wall", PROGRESSION) is Standing.NOT_OPEN
    assert to_ask(book, PROGRESSION, DEFAULTS) == ("wall",)


def test_the_head_coachs_touch_opens_a_contact_drill_whose_entry_drill_is_settled_by_figures():
    done = replayed(*WALL_OPEN)
    assert standing(done.book, "wall", PROGRESSION) is Standing.OPEN
    assert done.changes[-1].by is OpenedBy.CONTACT_TOUCH
    assert all(test.met for test in done.changes[-1].tests)


@pytest.mark.parametrize(
    ("parts", "lack"),
    [
        ([(0, "run", PLACE), (0, "run", "1" * 20)], Lack.NOT_SETTLED),
        ([(0, "run", PLACE), (0, "run", DecisionKind.SETTLED)], Lack.NOT_SETTLED),
        ([*RUN_SETTLED, (3, "run", EASIER)], Lack.NOT_SETTLED),
        ([*RUN_SETTLED, (3, "run", "!" + "1" * 9)], Lack.UNSAFE_LATELY),
        ([*RUN_SETTLED, (3, "run", "!" + "-" * 20)], Lack.UNSAFE_LATELY),
        ([*RUN_SETTLED, (3, "run", "h!"), (3, "run", "h" + "1" * 20)], Lack.UNSAFE_LATELY),
        ([(0, "run", PLACE), (0, "run", "h" + "1" * 8), (3, "run", "h" + "1" * 8)], Lack.NOT_SETTLED),
        ([*RUN_SETTLED, (3, "run", EASIER), (4, "run", "0" * 8), (4, "run", "h" + "1" * 30)], Lack.NOT_SETTLED),
    ],
)
def test_a_touch_that_the_figures_do_not_bear_is_refused_with_what_is_lacking(parts, lack):
    done = replayed(*parts, (4, "wall", TOUCH))
    refused = done.changes[-1]
    assert standing(done.book, "wall", PROGRESSION) is Standing.NOT_OPEN
    assert (refused.kind, refused.tests[0].lacking) == (ChangeKind.REFUSED, (lack,))


def test_ten_counted_reps_after_an_unsafe_one_the_touch_opens_again():
    assert now("wall", *RUN_SETTLED, (3, "run", "!" + "1" * 10), (3, "wall", TOUCH)) is Standing.OPEN


def test_a_later_contact_drill_needs_the_earlier_one_settled_by_figures_too():
    refused = replayed(*WALL_OPEN, (3, "box", TOUCH))
    assert [test.lacking for test in refused.changes[-1].tests] == [(), (Lack.NOT_SETTLED,)]
    wall = [(4, "wall", "1" * 8), (7, "wall", "1" * 8)]
    assert now("box", *WALL_OPEN, *wall, (7, "box", TOUCH)) is Standing.OPEN


@pytest.mark.parametrize(
    ("drill", "what"),
    [("wall", "!"), ("run", "!"), ("run", EASIER), ("wall", EASIER), ("run", START_OVER), ("wall", START_OVER)],
)
def test_what_opens_a_contact_drill_must_also_stay(drill, what):
    assert now("wall", *WALL_OPEN, (4, drill, what)) is Standing.CLOSED_AGAIN


def test_a_contact_drill_closes_when_the_warm_up_check_closes_its_entry_drill():
    short = Progression.of(
        [
            Drill("hold", Risk.FLOOR),
            Drill("run", Risk.MOVING, ("hold",)),
            Drill("wall", Risk.CONTACT, ("run",), entry="run"),
        ]
    )
    parts = [(0, "hold", "11111"), (0, "run", "1" * 8), (1, "run", "1" * 8), (1, "wall", TOUCH)]
    assert now("wall", *parts, progression=short) is Standing.OPEN
    closed = replayed(*parts, (2, "hold", "00"), progression=short).changes[-1]
    assert (closed.drill, closed.by, closed.through) == ("wall", ClosedBy.BELOW, "run")


def test_after_an_unsafe_rep_at_the_wall_each_opening_needs_a_new_touch():
    assert now("wall", *WALL_OPEN, (4, "wall", "!1111111111")) is Standing.CLOSED_AGAIN
    assert now("wall", *WALL_OPEN, (4, "wall", "!"), (4, "wall", TOUCH)) is Standing.OPEN


def test_an_unsafe_rep_leaves_floor_and_moving_drills_open():
    assert now("run", *RUN_SETTLED, (3, "jog", "!"), (3, "run", "!")) is Standing.SETTLED


def test_the_head_coach_may_place_an_athlete_at_contact_and_only_at_the_drill_named():
    parts = [(0, "box", PLACE)]
    assert now("box", *parts) is Standing.OPEN
    assert now("wall", *parts) is Standing.NOT_OPEN
    assert PROGRESSION.placed_below("box") == ("hold", "drop", "walk", "jog", "run")


def test_bad_reps_and_time_alone_do_not_close_a_contact_drill():
    assert now("wall", *WALL_OPEN, (4, "wall", "0" * 20), (4, "run", "0" * 20), (500, "run", "0")) is Standing.OPEN


# The catalogue changes


def test_a_drill_raised_to_contact_after_figures_opened_it_waits_for_the_head_coach():
    raised = Progression.of([Drill("hold", Risk.FLOOR), Drill("drop", Risk.CONTACT, ("hold",), entry="hold")])
    book = replayed((0, "hold", "11111")).book
    assert standing(book, "drop", PROGRESSION) is Standing.OPEN
    assert standing(book, "drop", raised) is Standing.CLOSED_AGAIN


def test_a_need_added_later_does_not_close_what_was_practised():
    edited = Progression.of([Drill("new", Risk.FLOOR), Drill("hold", Risk.FLOOR, ("new",))])
    assert standing(replayed((0, "hold", "1")).book, "hold", edited) is Standing.OPEN
    assert standing(Book(), "hold", edited) is Standing.NOT_OPEN


@pytest.mark.parametrize(
    "drills",
    [
        [Drill("run", Risk.MOVING), Drill("wall", Risk.CONTACT, ("run",), entry="hold")],
        [Drill("run", Risk.MOVING, ("nowhere",))],
        [Drill("run", Risk.MOVING, ("jog",)), Drill("jog", Risk.MOVING, ("run",))],
    ],
)
def test_a_progression_without_meaning_is_refused(drills):
    with pytest.raises(ValueError, match="entry|no drill|round"):
        Progression.of(drills)


# Reading


def test_a_restriction_lays_held_over_the_standing_and_keeps_it():
    shown = standings(replayed(*RUN_SETTLED).book, PROGRESSION, held={"run"})
    assert (shown["run"].standing, shown["run"].held, shown["run"].may_try) == (Standing.SETTLED, True, False)
    assert shown["hold"].may_try and not shown["wall"].may_try


def test_reasons_carry_their_figures():
    test = need_tests(replayed((0, "hold", "10110")).book, "drop", PROGRESSION, DEFAULTS)[0]
    assert (test.need, test.lacking, test.recent) == ("hold", (Lack.TOO_FEW_GOOD,), "10110")


def test_an_opening_lost_to_a_correction_is_found():
    before, after = replayed((0, "hold", "11111")).book, replayed((0, "hold", "11110")).book
    (lost,) = lost_openings(before, after, PROGRESSION)
    assert (lost.drill, lost.opened_by, lost.now) == ("drop", OpenedBy.FIGURES, Standing.NOT_OPEN)
    assert lost_openings(after, before, PROGRESSION) == ()


def test_each_change_names_its_cause():
    opened = replayed((0, "hold", "11111")).changes[0]
    assert (opened.kind, opened.cause.uuid) == (ChangeKind.OPENED, UUID(int=4))


def test_a_contact_drill_that_names_no_entry_drill_opens_by_placement_alone():
    progression = Progression.of([Drill("wall", Risk.CONTACT)])
    touched = replayed((0, "wall", DecisionKind.TOUCH), progression=progression).book
    assert standing(touched, "wall", progression) is Standing.NOT_OPEN
    assert to_ask(touched, progression, DEFAULTS) == ()
    placed = replayed((0, "wall", DecisionKind.PLACE), progression=progression).book
    assert standing(placed, "wall", progression) is Standing.OPEN


def test_what_was_open_by_the_old_needs_stays_open_and_the_rest_goes_by_the_new_ones():
    before = (Drill("hold", Risk.FLOOR), Drill("walk", Risk.FLOOR, ("hold",)), Drill("jog", Risk.FLOOR, ("walk",)))
    after = (*before[:2], Drill("jog", Risk.FLOOR, ("walk", "new")), Drill("new", Risk.FLOOR, ("hold",)))
    changed = Editions([Edition(date.min, before), Edition(START + timedelta(days=1), after)])
    items = stream((0, "hold", "11111"), (0, "walk", "11111"), (1, "hold", "1"), (1, "walk", "1"))
    book = replay({}, START, items, changed, DEFAULTS).book
    assert standing(book, "jog", changed.latest) is Standing.OPEN
    late = stream((0, "hold", "11111"), (0, "walk", "1111"), (1, "walk", "1"))
    assert standing(replay({}, START, late, changed, DEFAULTS).book, "jog", changed.latest) is Standing.NOT_OPEN


def test_a_rep_of_a_drill_from_before_it_was_in_the_progression_is_folded_as_the_drill_came():
    first = (Drill("hold", Risk.FLOOR),)
    changed = Editions(
        [Edition(date.min, first), Edition(START + timedelta(days=9), (*first, Drill("new", Risk.FLOOR)))]
    )
    assert replay({}, START, stream((0, "new", "11")), changed, DEFAULTS).book.track("new").state.reps == 2


def test_a_rep_at_a_contact_drill_that_is_not_open_is_said():
    kinds = [change.kind for change in replayed((0, "wall", "1")).changes]
    assert kinds == [ChangeKind.TRIED_UNOPENED]
