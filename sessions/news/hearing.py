"""Hears of changes of practices, inside the transaction of the change."""

from club.members import Member
from sessions.news import actions
from sessions.practices.changes import Change, tells


@tells
def hear(by: Member, change: Change) -> None:
    actions.note_change(by=by, change=change)
