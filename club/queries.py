"""Reads of the club's own rows."""

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date, datetime
from uuid import UUID

from django.apps import apps
from django.db.models import F, Q, QuerySet

from club.core.names import warning_key
from club.members import Member
from club.models import (
    Area,
    AuditEntry,
    BarredContact,
    Club,
    Consent,
    Duty,
    Guardianship,
    Heartbeat,
    Membership,
    Person,
    SignInLink,
    Venue,
)
from club.roles import Role, may_make_link
from club.subjects import public_id
from club.words import safeguarding_words


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


def people(member: Member, wanted: str = "") -> list[PersonRow]:
    """Everybody in the club with their roles, by name; wanted: only those with all of these words in their names."""
    rows = Membership.objects.for_member(member).filter(left_on__isnull=True).select_related("person")
    for word in wanted.split():
        rows = rows.filter(Q(person__given_name__icontains=word) | Q(person__family_name__icontains=word))
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


@dataclass(frozen=True, slots=True)
class PersonFile:
    """What the head coach's page of one person shows. elsewhere: is in another club too, which shares name and birth
    date, so that only the person themselves changes them."""

    person: Person
    roles: list[Membership]
    left: bool
    may_have_link: bool
    elsewhere: bool
    guardians: list[Guardianship]
    wards: list[Guardianship]
    barred: list[BarredContact]
    consents: list[Consent]


def person_file(member: Member, person: Person) -> PersonFile:
    memberships = Membership.objects.for_member(member).filter(person=person)
    ties = Guardianship.objects.for_member(member).select_related("guardian", "child")
    held = [row for row in memberships.order_by("role") if row.left_on is None]
    return PersonFile(
        person=person,
        roles=held,
        left=not held,
        may_have_link=bool(held) and may_hand_link(member.person, person),
        elsewhere=is_elsewhere(member, person),
        guardians=list(ties.filter(child=person).order_by("guardian__given_name", "pk")),
        wards=list(ties.filter(guardian=person).order_by("child__given_name", "pk")),
        barred=list(BarredContact.objects.for_member(member).filter(child=person).order_by("name", "pk")),
        consents=list(
            Consent.objects.for_member(member)
            .filter(person=person)
            .select_related("given_by", "person")
            .order_by("-given_on", "pk")
        ),
    )


def vaults(member: Member, person: Person) -> bool:
    """Whether the person is an athlete of the club now."""
    rows = Membership.objects.for_member(member).filter(person=person, left_on__isnull=True)
    return rows.filter(role=Role.ATHLETE).exists()


def is_elsewhere(member: Member, person: Person) -> bool:
    """Whether the person is a member of another club too."""
    return Membership.objects.filter(person=person, left_on__isnull=True).exclude(club=member.club).exists()


def might_guard(member: Member, child: Person, today: date) -> QuerySet[Person]:
    """Persons of the club who are not tied to that child yet, by name. No children: whoever is under 18, or vaults here
    and has no date of birth."""
    tied = Guardianship.objects.for_member(member).filter(child=child).values("guardian")
    held = Membership.objects.for_member(member).filter(left_on__isnull=True)
    grown_up = held.exclude(role=Role.ATHLETE).values("person")
    of_age = Q(birth_date__lte=years_before(today, OF_AGE)) | Q(birth_date__isnull=True, pk__in=grown_up)
    return in_club(member).filter(of_age).exclude(pk=child.pk).exclude(pk__in=tied)


OF_AGE = 18


def years_before(day: date, years: int) -> date:
    """The same day of that earlier year; 28 February for a 29th that it does not have."""
    try:
        return day.replace(year=day.year - years)
    except ValueError:
        return day.replace(year=day.year - years, day=28)


def tied_by_name(member: Member, child: Person, name: str) -> Guardianship | None:
    """A guardian of the child, not barred, whose name may be that one."""
    ties = Guardianship.objects.for_member(member).filter(child=child, barred=False).select_related("guardian")
    return next((tie for tie in ties if warning_key(tie.guardian.full_name) == warning_key(name)), None)


