"""Adults check in and out. Athletes' attendance comes from events and is not written here."""

from datetime import datetime

from django.db import transaction
from django.utils.translation import gettext as _
from django.utils.translation import gettext_noop

from club import audit
from club.members import Member
from club.models import Person
from sessions.practices.actions.errors import NotNow
from sessions.practices.models import AdultPresence, Practice
from sessions.practices.queries.plan import adult_levels


def check_in(*, by: Member, practice: Practice, person: Person, now: datetime) -> None:
    """The adult is there, or there again. Raises NotNow for somebody who holds no adult level."""
    if person.pk not in adult_levels(by, [person.pk]):
        raise NotNow(_("%(name)s holds no adult level in this club.") % {"name": person.given_name})
    with transaction.atomic():
        row, made = AdultPresence.objects.get_or_create(
            practice=practice, person=person, defaults={"club": by.club, "came_at": now}
        )
        rows = AdultPresence.objects.for_member(by).filter(pk=row.pk)
        back = rows.filter(left_at__isnull=False).update(left_at=None)
        came = rows.filter(came_at__isnull=True).update(came_at=now)
        if made or back or came:
            audit.note(by, gettext_noop("checked an adult in"), practice, {"person": str(person.pk)})


def check_out(*, by: Member, practice: Practice, person: Person, now: datetime) -> None:
    """The adult has left. Raises NotNow if they were not there."""
    with transaction.atomic():
        rows = AdultPresence.objects.for_member(by).filter(practice=practice, person=person)
        if not rows.filter(came_at__isnull=False, left_at__isnull=True).update(left_at=now):
            raise NotNow(_("%(name)s is not checked in.") % {"name": person.given_name})
        audit.note(by, gettext_noop("checked an adult out"), practice, {"person": str(person.pk)})
