"""The background work of athletes.

``old_roster``   key ``<draft id>``: a roster's file is thrown away after a day, imported or not.
``progression``  key ``all``: left by whoever changes drills, needs, risk classes or entry drills. Notes what is in
force from today on and asks that everybody's book is folded again.
"""

from uuid import UUID

from django.utils.translation import gettext_lazy as _

from athletes.actions import standing
from athletes.actions.roster import OLD_ROSTER, forget_roster
from club import duties
from club.clock import club_today


@duties.handles(OLD_ROSTER, _("throwing away a roster that was not imported"), queue=duties.LONG)
def old_roster(claim: duties.Claim) -> None:
    """Key: the draft's id."""
    with claim.effect():
        forget_roster(club=claim.club, draft_id=UUID(claim.key))


@duties.handles("progression", _("noting a changed progression"))
def progression(claim: duties.Claim) -> None:
    today = club_today(claim.club)
    with claim.effect():
        standing.adopt_progression(club=claim.club, today=today)
