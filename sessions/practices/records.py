"""The rows of this room that are about a person."""

from club.subjects import Rows, Subject, register
from sessions.practices.models import AdultPresence, Assignment, Attendance, CannotCome, Station


def _nobody_runs_it(rows: Rows) -> None:
    rows.update(run_by=None)


def _nobody_said_it(rows: Rows) -> None:
    rows.update(by=None)


register(
    Subject(Attendance, "athlete__person"),
    Subject(Assignment, "athlete__person"),
    Subject(CannotCome, "athlete__person"),
    Subject(CannotCome, "by", erase=_nobody_said_it),
    Subject(AdultPresence, "person"),
    Subject(Station, "run_by", erase=_nobody_runs_it),
)
