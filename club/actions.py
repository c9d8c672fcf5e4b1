"""Writes of the club's own rows."""

from collections.abc import Iterable
from datetime import date
from typing import Any

from django.db import transaction
from django.utils.translation import gettext_noop

from club import audit, roles_changed
from club.core.names import warning_key
from club.members import Member
from club.models import Area, BarredContact, Club, Consent, Guardianship, Membership, Person, Venue


def add_person(
    *,
    by: Member,
    given_name: str,
    family_name: str,
    roles: Iterable[str],
    joined_on: date,
    adult_level: str = "",
    birth_date: date | None = None,
    language: str = "en",
    email: str = "",
    phone: str = "",
) -> Person:
    """A new person with these roles in the member's club."""
    with transaction.atomic():
        person = Person.objects.create(
            given_name=given_name,
            family_name=family_name,
            birth_date=birth_date,
            language=language,
            email=email,
            phone=phone,
        )
        for role in roles:
            level = adult_level if role in Membership.LEVELLED else ""
            Membership.objects.create(club=by.club, person=person, role=role, adult_level=level, joined_on=joined_on)
        _tell(by, person, joined_on)
        audit.note(by, gettext_noop("added a person"), person, {"name": person.full_name, "roles": list(roles)})
    return person


def edit_person(*, by: Member, person: Person, **values: Any) -> None:
    """Changes names, birth date, e-mail, phone, language. Sign-in name and password are the person's own."""
    changed = {name: (getattr(person, name), value) for name, value in values.items() if getattr(person, name) != value}
    if not changed:
        return
    with transaction.atomic():
        Person.objects.filter(pk=person.pk).update(**{name: new for name, (_, new) in changed.items()})
        said = {name: {"old": str(old or ""), "new": str(new or "")} for name, (old, new) in changed.items()}
        audit.note(by, gettext_noop("changed a person"), person, said)


class LastHeadCoach(Exception):
    """A club keeps a head coach: nobody else could put one back."""


def set_roles(*, by: Member, person: Person, roles: Iterable[str], adult_level: str, today: date) -> None:
    """What the person is here from today on; a role no longer held is left, not forgotten. Raises LastHeadCoach."""
    wanted = set(roles)
    with transaction.atomic():
        rows = {row.role: row for row in Membership.objects.for_member(by).filter(person=person)}
        held = {role for role, row in rows.items() if row.left_on is None}
        for role in wanted - held:
            hold_role(by=by, person=person, role=role, today=today)
        if Membership.objects.for_member(by).filter(person=person, role__in=held - wanted).update(left_on=today):
            _tell(by, person, today)
        levelled = Membership.objects.for_member(by).filter(person=person, role__in=Membership.LEVELLED)
        levels = levelled.exclude(adult_level=adult_level).update(adult_level=adult_level)
        if not Membership.objects.for_member(by).filter(role="head_coach", left_on__isnull=True).exists():
            raise LastHeadCoach
        if wanted != held or levels:
            said = {"old": sorted(held), "new": sorted(wanted), "level": adult_level}
            audit.note(by, gettext_noop("changed what a person is here"), person, said)


def hold_role(*, by: Member, person: Person, role: str, today: date) -> None:
    """The person holds the role from now on, if they did not already."""
    row, made = Membership.objects.get_or_create(club=by.club, person=person, role=role, defaults={"joined_on": today})
    back = Membership.objects.for_club(by.club).filter(pk=row.pk, left_on__isnull=False)
    if made or back.update(left_on=None, joined_on=today):
        _tell(by, person, today)


def _tell(by: Member, person: Person, today: date) -> None:
    rows = Membership.objects.for_club(by.club).filter(person=person, left_on__isnull=True)
    roles_changed.tell(by, person, frozenset(rows.values_list("role", flat=True)), today)


def leave(*, by: Member, person: Person, today: date) -> None:
    """The person is no member from today on. Raises LastHeadCoach."""
    set_roles(by=by, person=person, roles=(), adult_level="", today=today)


class BarredFromChild(Exception):
    """Somebody who must not collect the child would be given rights for it. Lift the barring first."""


def refuse_barred(club: Club, guardian: Person, child: Person) -> None:
    """Raises BarredFromChild if a barred tie, or a barred name of somebody outside, says so. "until" lifts nothing."""
    tied = Guardianship.objects.for_club(club).filter(guardian=guardian, child=child, barred=True).exists()
    if tied:
        raise BarredFromChild
    refuse_barred_name(club, guardian, child)


def refuse_barred_name(club: Club, guardian: Person, child: Person) -> None:
    """Raises BarredFromChild if a barred name of somebody outside may be the guardian's."""
    names = BarredContact.objects.for_club(club).filter(child=child).values_list("name", flat=True)
    if warning_key(guardian.full_name) in set(map(warning_key, names)):
        raise BarredFromChild


def tie_guardian(
    *,
    by: Member,
    guardian: Person,
    child: Person,
    barred: bool,
    until: date | None,
    rights: Iterable[str],
    today: date,
) -> Guardianship:
    """Ties a guardian to a child with these rights; a guardian who is none yet becomes one.

    Raises BarredFromChild, unless the tie itself is barred: that one warns and grants nothing.
    """
    with transaction.atomic():
        if not barred:
            refuse_barred(by.club, guardian, child)
        tie = _tie(by, guardian, child)
        edit_tie(by=by, tie=tie, barred=barred, until=until, rights=rights)
        hold_role(by=by, person=guardian, role=Membership.RoleChoice.GUARDIAN, today=today)
    return tie


