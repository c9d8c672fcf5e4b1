"""What the invented club's parents and athletes have been told: one summary each, approved, up to a week ago."""

from datetime import timedelta

from club.roles import Permission
from sessions.demo.entering import Crew
from sessions.summaries import actions
from sessions.summaries.queries.gathering import facts_of

ENDED_DAYS_AGO, APPROVED_DAYS_AGO = 7, 6


def tell_parents(crew: Crew) -> None:
    """After the figures were counted up."""
    by, now = crew.by.acting(Permission.SUMMARY_APPROVE), crew.now - timedelta(days=APPROVED_DAYS_AGO)
    until = crew.now.date() - timedelta(days=ENDED_DAYS_AGO)
    for _vaulter, athlete in crew.athletes:
        gathered = facts_of(by.club, athlete, until)
        row = actions.store(club=by.club, athlete=athlete, gathered=gathered, asked=True, now=now)
        actions.approve(by=by, ids=[row.pk] if row else [], now=now)
