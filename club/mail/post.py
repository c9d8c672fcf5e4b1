"""Handing waiting mails to the server, one by one, each in a transaction of its own before and after.

What a crash leaves: before SENDING was stored nothing had left, and the mail waits on. After that it may have arrived,
nobody sends it again by themselves, and the next worker that finds it says so (UNSURE).
"""

import time
from datetime import datetime, timedelta
from uuid import UUID

from django.conf import settings
from django.db.models import F, Min, QuerySet
from django.utils import timezone

from club.clock import club_today
from club.mail import queries, smtp, stopping
from club.mail.kinds import KINDS
from club.models import Club, Mail

AT_ONCE_S = 4.0
"""Seconds after which other work of the queue has its turn."""
FIRST_WAIT, LONGEST_WAIT, GIVE_UP = timedelta(minutes=1), timedelta(hours=2), timedelta(days=2)


def say_unsure(club: Club, attempt: UUID) -> None:
    """What an earlier worker had on its way when it was lost may have been sent."""
    rows = Mail.objects.for_club(club).filter(state=Mail.State.SENDING).exclude(attempt=attempt)
    rows.update(state=Mail.State.UNSURE, reason="worker lost")


def hold_uncopied(club: Club) -> None:
    """What would go to a minor alone stays here."""
    queries.uncopied(club).update(state=Mail.State.HELD, reason="nobody to copy")


def deliver(club: Club, attempt: UUID) -> None:
    """Sends what waits, for a few seconds. Raises smtp.ServerDown."""
    if not queries.next_waiting(club, timezone.now()):
        return
    stop = time.monotonic() + AT_ONCE_S
    with smtp.connected(settings.MAIL) as server:
        while time.monotonic() < stop and (mail := queries.next_waiting(club, timezone.now())):
            deliver_one(server, mail, attempt)


def deliver_one(server: smtp.Connection, mail: Mail, attempt: UUID) -> None:
    if not queries.may_read(mail, club_today(mail.club)):
        _waiting(mail).update(state=Mail.State.DROPPED, reason="no right")
        return
    answer = server.hand_over(_envelope(mail), lambda: _begin(mail, attempt))
    if answer is not None:
        _note(mail, attempt, answer, timezone.now())
        if answer.result is smtp.Result.UNSURE:
            raise smtp.ServerDown(answer.said)


def _waiting(mail: Mail) -> QuerySet[Mail]:
    return Mail.objects.for_club(mail.club).filter(pk=mail.pk, state=Mail.State.WAITING)


def _begin(mail: Mail, attempt: UUID) -> bool:
    """Stores, and commits, that it may be on its way. Of two workers one gets True."""
    begun = _waiting(mail).update(state=Mail.State.SENDING, attempt=attempt, sending_at=timezone.now())
    return bool(begun)


def _note(mail: Mail, attempt: UUID, answer: smtp.Answer, now: datetime) -> None:
    """Stores the server's answer, unless somebody has decided about the mail since."""
    on_its_way = Mail.objects.for_club(mail.club).filter(
        pk=mail.pk, attempt=attempt, state__in=[Mail.State.SENDING, Mail.State.UNSURE]
    )
    if answer.result is smtp.Result.SENT:
        on_its_way.update(state=Mail.State.SENT, sent_at=now, answer=answer.said, reason="")
    elif answer.result is smtp.Result.UNSURE:
        on_its_way.update(state=Mail.State.UNSURE, answer=answer.said, reason="connection lost")
    else:
        rows = on_its_way | _waiting(mail)
        gone = answer.result is smtp.Result.REFUSED or now - mail.queued_at > GIVE_UP
        if gone:
            rows.update(state=Mail.State.FAILED, answer=answer.said, reason="refused", tries=F("tries") + 1)
        else:
            wait = min(FIRST_WAIT * 2 ** min(mail.tries, 10), LONGEST_WAIT)
            rows.update(
                state=Mail.State.WAITING, answer=answer.said, tries=F("tries") + 1, due_at=now + wait, attempt=None
            )


def _envelope(mail: Mail) -> smtp.Envelope:
    return smtp.Envelope(
        id=str(mail.pk),
        club=mail.club.name,
        to=mail.to.email,
        title=mail.title,
        text=mail.text,
        html=mail.html,
        language=mail.language,
        stop=stopping.address(mail.club, mail.to, KINDS[mail.kind]),
        at=mail.queued_at,
    )


def next_due(club: Club) -> datetime | None:
    """When the next mail that can go by itself is due."""
    rows = Mail.objects.for_club(club).filter(state=Mail.State.WAITING)
    return rows.aggregate(due=Min("due_at"))["due"]  # type: ignore[no-any-return]
