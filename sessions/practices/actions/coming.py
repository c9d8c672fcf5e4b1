"""Said beforehand: somebody cannot come, and can after all. The plan, a fill and the stations go by it."""

from datetime import datetime

from django.db import transaction
from django.utils.translation import gettext as _
from django.utils.translation import gettext_noop

from athletes.models import Athlete
from club import audit
from club.members import Member
from sessions.practices.actions.errors import NotNow
from sessions.practices.core.clock import of_age
from sessions.practices.models import CannotCome, Practice
from sessions.practices.queries import calendar


def say_cannot_come(*, by: Member, athlete: Athlete, practice: Practice, now: datetime) -> None:
    """They will not be there. Said twice it holds once. Raises NotNow."""
    _may_say(by, athlete, practice, now)
    with transaction.atomic():
        _row, said = CannotCome.objects.get_or_create(
            practice=practice, athlete=athlete, defaults={"club": by.club, "by": by.person, "at": now}
        )
        if said:
            audit.note(by, gettext_noop("said that somebody cannot come"), athlete, {"practice": str(practice.pk)})


def say_can_come(*, by: Member, athlete: Athlete, practice: Practice, now: datetime) -> None:
    """They will be there after all. Raises NotNow."""
    _may_say(by, athlete, practice, now)
    with transaction.atomic():
        if CannotCome.objects.for_member(by).filter(practice=practice, athlete=athlete).delete()[0]:
            audit.note(
                by, gettext_noop("said that somebody can come after all"), athlete, {"practice": str(practice.pk)}
            )


def _may_say(by: Member, athlete: Athlete, practice: Practice, now: datetime) -> None:
    if by.person.pk == athlete.person_id and not of_age(now.date(), athlete.person.birth_date):
        raise NotNow(_("Under 18 a parent or guardian says it. Ask one of them, or ring your coach."))
    if practice.cancelled_at:
        raise NotNow(_("This practice is cancelled: nobody is expected."))
    if calendar.ends_at(practice) <= now:
        raise NotNow(_("This practice is over."))
    if not calendar.is_expected(by, athlete, practice):
        raise NotNow(_("%(name)s is not expected at this practice.") % {"name": athlete.person.given_name})
