"""Athletes of other squads who come to one practice."""

from django.utils.translation import gettext as _
from django.utils.translation import gettext_noop

from athletes.models import Athlete
from club import audit
from club.members import Member
from sessions.practices.actions.errors import NotNow
from sessions.practices.actions.plan import _holding
from sessions.practices.models import Practice


def add_guest(*, by: Member, practice: Practice, athlete: Athlete) -> None:
    """Expected from now on, with their own readiness and restrictions."""
    with _holding(by, practice) as row:
        row.guests.add(athlete)
        audit.note(by, gettext_noop("asked a guest to a practice"), row, {"athlete": str(athlete.pk)})


def remove_guest(*, by: Member, practice: Practice, athlete: Athlete) -> None:
    """Raises NotNow while they have a place in the plan. Who is no guest is none afterwards, and nothing is noted."""
    with _holding(by, practice) as row:
        if athlete.assignments.filter(block__practice=row).exists():
            said = _("%(name)s has places in the plan. Take them out first.")
            raise NotNow(said % {"name": athlete.person.given_name})
        if not row.guests.filter(pk=athlete.pk).exists():
            return
        row.guests.remove(athlete)
        audit.note(by, gettext_noop("took a guest off a practice"), row, {"athlete": str(athlete.pk)})
