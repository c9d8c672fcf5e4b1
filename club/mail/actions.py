"""Queuing mails, sending one again, stopping a kind. ``send`` is the one way by which anybody gets a mail."""

from collections.abc import Callable, Iterable
from dataclasses import dataclass
from datetime import datetime

from django.conf import settings
from django.db import transaction
from django.db.models import F
from django.utils import timezone, translation
from django.utils.translation import gettext as _
from django.utils.translation import gettext_noop

from club import audit, duties
from club.clock import local_day
from club.mail import letters, queries, stopping
from club.mail.kinds import KINDS, Kind
from club.members import Member
from club.models import Club, Mail, MailStop, Person

GUARDIAN, SECOND_ADULT, OWN = "guardian", "second adult", "own"


class MayNotReceive(Exception):
    """A mail about a child to somebody whom no tie gives it."""


@dataclass(frozen=True, slots=True)
class Reader:
    """Who is going to read it. own: it is about themselves; a second adult reads what the child reads."""

    person: Person
    about: Person
    own: bool


Write = Callable[[Reader], letters.Letter]


@dataclass(frozen=True, slots=True)
class _Thing:
    club: Club
    by: Person | None
    about: Person
    kind: Kind
    key: str
    write: Write
    now: datetime


def send(
    *, by: Member | Club, to: Person, kind: str, key: str, write: Write, now: datetime, about: Person | None = None
) -> list[Mail]:
    """Queues a mail, as part of the surrounding transaction; the mails there are of it, none where mail is off.

    by: who says it; the club itself where a duty does. key: the same kind and key about the same person never goes to
    anybody twice. write: called once for each reader, with their language and the club's zone switched on.
    about: the child, in a mail to a guardian alone. Raises MayNotReceive.

    To a minor: every guardian who gets mail of that kind gets it too, each by a mail of their own, and where none
    does, another adult of the club. The minor's goes once one of these was taken by the server. Nobody without an
    address, and nobody who stopped the kind, gets any.
    """
    if not settings.MAIL.host:
        return []
    club = by if isinstance(by, Club) else by.club
    writer = None if isinstance(by, Club) else by.person
    thing = _Thing(club, writer, about or to, KINDS[kind], key, write, now)
    with transaction.atomic():
        Mail.objects.bulk_create(list(_rows(thing, to)), ignore_conflicts=True)
        duties.leave(queries.POST, club, [""])
    return list(Mail.objects.for_club(club).filter(kind=kind, key=key, about=thing.about))


def _rows(thing: _Thing, to: Person) -> Iterable[Mail]:
    today = local_day(thing.club, thing.now)
    minor = queries.minor_in(thing.club, to, today)
    able = queries.reachable(thing.club, thing.kind).filter(pk=to.pk).exists()
    if to != thing.about:
        if minor or to not in queries.guardians(thing.club, thing.about, thing.kind, today):
            raise MayNotReceive(f"{thing.kind.name} about {thing.about.pk} to {to.pk}")
        yield _row(thing, Reader(to, thing.about, own=False), GUARDIAN)
        return
    adults = queries.guardians(thing.club, to, thing.kind, today) if minor else []
    for guardian in adults:
        yield _row(thing, Reader(guardian, to, own=False), GUARDIAN, minor_too=able)
    if not able:
        return
    if minor and not adults:
        adults = queries.second_adults(thing.club, to, thing.kind, today, thing.by)[:1]
        for adult in adults:
            yield _row(thing, Reader(adult, to, own=True), SECOND_ADULT)
    own = _row(thing, Reader(to, to, own=True), OWN, minor=minor)
    if minor and not adults:
        own.state, own.reason = Mail.State.HELD, "nobody to copy"
    yield own


def _row(thing: _Thing, reader: Reader, why: str, minor: bool = False, minor_too: bool = False) -> Mail:
    person = reader.person
    with translation.override(person.language), timezone.override(thing.club.zone):
        letter = thing.write(reader)
        stop = stopping.address(thing.club, person, thing.kind)
        foot = letters.Foot(_why(thing, why), _copied(thing, minor, minor_too), stop)
        text = letters.as_text(letter, foot, settings.SITE_URL)
        html = letters.as_html(letter, foot, settings.SITE_URL, person.language)
    return Mail(
        club=thing.club,
        kind=thing.kind.name,
        key=thing.key,
        to=person,
        about=thing.about,
        by=thing.by,
        minor=minor,
        copy=why == SECOND_ADULT,
        language=person.language,
        title=" ".join(letter.title.split())[:200],
        text=text,
        html=html,
        queued_at=thing.now,
        due_at=thing.now,
    )


