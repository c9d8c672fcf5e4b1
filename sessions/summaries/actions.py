"""Summaries: made by duties, looked over, approved, taken back."""

from collections.abc import Iterable
from datetime import date, datetime, timedelta
from uuid import UUID

from django.db import transaction
from django.utils.translation import gettext_noop

from athletes.models import Athlete
from club import audit, duties
from club.mail import actions as mail
from club.mail.kinds import PROGRESS
from club.mail.letters import Letter
from club.members import Member
from club.models import Club
from sessions.summaries.letters import letter
from sessions.summaries.models import Summary
from sessions.summaries.queries import reading
from sessions.summaries.queries.gathering import Gathered, vaulters

MAKE, MAIL = "summary", "summary_mail"
MAIL_AFTER = timedelta(minutes=10)
"""Between the approval and the mails: a slip of the thumb reaches nobody's inbox."""


def store(*, club: Club, athlete: Athlete, gathered: Gathered, asked: bool, now: datetime) -> Summary | None:
    """Keeps a draft; a newer one takes the place of those that nobody approved. None where nothing was practised.

    Runs inside the duty's transaction. What is approved stays as it is.
    """
    facts = gathered.facts
    drafts = Summary.objects.for_club(club).filter(athlete=athlete, approved_at__isnull=True)
    drafts.delete()
    if not facts.days:
        return None
    values = {"club": club, "since": facts.since, "facts": facts.as_row(), "names": gathered.names, "asked": asked}
    row, _made = Summary.objects.get_or_create(athlete=athlete, until=facts.until, defaults={**values, "made_at": now})
    return row


def ask(*, by: Member, today: date, athletes: Iterable[Athlete] | None = None) -> int:
    """Asks for new ones of these athletes, or of everybody; how many. They are made in the background."""
    ids: Iterable[UUID] = vaulters(by.club) if athletes is None else [athlete.pk for athlete in athletes]
    keys = [f"{pk}/{today.isoformat()}/asked" for pk in ids]
    with transaction.atomic():
        duties.leave(MAKE, by.club, keys)
        audit.note(by, gettext_noop("asked for summaries"), by.club, {"count": len(keys)})
    return len(keys)


def edit(*, by: Member, summary: Summary, own_words: str, left_out: Iterable[str]) -> bool:
    """Changes a draft; false where it is approved already and stays as it is."""
    kept = sorted(left_out)
    with transaction.atomic():
        rows = Summary.objects.for_member(by).filter(pk=summary.pk, approved_at__isnull=True)
        changed = bool(rows.update(own_words=own_words, left_out=kept))
        if changed:
            audit.note(by, gettext_noop("changed a summary"), summary, {"own_words": own_words, "left_out": kept})
    return changed


def approve(*, by: Member, ids: Iterable[UUID], now: datetime) -> int:
    """Those of these drafts that still wait are on the pages from now on, and mailed in ten minutes; how many."""
    with transaction.atomic():
        rows = Summary.objects.for_member(by).filter(pk__in=list(ids), approved_at__isnull=True)
        found = list(rows.select_for_update())
        rows.filter(pk__in=[row.pk for row in found]).update(approved_at=now, approved_by=by.person)
        for row in found:
            audit.note(by, gettext_noop("approved a summary"), row)
        duties.leave(MAIL, by.club, [str(row.pk) for row in found], due_at=now + MAIL_AFTER)
    return len(found)


def post(*, summary: Summary, now: datetime) -> None:
    """Queues the mails of an approved summary, once; inside the duty's transaction.

    They go to the athlete and, where that is a minor, to each guardian who sees progress and gets mail.
    """
    rows = Summary.objects.for_club(summary.club).filter(pk=summary.pk, approved_at__isnull=False)
    if not rows.filter(mailed_at__isnull=True).update(mailed_at=now):
        return

    def write(reader: mail.Reader) -> Letter:
        return letter(reading.shown(summary))

    mail.send(by=summary.club, to=summary.athlete.person, kind=PROGRESS.name, key=str(summary.pk), write=write, now=now)


def take_back(*, by: Member, ids: Iterable[UUID]) -> int:
    """They are drafts again, and off the pages; how many. A mail that has gone out is not called back."""
    with transaction.atomic():
        rows = Summary.objects.for_member(by).filter(pk__in=list(ids), approved_at__isnull=False)
        found = list(rows.select_for_update())
        rows.filter(pk__in=[row.pk for row in found]).update(approved_at=None, approved_by=None)
        for row in found:
            audit.note(by, gettext_noop("took a summary back"), row)
    return len(found)
