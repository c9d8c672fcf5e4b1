"""The background work of mail: duty ``post``, one a club, so that a dead server is asked by one of them alone.

Duty ``old_mail``, every night: deletes mails that are older than mails are kept.

When the server cannot be used the duty fails and is put back, longer each time; the page of the mails says so.
"""

from datetime import timedelta

from django.utils import timezone
from django.utils.translation import gettext_lazy as _

from club import duties
from club.mail import actions, post, queries

SOON = timedelta(seconds=20)
"""Until a minor's mail looks again whether an adult's copy was taken."""


@duties.handles(queries.POST, _("sending mail"))
def send_waiting(claim: duties.Claim) -> None:
    post.say_unsure(claim.club, claim.token)
    post.hold_uncopied(claim.club)
    post.deliver(claim.club, claim.token)
    post.hold_uncopied(claim.club)
    with claim.effect():
        due = post.next_due(claim.club)
        if due is not None:
            soon = timezone.now() + SOON
            waits = queries.next_waiting(claim.club, timezone.now()) is None
            duties.leave(queries.POST, claim.club, [""], due_at=max(due, soon) if waits else due)


@duties.handles("old_mail", _("deleting old mails"), queue=duties.LONG, first=lambda club, now: duties.next_night(now))
def forget_old(claim: duties.Claim) -> None:
    now = timezone.now()
    with claim.effect():
        actions.forget_old(club=claim.club, now=now)
        duties.leave(claim.kind, claim.club, [claim.key], due_at=duties.next_night(now))