def _why(thing: _Thing, why: str) -> str:
    words = {"club": thing.club.name, "name": thing.about.given_name}
    if why == OWN:
        return _("You get this as a member of %(club)s.") % words
    if why == SECOND_ADULT:
        return _("%(club)s: this goes to %(name)s, and to you because an adult reads along.") % words
    return _("You get this because %(name)s trains at %(club)s.") % words


def _copied(thing: _Thing, minor: bool, minor_too: bool) -> str:
    if minor:
        return _("An adult gets it too.")
    return _("%(name)s gets it too.") % {"name": thing.about.given_name} if minor_too else ""


def resend(*, by: Member, mail: Mail, now: datetime) -> bool:
    """Sends once more what may not have arrived; whether there was anything to send. To a minor only with an adult."""
    again = Mail.objects.for_member(by).filter(queries.lost(now), pk=mail.pk)
    with transaction.atomic():
        if not again.update(
            state=Mail.State.WAITING, reason="", answer="", tries=0, attempt=None, sending_at=None, due_at=now
        ):
            return False
        if mail.reason == "came back":  # whoever sends again believes in the address again
            Person.objects.filter(pk=mail.to_id).update(bad_email="")
        if mail.minor:
            _copy_again(mail, now)
        duties.leave(queries.POST, by.club, [""], due_at=now)
        audit.note(by, gettext_noop("sent a mail once more"), mail.to, {"title": mail.title})
    return True


def came_back(*, by: Member, mail: Mail) -> bool:
    """Somebody says that a mail did not reach its reader; whether it had left. Nothing goes to that address any more
    until it is another one."""
    left = Mail.objects.for_member(by).filter(pk=mail.pk, state__in=[Mail.State.SENT, Mail.State.UNSURE])
    with transaction.atomic():
        if not left.update(state=Mail.State.FAILED, reason="came back"):
            return False
        Person.objects.filter(pk=mail.to_id).update(bad_email=F("email"))
        audit.note(by, gettext_noop("noted that mail came back"), mail.to, {"title": mail.title})
    return True


def forget_old(*, club: Club, now: datetime) -> int:
    """Deletes what was written longer ago than mails are kept, whatever became of it; how many."""
    return Mail.objects.for_club(club).filter(queued_at__lt=now - queries.KEPT_FOR).delete()[0]


def _copy_again(mail: Mail, now: datetime) -> None:
    """Adults of today who do not have it get the words that the minor is going to get, where nobody else has them."""
    if queries.copies(mail).filter(state__in=queries.ALIVE).exists():
        return
    kind, today = KINDS[mail.kind], local_day(mail.club, now)
    ties = queries.guardians(mail.club, mail.about, kind, today)
    adults = ties or queries.second_adults(mail.club, mail.about, kind, today, mail.by)[:1]
    Mail.objects.bulk_create([_same_to(mail, adult, not ties, now) for adult in adults], ignore_conflicts=True)


def _same_to(mail: Mail, adult: Person, copy: bool, now: datetime) -> Mail:
    """The same words to an adult, with their own way to stop them."""
    kept = {name: getattr(mail, name) for name in ("club", "kind", "key", "about", "by", "language", "title")}
    own, theirs = (stopping.address(mail.club, person, KINDS[mail.kind]) for person in (mail.to, adult))
    text, html = mail.text.replace(own, theirs), mail.html.replace(own, theirs)
    return Mail(**kept, to=adult, copy=copy, text=text, html=html, queued_at=now, due_at=now)


def set_stopped(*, person: Person, club: Club, kind: Kind, stopped: bool, now: datetime) -> None:
    """Whether somebody wants no mail of a kind: their own wish alone, so nothing of it stands in the audit."""
    if stopped:
        MailStop.objects.get_or_create(club=club, person=person, kind=kind.name, defaults={"at": now})
    else:
        MailStop.objects.for_club(club).filter(person=person, kind=kind.name).delete()


def set_kinds(*, by: Member, wanted: Iterable[str], now: datetime) -> None:
    """Which kinds of mail the member wants."""
    wanted = set(wanted)
    with transaction.atomic():
        for name, kind in KINDS.items():
            set_stopped(person=by.person, club=by.club, kind=kind, stopped=name not in wanted, now=now)
