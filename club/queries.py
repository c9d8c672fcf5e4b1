"""Reads of the club's own rows."""

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import datetime
from uuid import UUID

from django.apps import apps
from django.db.models import F, QuerySet

from club.members import Member
from club.models import AuditEntry, Club, Duty, Heartbeat, Membership, Person
from club.roles import Role, may_make_link
from club.subjects import public_id


@dataclass(frozen=True, slots=True)
class PersonRow:
    person: Person
    roles: list[str]
    may_have_link: bool


@dataclass(frozen=True, slots=True)
class Change:
    """An entry of the audit. subject: its name, empty once it is gone."""

    entry: AuditEntry
    subject: str


def people(member: Member) -> list[PersonRow]:
    """Everybody in the club with their roles, by name."""
    rows = Membership.objects.for_member(member).filter(left_on__isnull=True).select_related("person")
    found: dict[Person, list[Membership]] = {}
    for row in rows.order_by("person__given_name", "person__family_name", "role"):
        found.setdefault(row.person, []).append(row)
    roles = roles_by_club([member.person, *found])
    mine = roles.get(member.person.pk, {})
    return [
        PersonRow(
            person,
            [str(row.get_role_display()) for row in held],
            stands_above(mine, roles[person.pk]),
        )
        for person, held in found.items()
    ]


RolesByClub = dict[UUID, frozenset[Role]]


def roles_by_club(people: Iterable[Person]) -> dict[UUID, RolesByClub]:
    """By person and club, the roles they hold now. One query."""
    rows = Membership.objects.filter(person__in=[person.pk for person in people], left_on__isnull=True)
    found: dict[UUID, RolesByClub] = {}
    for person_id, club_id, role in rows.values_list("person_id", "club_id", "role"):
        clubs = found.setdefault(person_id, {})
        clubs[club_id] = clubs.get(club_id, frozenset()) | {Role(role)}
    return found


def may_hand_link(maker: Person, holder: Person) -> bool:
    """May the maker hand the holder a sign-in link? It opens all of the holder's clubs, so they must be the maker's."""
    roles = roles_by_club([maker, holder])
    return stands_above(roles.get(maker.pk, {}), roles.get(holder.pk, {}))


def stands_above(maker: RolesByClub, holder: RolesByClub) -> bool:
    """Whether the maker may make a link for all roles of the holder, club by club."""
    return bool(holder) and all(may_make_link(maker.get(club, frozenset()), held) for club, held in holder.items())


def find_person(member: Member, person_id: object) -> Person | None:
    """A person who is a member of this club now."""
    row = Membership.objects.for_member(member).filter(person_id=person_id, left_on__isnull=True).first()
    return row.person if row else None


def clubs_of(person: Person) -> list[Club]:
    """The clubs a person is a member of now, by name."""
    rows = Membership.objects.filter(person=person, left_on__isnull=True).select_related("club")
    return sorted({row.club for row in rows}, key=lambda club: club.name)


def heartbeats() -> dict[str, datetime]:
    """When each queue's worker last drained it."""
    return {beat.queue: beat.at for beat in Heartbeat.objects.all()}


def changes(member: Member) -> QuerySet[AuditEntry]:
    return AuditEntry.objects.for_member(member).select_related("by").order_by("-at", "-pk")


def with_subjects(member: Member, entries: Iterable[AuditEntry]) -> list[Change]:
    """Entries with the names of their subjects, one query for each kind of subject. Erased ones have none."""
    entries = list(entries)
    ids: dict[str, set[str]] = {}
    for entry in entries:
        ids.setdefault(entry.subject_kind, set()).add(entry.subject_id)
    names = {kind: _names(member, kind, wanted) for kind, wanted in ids.items()}
    return [Change(entry, names[entry.subject_kind].get(entry.subject_id, "")) for entry in entries]


def _names(member: Member, kind: str, wanted: set[str]) -> dict[str, str]:
    model = apps.get_model(kind)
    key = "uuid" if any(field.name == "uuid" for field in model._meta.concrete_fields) else "pk"
    rows = model._default_manager.for_member(member).filter(**{f"{key}__in": wanted})  # type: ignore[attr-defined]
    return {public_id(row): str(row) for row in rows}


def open_duties(member: Member) -> QuerySet[Duty]:
    """Duties not yet done, the failed ones first."""
    return Duty.objects.for_club(member.club).filter(done__lt=F("asked")).order_by("-failures", "due_at")
