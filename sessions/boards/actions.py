"""What an athlete writes on their own page."""

from datetime import datetime

from django.db import transaction
from django.utils.translation import gettext as _
from django.utils.translation import gettext_noop

from athletes.models import Athlete
from club import audit
from club.members import Member
from sessions.boards.models import SelfCheck
from sessions.boards.queries import answers
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
