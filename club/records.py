"""The rows of this app that are about a person."""

from club.models import (
    AuditEntry,
    BarredContact,
    Consent,
    Guardianship,
    Mail,
    MailStop,
    Membership,
    Person,
    SignInLink,
)
from club.subjects import Rows, Subject, register


def _merge_mails(path: str, rows: Rows, kept: Person) -> None:
    """The kept person's own mail of the same thing stays; the other of the two goes."""
    for row in rows:
        same = {"club": row.club_id, "kind": row.kind, "key": row.key, "about": row.about_id, "to": row.to_id}
        if Mail.objects.filter(**{**same, path: kept}).exists():
            row.delete()
        else:
            Mail.objects.filter(pk=row.pk).update(**{path: kept})


def _merge_stops(rows: Rows, kept: Person) -> None:
    """Whoever of the two wanted no such mail gets none."""
    for row in rows:
        MailStop.objects.get_or_create(club=row.club, person=kept, kind=row.kind, defaults={"at": row.at})
    rows.delete()


register(
    Subject(Membership, "person"),
    Subject(Guardianship, "guardian"),
    Subject(Guardianship, "child"),
    Subject(BarredContact, "child"),
    Subject(Consent, "person"),
    Subject(Consent, "given_by", erase="keep"),
    Subject(SignInLink, "person"),
    Subject(SignInLink, "made_by", erase="keep"),
    Subject(AuditEntry, "by", erase="keep"),
    Subject(Mail, "to", merge=lambda rows, kept: _merge_mails("to", rows, kept)),
    Subject(Mail, "about", merge=lambda rows, kept: _merge_mails("about", rows, kept)),
    Subject(Mail, "by", erase="keep"),
    Subject(MailStop, "person", merge=_merge_stops),
)
