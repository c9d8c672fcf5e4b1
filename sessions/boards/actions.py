"""What an athlete writes on their own page, and what its readers are told of a move."""

from datetime import date, datetime

from django.db import transaction
from django.utils.translation import gettext as _
from django.utils.translation import gettext_noop

from athletes.models import Athlete
from club import audit
from club.members import Member
from sessions.boards.models import MovedFrom, SelfCheck
from sessions.boards.queries import answers
from sessions.practices.changes import Slot
from sessions.practices.models import Practice


class NotNow(Exception):
    """It cannot be answered now, with the reason in words."""


def answer_self_check(
    *, by: Member, athlete: Athlete, practice: Practice, feel: str, words: str, now: datetime
) -> None:
    """Answers the question about that practice, or answers it anew. Raises NotNow."""
    if not answers.may_answer(practice, now):
        raise NotNow(_("The question is open from the end of a practice for a week."))
    values = {"club": by.club, "feel": feel, "words": words, "at": now}
    with transaction.atomic():
        SelfCheck.objects.update_or_create(practice=practice, athlete=athlete, defaults=values)
        audit.note(by, gettext_noop("answered the question after a practice"), athlete, {"feel": feel, "words": words})


def note_move(*, by: Member, practice: Practice, was: Slot) -> None:
    """Keeps where its readers knew it to be; moved twice, it is the first; moved back, nothing is left to say.

    Runs inside the transaction of the move, which wrote the audit.
    """
    row, _made = MovedFrom.objects.get_or_create(
        practice=practice, defaults={"club": by.club, "venue": was.venue, "day": was.day, "starts": was.starts}
    )
    if (row.venue_id, row.day, row.starts) == (practice.venue_id, practice.day, practice.starts):
        row.delete()


def note_table(*, by: Member, table: str, since: date | None, until: date | None) -> None:
    """Records that a table about children was handed out: which, and of which days."""
    days = {"since": since and since.isoformat(), "until": until and until.isoformat()}
    with transaction.atomic():
        audit.note(by, gettext_noop("took out a table"), by.club, {"table": table, **days})
