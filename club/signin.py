"""One-time sign-in links, and the closed door to new accounts.

The token is 256 random bits in the fragment of the address, so that no server log and no referrer ever
holds it. Only its hash is stored. It is redeemed once, by POST, before it expires.
"""

import hashlib
import secrets
from collections.abc import Iterable
from dataclasses import dataclass
from datetime import timedelta

from allauth.account.adapter import DefaultAccountAdapter
from django.conf import settings
from django.db import transaction
from django.http import HttpRequest
from django.utils import timezone
from django.utils.translation import gettext_noop

from club import audit, queries
from club.clock import club_today
from club.members import Member
from club.models import Club, Person, SignInLink


class ClosedAccountAdapter(DefaultAccountAdapter):
    def is_open_for_signup(self, request: HttpRequest) -> bool:
        """People come in by a coach's link. There is no open sign-up."""
        return False


class LinkRefused(Exception):
    """The member may not hand out a link for that person."""


class ConsentMissing(LinkRefused):
    """Somebody so young needs a parent's recorded consent to have an account."""


@dataclass(frozen=True, slots=True)
class NewLink:
    """The link row and its token, which is shown once and kept nowhere."""

    link: SignInLink
    token: str

    def url(self, base_url: str) -> str:
        return f"{base_url.rstrip('/')}/sign-in/link/#{self.token}"


def make_link(*, by: Member, person: Person) -> NewLink:
    """A link for a person below the maker, in every club that it opens. Raises LinkRefused, ConsentMissing."""
    if not queries.may_hand_link(by.person, person):
        raise LinkRefused
    if queries.lack_consent(by, [person], club_today(by.club)):
        raise ConsentMissing
    with transaction.atomic():
        new = new_link(club=by.club, person=person, made_by=by.person)
        audit.note(by, gettext_noop("made a sign-in link"), person)
    return new


def make_links(*, by: Member, people: Iterable[Person]) -> list[NewLink]:
    """Links for several people, all or none. Raises LinkRefused."""
    with transaction.atomic():
        return [make_link(by=by, person=person) for person in people]


def new_link(*, club: Club, person: Person, made_by: Person | None = None) -> NewLink:
    """Used by ``make_link`` and by the command line, which alone makes a head coach's."""
    token = secrets.token_urlsafe(32)
    now = timezone.now()
    link = SignInLink.objects.create(
        club=club,
        person=person,
        made_by=made_by,
        token_hash=_hash(token),
        made_at=now,
        expires_at=now + timedelta(hours=settings.SIGN_IN_LINK_HOURS),
    )
    return NewLink(link, token)


def redeem(token: str) -> Person | None:
    """The person whose link this is, once; None for a used, expired, revoked or unknown one.

    A link that its maker could no longer make, because either of them has other roles by now, is worth nothing.
    """
    now = timezone.now()
    # Conditions on the link's own columns alone: with a join the update would test a subquery, which PostgreSQL does
    # not test again after waiting for another browser, and both would get in.
    good = SignInLink.objects.filter(
        token_hash=_hash(token), used_at__isnull=True, revoked_at__isnull=True, expires_at__gt=now
    )
    with transaction.atomic():
        if not good.update(used_at=now):
            return None
        link = SignInLink.objects.select_related("person", "made_by").get(token_hash=_hash(token))
        if link.made_by and not queries.may_hand_link(link.made_by, link.person):
            return None
        return link.person if link.person.is_active else None


def revoke(*, by: Member, link: SignInLink) -> None:
    """Makes an unused link worthless. Raises LinkRefused."""
    if not queries.may_hand_link(by.person, link.person):
        raise LinkRefused
    with transaction.atomic():
        unused = SignInLink.objects.for_club(by.club).filter(pk=link.pk, used_at__isnull=True, revoked_at__isnull=True)
        if unused.update(revoked_at=timezone.now()):
            audit.note(by, gettext_noop("revoked a sign-in link"), link.person)


def _hash(token: str) -> str:
    return hashlib.sha256(token.encode()).hexdigest()
