"""Figures are not in a club's archive: they are worked out again from its reps."""

from datetime import date

from athletes.actions import standing
from club import archive
from club.models import Club
from sessions.trends import actions
from sessions.trends.models import DayCheckpoint, DayDrill, DayFault, DayPair

archive.leave_out("worked out again from the reps", DayDrill, DayCheckpoint, DayFault, DayPair)


@archive.after_loading("figures")
def work_them_out(club: Club) -> None:
    """Leaves the duties; a worker does them."""
    actions.ask_for_pairs(club)
    standing.ask_for_everybody(club=club, since=date.min)