def add_guardian(*, by: Member, guardian: Person, child: Person) -> Guardianship:
    """Ties a guardian to a child, with every right; take rights away on the tie itself. Raises BarredFromChild."""
    with transaction.atomic():
        refuse_barred(by.club, guardian, child)
        return _tie(by, guardian, child)


def _tie(by: Member, guardian: Person, child: Person) -> Guardianship:
    with transaction.atomic():
        tie = Guardianship.objects.create(club=by.club, guardian=guardian, child=child)
        audit.note(by, gettext_noop("tied a guardian"), child, {"guardian": str(guardian.pk)})
    return tie


RIGHTS = ("sees_progress", "may_collect", "may_consent", "gets_mail")


class StillBarred(Exception):
    """The bar of a tie would end, and nobody said that this is meant."""


def edit_tie(
    *, by: Member, tie: Guardianship, barred: bool, until: date | None, rights: Iterable[str], lift: bool = False
) -> None:
    """What this guardian may do for this child. Barred takes every right away. lift: a bar is ended on purpose.

    Raises StillBarred, and BarredFromChild where the name stands among those who must not collect the child.
    """
    if tie.barred and not barred and not lift:
        raise StillBarred
    if not barred:
        refuse_barred_name(by.club, tie.guardian, tie.child)
    given = set() if barred else set(rights)
    values = {right: right in given for right in RIGHTS} | {"barred": barred, "until": until}
    changed = {name: value for name, value in values.items() if getattr(tie, name) != value}
    if not changed:
        return
    with transaction.atomic():
        Guardianship.objects.for_member(by).filter(pk=tie.pk).update(**values)
        said = {"guardian": str(tie.guardian_id), **{name: str(value) for name, value in changed.items()}}
        audit.note(by, gettext_noop("changed a guardian's rights"), tie.child, said)


def untie(*, by: Member, tie: Guardianship) -> None:
    with transaction.atomic():
        Guardianship.objects.for_member(by).filter(pk=tie.pk).delete()
        audit.note(by, gettext_noop("untied a guardian"), tie.child, {"guardian": str(tie.guardian_id)})


def bar_contact(*, by: Member, child: Person, name: str, note: str = "") -> BarredContact:
    """Somebody outside the club who must not collect the child."""
    with transaction.atomic():
        row = BarredContact.objects.create(club=by.club, child=child, name=name, note=note)
        audit.note(by, gettext_noop("barred somebody from collecting"), child, {"name": name, "note": note})
    return row


def unbar_contact(*, by: Member, barred: BarredContact) -> None:
    with transaction.atomic():
        BarredContact.objects.for_member(by).filter(pk=barred.pk).delete()
        audit.note(by, gettext_noop("barred somebody no more"), barred.child, {"name": barred.name})


def give_consent(*, by: Member, person: Person, kind: str, given_by: Person, given_on: date) -> Consent:
    with transaction.atomic():
        row = Consent.objects.create(club=by.club, person=person, kind=kind, given_by=given_by, given_on=given_on)
        audit.note(by, gettext_noop("recorded a consent"), person, {"kind": kind, "given_by": str(given_by.pk)})
    return row


def withdraw_consent(*, by: Member, consent: Consent, on: date) -> None:
    """From that day it holds no more; it stays on record."""
    day = max(on, consent.given_on)
    with transaction.atomic():
        rows = Consent.objects.for_member(by).filter(pk=consent.pk, withdrawn_on__isnull=True)
        if rows.update(withdrawn_on=day):
            audit.note(by, gettext_noop("withdrew a consent"), consent.person, {"kind": consent.kind})


def edit_club(*, by: Member, name: str, zone: str, units: str) -> None:
    new = {"name": name, "zone": zone, "units": units}
    old = {field: getattr(by.club, field) for field in new}
    if new == old:
        return
    with transaction.atomic():
        Club.objects.filter(pk=by.club.pk).update(**new)
        audit.note(by, gettext_noop("changed the club's settings"), by.club, {"old": old, "new": new})


class NameTaken(Exception):
    """Somebody else signs in by that name."""


def set_own_account(*, person: Person, sign_in_name: str | None, language: str, password: str = "") -> None:
    """What a person sets for themselves, whatever their clubs. An empty password leaves the one they have.

    Raises NameTaken.
    """
    if sign_in_name and Person.objects.filter(sign_in_name__iexact=sign_in_name).exclude(pk=person.pk).exists():
        raise NameTaken
    person.sign_in_name, person.language = sign_in_name or None, language
    fields = ["sign_in_name", "language"]
    if password:
        person.set_password(password)
        fields.append("password")
    person.save(update_fields=fields)


def add_venue(*, by: Member, name: str, **card: str) -> Venue:
    """card: address, defibrillator, first_aid, who_calls, who_meets."""
    with transaction.atomic():
        venue = Venue.objects.create(club=by.club, name=name, **card)
        audit.note(by, gettext_noop("added a venue"), venue, {"name": name})
    return venue


def edit_venue(*, by: Member, venue: Venue, **values: str) -> None:
    """Name, address and the emergency card that hangs there."""
    changed = {name: {"old": getattr(venue, name), "new": value} for name, value in values.items()
               if getattr(venue, name) != value}  # fmt: skip
    if not changed:
        return
    with transaction.atomic():
        Venue.objects.for_member(by).filter(pk=venue.pk).update(**values)
        audit.note(by, gettext_noop("changed a venue"), venue, changed)


def add_area(*, by: Member, venue: Venue, name: str, kind: str, surface: str, places: int) -> Area:
    with transaction.atomic():
        area = Area.objects.create(club=by.club, venue=venue, name=name, kind=kind, surface=surface, places=places)
        audit.note(by, gettext_noop("added an area"), area, {"name": name, "kind": kind})
    return area
