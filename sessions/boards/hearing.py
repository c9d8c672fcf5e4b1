"""Hears that a practice moved: its readers are told on their pages where it was."""

from club.members import Member
from sessions.boards.actions import note_move
from sessions.practices.changes import Change, ChangeKind, tells


@tells
def remember_where_it_was(by: Member, change: Change) -> None:
    if change.kind is ChangeKind.MOVED and change.was and change.practice.published_at:
        note_move(by=by, practice=change.practice, was=change.was)
