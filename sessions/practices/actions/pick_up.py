"""Athletes leave: with a guardian, with somebody else, on their own. Taken back if it was a slip."""

from datetime import datetime

from django.db import IntegrityError, transaction
from django.utils.translation import gettext as _
from django.utils.translation import gettext_noop

from athletes.models import Athlete
from club import audit
from club.members import Member
from club.models import Person
from sessions.practices.actions.errors import NotNow
from sessions.practices.models import Departure, Practice
from sessions.practices.queries.pick_up import Collecting, Warned, collecting

How = Departure.How
LEFT, BARRED = gettext_noop("noted who left"), gettext_noop("let an athlete go with a barred name")


class NameIsBarred(Exception):
    """The club was warned of this name. Nothing was kept: it takes a second act, with a reason."""

    def __init__(self, warned: tuple[Warned, ...]) -> None:
        super().__init__(", ".join(one.name for one in warned))
        self.warned = warned


def leave_with_guardian(
    *, by: Member, practice: Practice, athlete: Athlete, guardian: Person, now: datetime
) -> Departure:
    """Raises NotNow if this guardian may not collect the athlete, or the athlete has left."""
    line = collecting(by, practice, athlete, now)
    if guardian.pk not in {one.pk for one in line.guardians}:
        raise NotNow(_("%(name)s may not collect this athlete.") % {"name": guardian.full_name})
    return _leave(by, practice, line, now, how=How.FAMILY, guardian=guardian)


def leave_with_other(
    *, by: Member, practice: Practice, athlete: Athlete, name: str, now: datetime, despite: str = ""
) -> Departure:
    """Raises NameIsBarred for a name the club was warned of, unless ``despite`` says why all the same; NotNow."""
    line = collecting(by, practice, athlete, now)
    warned = line.matches(name)
    if warned and not despite:
        raise NameIsBarred(warned)
    return _leave(by, practice, line, now, how=How.OTHER, name=name, despite=despite if warned else "")


def leave_alone(*, by: Member, practice: Practice, athlete: Athlete, now: datetime) -> Departure:
    """Raises NotNow where no guardian has agreed to it."""
    line = collecting(by, practice, athlete, now)
    if not line.alone:
        raise NotNow(_("No guardian has agreed that %(name)s leaves on their own.") % {"name": line.label})
    return _leave(by, practice, line, now, how=How.ALONE)


def _leave(by: Member, practice: Practice, line: Collecting, now: datetime, **how: object) -> Departure:
    values = {"club": by.club, "practice": practice, "athlete": line.athlete, "at": now, "by": by.person}
    try:
        with transaction.atomic():
            row = Departure.objects.create(**values, **how)
            said = {"practice": str(practice.pk), "how": row.how, "name": row.name, "despite": row.despite}
            audit.note(by, BARRED if row.despite else LEFT, line.athlete, said)
    except IntegrityError:
        raise NotNow(_("%(name)s has left already.") % {"name": line.label}) from None
    return row


def take_back(*, by: Member, departure: Departure, now: datetime) -> None:
    """The athlete is still here after all. Raises NotNow if it was taken back before."""
    with transaction.atomic():
        rows = Departure.objects.for_member(by).filter(pk=departure.pk, taken_back_at__isnull=True)
        if not rows.update(taken_back_at=now, taken_back_by=by.person):
            raise NotNow(_("This was taken back already."))
        audit.note(by, gettext_noop("took a departure back"), departure.athlete, {"departure": str(departure.pk)})
