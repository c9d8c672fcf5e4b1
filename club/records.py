"""The rows of this app that are about a person."""

from club.models import AuditEntry, BarredContact, Consent, Guardianship, Membership, SignInLink
from club.subjects import Subject, register

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
)
