"""The club's own background work."""

from django.contrib.sessions.backends.db import SessionStore
from django.utils import timezone
from django.utils.translation import gettext_lazy as _

from club import duties


@duties.handles(
    duties.NIGHTLY, _("tidying up overnight"), queue=duties.LONG, first=lambda club, now: duties.next_night(now)
)
def nightly(claim: duties.Claim) -> None:
    """Finished duties and ended sign-ins go; the next night is asked for."""
    with claim.effect():
        duties.sweep(claim.club)
        SessionStore.clear_expired()
        duties.leave(duties.NIGHTLY, claim.club, [claim.key], due_at=duties.next_night(timezone.now()))
