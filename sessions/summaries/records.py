"""The rows of this room that are about a person."""

from club.subjects import Rows, Subject, register
from sessions.summaries.models import Summary


def _nobody_approved_it(rows: Rows) -> None:
    rows.update(approved_by=None)


register(
    Subject(Summary, "athlete__person"),
    Subject(Summary, "approved_by", erase=_nobody_approved_it),
)
