"""The background work of mails about practices.

``practice_changes``  left with each change of a published practice: one mail a reader for all that changed since.
``week_mail``         Sundays at five, the club's clock: asks for the mail of each athlete.
``week_mail_of``      key ``<athlete id>``: the week's mail about one athlete.
"""

from datetime import datetime
from uuid import UUID

from django.utils import timezone
from django.utils.translation import gettext_lazy as _

from club import duties
from club.clock import club_now
from club.models import Club
from sessions.news import actions, queries
from sessions.news.core import next_sunday_evening


@duties.handles(actions.TELL, _("telling what changed about practices"))
def tell_changes(claim: duties.Claim) -> None:
    now = timezone.now()
    told = queries.news(claim.club, now)
    with claim.effect():
        actions.tell(club=claim.club, told=told, now=now)


def _sunday(club: Club, now: datetime) -> datetime:
    return next_sunday_evening(club_now(club))


@duties.handles("week_mail", _("asking for the week’s mails"), queue=duties.LONG, first=_sunday)
def week_mail(claim: duties.Claim) -> None:
    with claim.effect():
        keys = [str(athlete.pk) for athlete in queries.athletes(claim.club)]
        duties.leave(actions.WEEK_OF, claim.club, keys)
        duties.leave("week_mail", claim.club, [claim.key], due_at=_sunday(claim.club, timezone.now()))


@duties.handles(actions.WEEK_OF, _("writing the week’s mails"), queue=duties.LONG)
def week_mail_of(claim: duties.Claim) -> None:
    found = [athlete for athlete in queries.athletes(claim.club) if athlete.pk == UUID(claim.key)]
    with claim.effect():
        for athlete in found:
            actions.send_week(club=claim.club, athlete=athlete, now=timezone.now())