def may_consent_for(member: Member, person: Person, today: date) -> QuerySet[Person]:
    """Who may give a consent for that person: themselves, and guardians with the right to, today."""
    ties = Guardianship.objects.for_member(member).filter(child=person, may_consent=True, barred=False)
    guardians = ties.exclude(until__lt=today).values("guardian")
    return Person.objects.filter(Q(pk=person.pk) | Q(pk__in=guardians)).order_by("given_name", "family_name", "pk")


def in_club(member: Member) -> QuerySet[Person]:
    found = Person.objects.for_member(member)  # type: ignore[attr-defined]
    return found.order_by("given_name", "family_name", "pk")  # type: ignore[no-any-return]


UNDER_CONSENT = 13
"""Younger children need a parent's recorded consent to have an account at all (COPPA)."""


@dataclass(frozen=True, slots=True)
class Invited:
    """Somebody who never signed in. waits: a link was made and not used yet. needs_consent: no link before that."""

    person: Person
    roles: list[str]
    waits: bool
    needs_consent: bool


def never_signed_in(member: Member, now: datetime) -> list[Invited]:
    """Whom a first link may be made for, by name."""
    rows = [row for row in people(member) if row.may_have_link and row.person.last_login is None]
    ids = [row.person.pk for row in rows]
    links = SignInLink.objects.for_member(member).filter(person__in=ids, used_at__isnull=True, revoked_at__isnull=True)
    waiting = set(links.filter(expires_at__gt=now).values_list("person", flat=True))
    lacking = lack_consent(member, [row.person for row in rows], now.date())
    return [Invited(row.person, row.roles, row.person.pk in waiting, row.person.pk in lacking) for row in rows]


def lack_consent(member: Member, people: Iterable[Person], today: date) -> set[UUID]:
    """Ids of those who are too young for an account without a parent's consent, and have none on record in the club."""
    young = {person.pk for person in people if is_under(UNDER_CONSENT, person.birth_date, today)}
    consents = Consent.objects.for_club(member.club).filter(person__in=young, kind=Consent.Kind.ACCOUNT)
    return young - set(consents.filter(withdrawn_on__isnull=True).values_list("person", flat=True))


def is_under(years: int, born: date | None, today: date) -> bool:
    """Whether somebody is younger than that; nobody without a date of birth is."""
    return born is not None and (today.year - born.year - ((today.month, today.day) < (born.month, born.day))) < years


def venues(member: Member) -> QuerySet[Venue]:
    return Venue.objects.for_member(member).order_by("name").prefetch_related("areas")


def areas(member: Member, venue: Venue) -> QuerySet[Area]:
    return Area.objects.for_member(member).filter(venue=venue)


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
    if not hasattr(model._default_manager, "for_member"):  # the club itself, whose name stands on the page anyway
        return {}
    key = "uuid" if any(field.name == "uuid" for field in model._meta.concrete_fields) else "pk"
    rows = model._default_manager.for_member(member).filter(**{f"{key}__in": wanted})  # type: ignore[attr-defined]
    return {public_id(row): str(row) for row in rows}


def open_duties(member: Member) -> QuerySet[Duty]:
    """Duties not yet done, the failed ones first."""
    return Duty.objects.for_club(member.club).filter(done__lt=F("asked")).order_by("-failures", "due_at")


def safeguarding_contact(member: Member) -> str:
    """Name and phone of the club's safeguarding officer: they stand on every athlete's and parent's page."""
    rows = Membership.objects.for_club(member.club).filter(role=Role.SAFEGUARDING_OFFICER, left_on__isnull=True)
    row = rows.select_related("person").order_by("joined_on", "pk").first()
    return safeguarding_words(row.person.full_name, row.person.phone) if row else ""
