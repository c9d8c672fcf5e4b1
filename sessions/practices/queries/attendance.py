"""Who is there: adults, as they check in and out here, and athletes, as their events say."""

from dataclasses import dataclass

from django.utils.translation import gettext as _

from club.members import Member
from club.models import Person
from drills.core.catalogue import AdultLevel
from sessions.practices.core.rules import ADULTS_ON_SITE
from sessions.practices.models import AdultPresence, Attendance, Practice
from sessions.practices.queries import calendar
from sessions.practices.queries.plan import adult_levels, attendance_states, cannot_come, expected, labels


@dataclass(frozen=True, slots=True)
class AdultLine:
    """An adult of the club. presence None: not named for this practice. level: the highest held."""

    person: Person
    level: AdultLevel | None
    presence: AdultPresence | None

    @property
    def here(self) -> bool:
        return bool(self.presence and self.presence.came_at and not self.presence.left_at)


@dataclass(frozen=True, slots=True)
class AthleteLine:
    athlete_id: object
    label: str
    state: str
    words: str


@dataclass(frozen=True, slots=True)
class Attendances:
    adults: tuple[AdultLine, ...]
    athletes: tuple[AthleteLine, ...]
    came: int = 0

    @property
    def adults_here(self) -> int:
        return sum(line.here for line in self.adults)

    @property
    def floor_only(self) -> bool:
        """Fewer than two adults are checked in."""
        return self.adults_here < ADULTS_ON_SITE


def adults_here(member: Member, practice: Practice) -> int:
    """How many adults are checked in now."""
    rows = AdultPresence.objects.for_member(member).filter(practice=practice)
    return rows.filter(came_at__isnull=False, left_at__isnull=True).count()


def attendances(member: Member, practice: Practice) -> Attendances:
    rows = AdultPresence.objects.for_member(member).filter(practice=practice).select_related("person")
    presences = {row.person_id: row for row in rows}
    people = list(calendar.adults(member))
    levels = adult_levels(member, [person.pk for person in people])
    athletes = expected(member, practice)
    named, states = labels(athletes), attendance_states(member, practice)
    away = cannot_come(member, practice)
    return Attendances(
        tuple(AdultLine(person, levels.get(person.pk), presences.get(person.pk)) for person in people),
        tuple(
            AthleteLine(a.pk, named[a.pk], states.get(a.pk, ""), _words(states.get(a.pk, ""), a.pk in away))
            for a in athletes
        ),
        len(calendar.who_came([practice])[practice.pk]),
    )


def _words(state: str, away: bool) -> str:
    """What was recorded there; before that, what was said beforehand."""
    said = _("said beforehand that they cannot come") if away else ""
    return str(Attendance.State(state).label) if state else said
