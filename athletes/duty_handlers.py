"""The background work of athletes: a roster's file is thrown away after a day, imported or not."""

from uuid import UUID

from django.utils.translation import gettext_lazy as _

from athletes.actions.roster import OLD_ROSTER, forget_roster
from club import duties


@duties.handles(OLD_ROSTER, _("throwing away a roster that was not imported"), queue=duties.LONG)
def old_roster(claim: duties.Claim) -> None:
    """Key: the draft's id."""
    with claim.effect():
        forget_roster(club=claim.club, draft_id=UUID(claim.key))
