"""A practice is wrapped up: whoever looked after it has been through what is left of it."""

from datetime import datetime

from django.db import transaction
from django.utils.translation import gettext as _
from django.utils.translation import gettext_noop

from club import audit
from club.members import Member
from sessions.practices.actions.errors import NotNow
from sessions.practices.models import Practice
from sessions.practices.queries import calendar


def wrap_up(*, by: Member, practice: Practice, now: datetime) -> None:
    """Raises NotNow before it has begun, for one that was cancelled, and when it was done before."""
    if calendar.starts_at(practice) > now:
        raise NotNow(_("It has not begun yet."))
    with transaction.atomic():
        rows = Practice.objects.for_member(by).filter(pk=practice.pk, cancelled_at__isnull=True)
        if not rows.filter(wrapped_at__isnull=True).update(wrapped_at=now):
            raise NotNow(_("It is wrapped up already, or was cancelled."))
        audit.note(by, gettext_noop("wrapped a practice up"), practice)
