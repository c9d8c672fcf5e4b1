"""Erasing a person wins over everything that was ever recorded, audit and backups included.

The person's rows go, their own row is blanked, old and new values in the audit are blanked. What stays
is a random id, in a ledger beside the database, so that a restored backup can be erased again.
"""

import json
import os
from collections.abc import Iterable, Iterator
from pathlib import Path
from uuid import UUID

from django.conf import settings
from django.db import transaction
from django.utils import timezone
from django.utils.translation import gettext_noop

from club import audit, subjects
from club.members import Member
from club.models import AuditEntry, Club, Membership, Person


def erase_person(*, by: Member, person: Person) -> None:
    """Erases a person from the member's club; entirely, if they are in no other."""
    with transaction.atomic():
        _erase(by.club, person)
        audit.note(by, gettext_noop("erased a person"), person)
        _write_ledger(by.club.pk, person.pk)


def apply_ledger(lines: Iterator[str]) -> int:
    """Erases again whoever the ledger names and the database still holds; how many that were."""
    count = 0
    for line in lines:
        entry = json.loads(line)
        club = Club.objects.filter(pk=UUID(entry["club"])).first()
        person = Person.objects.filter(pk=UUID(entry["person"])).first()
        if club and person:
            with transaction.atomic():
                _erase(club, person)
            count += 1
    return count


def remember(lines: Iterable[str]) -> None:
    """Keeps what another server's ledger says in this one's, so that no later backup brings those people back."""
    ledger = Path(settings.ERASURE_LEDGER)
    there = set(ledger.read_text(encoding="ascii").splitlines()) if ledger.exists() else set()
    if new := [line for line in lines if line not in there]:
        _append("".join(f"{line}\n" for line in new))


def _erase(club: Club, person: Person) -> None:
    about = subjects.erase_rows(club, person)
    AuditEntry.objects.for_club(club).filter(subject_id__in=about).update(values=None)
    if not Membership.objects.filter(person=person).exists():
        _blank(person)


def _blank(person: Person) -> None:
    person.given_name = person.family_name = person.email = person.bad_email = person.phone = ""
    person.birth_date = person.sign_in_name = None
    person.is_active = False
    person.set_unusable_password()
    person.save()


def _write_ledger(club_id: UUID, person_id: UUID) -> None:
    """The last step before the commit: an id too many in the ledger is mended, one too few is not."""
    entry = {"club": str(club_id), "person": str(person_id), "at": timezone.now().isoformat()}
    _append(json.dumps(entry) + "\n")


def _append(text: str) -> None:
    with open(Path(settings.ERASURE_LEDGER), "a", encoding="ascii", opener=_private) as file:
        file.write(text)
        file.flush()
        os.fsync(file.fileno())


def _private(path: str, flags: int) -> int:
    return os.open(path, flags, 0o600)
