"""Practices as a list and one by one, and what a practice can be made of."""

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date, datetime
from enum import StrEnum
from typing import Any
from uuid import UUID

from django.db.models import Count, Q, QuerySet
from django.utils.translation import gettext as _

from athletes.models import Athlete, Squad
from club.members import Member
from club.models import Membership, Person, Venue
from drills.models import Checkpoint
from sessions.practices.core.clock import instant
from sessions.practices.models import Practice


class State(StrEnum):
    DRAFT = "draft"
    PUBLISHED = "published"
    CANCELLED = "cancelled"
    RELEASED = "released"


def state(practice: Practice) -> State:
    """What stands: cancelled hides all else, released comes after published."""
    if practice.cancelled_at:
        return State.CANCELLED
    if practice.released_at:
        return State.RELEASED
    return State.PUBLISHED if practice.published_at else State.DRAFT


def starts_at(practice: Practice) -> datetime:
    return instant(practice.day, practice.starts, practice.zone)


def ends_at(practice: Practice) -> datetime:
    return instant(practice.day, practice.ends, practice.zone)


def is_expected(member: Member, athlete: Athlete, practice: Practice) -> bool:
    """In one of its squads, a guest, noted there, or with a place in its plan."""
    ways = (
        Q(squads__athletes=athlete)
        | Q(guests=athlete)
        | Q(attendances__athlete=athlete)
        | Q(blocks__assignments__athlete=athlete)
    )
    return Practice.objects.for_member(member).filter(ways, pk=practice.pk).exists()


def upcoming(member: Member, today: date) -> QuerySet[Practice]:
    """Today's and later ones, the next first."""
    return _rows(member).filter(day__gte=today).order_by("day", "starts", "pk")


def past(member: Member, today: date) -> QuerySet[Practice]:
    """Before today, the last first."""
    return _rows(member).filter(day__lt=today).order_by("-day", "-starts", "pk")


def _rows(member: Member) -> QuerySet[Any]:
    return (
        Practice.objects.for_member(member)
        .select_related("venue", "focus")
        .prefetch_related("squads")
        .annotate(planned=Count("blocks", distinct=True))
    )


def later_of_series(member: Member, practice: Practice) -> QuerySet[Practice]:
    """Those of its series that come after it and are not over; none where it does not repeat."""
    rows = Practice.objects.for_member(member)
    if practice.series is None:
        return rows.none()
    return rows.filter(series=practice.series, day__gt=practice.day, released_at__isnull=True)


def cancelled_with(member: Member, practice: Practice) -> QuerySet[Practice]:
    """The others of its series that were cancelled in the same act."""
    rows = Practice.objects.for_member(member).exclude(pk=practice.pk)
    if practice.series is None or practice.cancelled_at is None:
        return rows.none()
    return rows.filter(series=practice.series, cancelled_at=practice.cancelled_at).order_by("day", "starts", "pk")


@dataclass(frozen=True, slots=True)
class Line:
    """A practice in a list. came: athletes; blocks: of the plan."""

    practice: Practice
    state: State
    squads: str
    came: int
    blocks: int


def lines(practices: Iterable[Any]) -> list[Line]:
    """Two queries for who came."""
    practices = list(practices)
    who = who_came(practices)
    return [
        Line(row, state(row), ", ".join(squad.name for squad in row.squads.all()), len(who[row.pk]), row.planned)
        for row in practices
    ]


def who_came(practices: Iterable[Practice]) -> dict[UUID, set[UUID]]:
    """Athletes by practice: whoever was noted as here, late or taken out, and whoever has done a rep. Two queries.

    The practices came through a door.
    """
    found: dict[UUID, set[UUID]] = {practice.pk: set() for practice in practices}
    noted = Q(attendances__state__in=["here", "late", "out"])
    did = Q(reps__state__in=["counts", "waits"])
    for which, name in ((noted, "attendances__athlete"), (did, "reps__athlete")):
        rows = Practice.objects.filter(which, pk__in=list(found)).order_by().values_list("pk", name).distinct()
        for practice, athlete in rows:
            found[practice].add(athlete)
    return found


def venues(member: Member) -> QuerySet[Venue]:
    return Venue.objects.for_member(member).order_by("name")


def squads(member: Member) -> QuerySet[Squad]:
    return Squad.objects.for_member(member).order_by("name")


def checkpoints(member: Member) -> QuerySet[Checkpoint]:
    return Checkpoint.objects.for_member(member).filter(retired=False)


def adults(member: Member) -> QuerySet[Person]:
    """Adults with a level: who counts at a practice."""
    rows = Membership.objects.for_member(member).filter(left_on__isnull=True).exclude(adult_level="")
    return _people(member, rows)


def runners(member: Member) -> QuerySet[Person]:
    """Who may stand at a station: adults with a level, and helpers, who never count as adults."""
    rows = Membership.objects.for_member(member).filter(left_on__isnull=True)
    return _people(member, rows.filter(~Q(adult_level="") | Q(role=Membership.RoleChoice.HELPER)))


def level_words(member: Member) -> dict[object, str]:
    """The highest level that each adult holds, and of helpers that they count as no adult. One query."""
    rows = Membership.objects.for_member(member).filter(left_on__isnull=True)
    wanted = rows.filter(~Q(adult_level="") | Q(role=Membership.RoleChoice.HELPER))
    words = {str(level): str(level.label) for level in Membership.AdultLevel}
    ranks = ["", *reversed(words)]
    held: dict[object, str] = {}
    for person, level in wanted.values_list("person_id", "adult_level"):
        held[person] = max(level, held.get(person, ""), key=ranks.index)
    return {person: words.get(level) or _("a helper, counts as no adult") for person, level in held.items()}


def _people(member: Member, rows: QuerySet[Membership]) -> QuerySet[Person]:
    people = Person.objects.for_member(member).filter(pk__in=rows.values("person"))
    return people.order_by("given_name", "family_name", "pk")
