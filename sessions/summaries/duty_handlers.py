"""Summaries in the background.

``due_summaries``  every night: asks for everybody's where four weeks are over since the last ones.
``summary``        key ``<athlete id>/<last day>[/asked]``: makes the draft of one athlete.
``summary_mail``   key ``<summary id>``, ten minutes after the approval: queues the mails of one that is still approved.
"""

from datetime import date, timedelta
from uuid import UUID

from django.utils import timezone
from django.utils.translation import gettext_lazy as _

from athletes.models import Athlete
from club import duties
from club.clock import club_today
from sessions.summaries import actions
from sessions.summaries.models import Summary
from sessions.summaries.queries.gathering import facts_of, next_due, vaulters


@duties.handles(
    "due_summaries",
    _("looking whether summaries are due"),
    queue=duties.LONG,
    first=lambda club, now: duties.next_night(now),
)
def due_summaries(claim: duties.Claim) -> None:
    yesterday = club_today(claim.club) - timedelta(days=1)
    due = next_due(claim.club)
    keys = [f"{pk}/{yesterday.isoformat()}" for pk in vaulters(claim.club)] if due and due <= yesterday else []
    with claim.effect():
        duties.leave(actions.MAKE, claim.club, keys)
        duties.leave(claim.kind, claim.club, [claim.key], due_at=duties.next_night(timezone.now()))


@duties.handles(actions.MAKE, _("writing a summary for parents"), queue=duties.LONG)
def summary(claim: duties.Claim) -> None:
    pk, until, *asked = claim.key.split("/")
    athlete = Athlete.objects.for_club(claim.club).filter(pk=UUID(pk)).first()
    gathered = facts_of(claim.club, athlete, date.fromisoformat(until)) if athlete else None
    with claim.effect():
        if athlete and gathered:
            actions.store(club=claim.club, athlete=athlete, gathered=gathered, asked=bool(asked), now=timezone.now())


@duties.handles(actions.MAIL, _("handing summaries to the mail"))
def summary_mail(claim: duties.Claim) -> None:
    row = Summary.objects.for_club(claim.club).filter(pk=UUID(claim.key)).select_related("athlete__person").first()
    with claim.effect():
        if row:
            actions.post(summary=row, now=timezone.now())
