"""The rows of this room that are about a person."""

from club.subjects import Rows, Subject, register
from sessions.practices.models import (
    AdultPresence,
    Assignment,
    Attendance,
    CannotCome,
    Departure,
    Incident,
    IncidentEntry,
    KitFault,
    PlannedWork,
    Station,
    StationCheck,
)


def _nobody_runs_it(rows: Rows) -> None:
    rows.update(run_by=None)


def _nobody_said_it(rows: Rows) -> None:
    rows.update(by=None)


def _nobody_collected(rows: Rows) -> None:
    rows.update(guardian=None)


register(
    Subject(Attendance, "athlete__person"),
    Subject(Assignment, "athlete__person"),
    Subject(CannotCome, "athlete__person"),
    Subject(CannotCome, "by", erase=_nobody_said_it),
    Subject(AdultPresence, "person"),
    Subject(Station, "run_by", erase=_nobody_runs_it),
    Subject(Departure, "athlete__person"),
    Subject(Departure, "guardian", erase=_nobody_collected),
    Subject(Departure, "by", erase="keep"),
    Subject(Departure, "taken_back_by", erase="keep"),
    Subject(StationCheck, "by", erase="keep"),
    Subject(StationCheck, "ended_by", erase="keep"),
    Subject(KitFault, "by", erase="keep"),
    Subject(KitFault, "mended_by", erase="keep"),
    Subject(IncidentEntry, "incident__athlete__person"),
    Subject(IncidentEntry, "by", erase="keep"),
    Subject(Incident, "athlete__person"),
    Subject(Incident, "opened_by", erase="keep"),
    Subject(PlannedWork, "station__run_by", erase="keep"),  # says only what is done where they stand
)
