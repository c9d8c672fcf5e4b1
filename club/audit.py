"""The audit: who did what to which subject. Written inside the transaction of the act."""

from typing import Any

from django.db import models
from django.utils import timezone

from club.members import Member
from club.models import AuditEntry
from club.subjects import public_id


def note(by: Member, kind: str, subject: models.Model, values: dict[str, Any] | None = None) -> None:
    """Adds an entry. ``values`` holds old and new values, and is what erasure blanks."""
    AuditEntry.objects.create(
        club=by.club,
        at=timezone.now(),
        by=by.person,
        kind=kind,
        subject_kind=subject._meta.label_lower,
        subject_id=public_id(subject),
        values=values,
    )
