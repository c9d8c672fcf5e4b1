from club.models.audit import AuditEntry
from club.models.mail import Mail, MailStop
from club.models.people import BarredContact, Club, Consent, Guardianship, Membership, Person
from club.models.places import Area, Venue
from club.models.signin import SignInLink
from club.models.work import Duty, Heartbeat

__all__ = [
    "Area",
    "AuditEntry",
    "BarredContact",
    "Club",
    "Consent",
    "Duty",
    "Guardianship",
    "Heartbeat",
    "Mail",
    "MailStop",
    "Membership",
    "Person",
    "SignInLink",
    "Venue",
]
