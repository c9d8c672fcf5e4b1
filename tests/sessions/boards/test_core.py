"""Figures of the boards: the week line, the last reps, cells and their order."""

from datetime import UTC, date, datetime, time, timedelta
from uuid import uuid4

import pytest

from athletes.core.standing import Standing
from drills.core.strip import Strip
from sessions.boards import core
from sessions.boards.core import Cell, CellState, DayFigures, Figures, Plan, Row

DAY = date(2026, 3, 4)
NOTHING = {"cancelled": False, "published": False, "blocks": 0, "came": 0, "done": 0}


@pytest.mark.parametrize(
    "given,yesterday,tomorrow",
    [
        ({}, Plan.NOT_HELD, Plan.NO_PLAN),
        ({"blocks": 2}, Plan.NOT_HELD, Plan.DRAFT),
        ({"published": True}, Plan.HELD, Plan.PUBLISHED),
        ({"came": 1}, Plan.HELD, Plan.NO_PLAN),
        ({"done": 1}, Plan.HELD, Plan.NO_PLAN),
        ({"published": True, "cancelled": True}, Plan.CANCELLED, Plan.CANCELLED),
    ],
)
def test_a_practice_stands_where_its_day_and_its_plan_put_it(given, yesterday, tomorrow) -> None:
    assert core.plan_of(DAY - timedelta(days=1), DAY, **{**NOTHING, **given}) is yesterday
    assert core.plan_of(DAY, DAY, **{**NOTHING, **given}) is tomorrow
    assert core.plan_of(DAY + timedelta(days=1), DAY, **{**NOTHING, **given}) is tomorrow


def test_a_week_runs_from_monday_to_sunday_whatever_day_names_it() -> None:
    week = core.week_of(date(2026, 3, 4))
    assert (week[0], week[-1], len(week)) == (date(2026, 3, 2), date(2026, 3, 8), 7)
    assert all(core.week_of(day) == week for day in week)


def test_a_practice_is_over_at_its_own_wall_time_on_both_sides_of_a_clock_change() -> None:
    # London leaves summer time on 25 October 2026 at 01:00 UTC.
    before, after = date(2026, 10, 24), date(2026, 10, 25)
    assert core.is_over(before, time(19), "Europe/London", datetime(2026, 10, 24, 18, 0, tzinfo=UTC))
    assert not core.is_over(after, time(19), "Europe/London", datetime(2026, 10, 25, 18, 59, tzinfo=UTC))
    assert core.is_over(after, time(19), "Europe/London", datetime(2026, 10, 25, 19, 0, tzinfo=UTC))


def test_the_last_reps_are_whole_days_until_there_are_fifteen() -> None:
    days = [DayFigures(DAY - timedelta(days=n), 8, 7 - n) for n in range(4)]
    found = core.recent_reps(days)
    assert (found.good, found.counted, found.days, found.last) == (13, 16, 2, DAY)


def test_days_without_a_counted_rep_do_not_count_as_days() -> None:
    found = core.recent_reps([DayFigures(DAY, 0, 0), DayFigures(DAY - timedelta(days=2), 3, 3)])
    assert (found.counted, found.days, found.last) == (3, 1, DAY - timedelta(days=2))
    assert core.recent_reps([]) == core.RecentReps(0, 0, 0, None)


@pytest.mark.parametrize("days,away", [(9, False), (10, True), (11, True)])
def test_ten_days_make_long_away_if_a_practice_was_held_since(days, away) -> None:
    seen = DAY - timedelta(days=days)
    assert core.is_long_away(seen, DAY - timedelta(days=90), DAY - timedelta(days=1), DAY) is away
    assert not core.is_long_away(seen, DAY - timedelta(days=90), seen, DAY)
    assert not core.is_long_away(seen, DAY - timedelta(days=90), None, DAY)


def test_who_never_came_is_missed_from_the_day_they_joined() -> None:
    assert core.is_long_away(None, DAY - timedelta(days=10), DAY - timedelta(days=1), DAY)
    assert not core.is_long_away(None, DAY - timedelta(days=3), DAY - timedelta(days=1), DAY)


def figures(advice: str, reps: int = 12) -> Figures:
    return Figures(advice, 0.4, 0.6, 0.8, reps, 3)


@pytest.mark.parametrize("state", ["too little seen", "keep on", "easier drill"])
def test_a_cell_shows_the_advice(state) -> None:
    assert core.cell_state(figures(state), Standing.OPEN, held=False, leads_on=True) == state


def test_a_settled_drill_is_ahead_only_while_it_leads_on() -> None:
    assert core.cell_state(figures("settled"), Standing.OPEN, held=False, leads_on=True) is CellState.AHEAD
    assert core.cell_state(figures("settled"), Standing.OPEN, held=False, leads_on=False) is CellState.SETTLED


def test_a_restriction_lies_over_everything_else() -> None:
    assert core.cell_state(figures("settled"), Standing.OPEN, held=True, leads_on=True) is CellState.HELD
    assert core.cell_state(None, Standing.NOT_OPEN, held=True, leads_on=False) is CellState.HELD
    assert core.cell_state(None, Standing.NOT_OPEN, held=False, leads_on=False) is CellState.UNTRIED


@pytest.mark.parametrize(
    "standing,state",
    [
        (Standing.OPEN, CellState.NO_REPS),
        (Standing.NOT_OPEN, CellState.UNTRIED),
        (Standing.CLOSED_AGAIN, CellState.UNTRIED),
        (Standing.SETTLED, CellState.SETTLED),
    ],
)
def test_without_a_counted_rep_a_cell_shows_where_the_athlete_stands(standing, state) -> None:
    assert core.cell_state(None, standing, held=False, leads_on=False) is state
    assert core.cell_state(figures("no reps yet", reps=0), standing, held=False, leads_on=False) is state


def test_what_was_settled_stays_settled_while_its_figures_fade_unless_they_speak_for_an_easier_drill() -> None:
    assert core.cell_state(figures("keep on"), Standing.SETTLED, held=False, leads_on=False) is CellState.SETTLED
    easier = core.cell_state(figures("easier drill"), Standing.SETTLED, held=False, leads_on=False)
    assert easier is CellState.EASIER_DRILL


def row(name: str, *states: CellState) -> Row:
    cells = tuple(
        Cell(f"drill-{n}", state, None if state is CellState.UNTRIED else figures("keep on"), False, "")
        for n, state in enumerate(states)
    )
    return Row(uuid4(), name, "", cells)


def test_rows_stand_furthest_first_and_in_order_of_names_where_equal() -> None:
    done, work, blank = CellState.SETTLED, CellState.KEEP_ON, CellState.UNTRIED
    rows = [row("Zoe", work, blank), row("Ada", work, work), row("Bo", work, work), row("Cy", done, blank)]
    columns = [core.Column(f"drill-{n}", "", "", Strip("", "", "box"), "Walking", 2, n == 0) for n in range(2)]
    board = core.assemble(columns, rows)
    assert [one.name for one in board.rows] == ["Cy", "Ada", "Bo", "Zoe"]
    assert board.counts == {done: 1, work: 5, blank: 2}
    assert board.in_work == (3, 2)
    assert [(head.number, head.drills) for head in board.stages] == [(2, 2)]


def test_a_stamp_changes_with_anything_shown() -> None:
    assert core.stamp(figures("keep on")) == core.stamp(figures("keep on"))
    assert core.stamp(figures("keep on")) != core.stamp(figures("keep on", reps=13))
