"""Why an act is refused, in words for whoever asked."""

from collections.abc import Iterator
from contextlib import contextmanager

from club.members import Member
from sessions.practices.models import Practice
from sessions.practices.queries.board import broken


class NotNow(Exception):
    """The practice does not stand so that this can be done. The message is for the coach; nothing was changed."""


class PlanRefused(Exception):
    """Rules that the plan would break, a sentence each. Nothing was changed.

    unsafe: those by which somebody could be hurt; senseless: those by which the plan would say nothing.
    """

    def __init__(self, unsafe: tuple[str, ...], senseless: tuple[str, ...] = ()) -> None:
        super().__init__(" ".join((*unsafe, *senseless)))
        self.unsafe, self.senseless = unsafe, senseless


@contextmanager
def no_less_safe(by: Member, practice: Practice) -> Iterator[None]:
    """Around writes of a transaction that change what a plan rests on: raises PlanRefused for what breaks by them."""
    before = broken(by, practice)
    yield
    after = broken(by, practice)
    unsafe = tuple(sentence for sentence in after.unsafe if sentence not in before.unsafe)
    senseless = tuple(sentence for sentence in after.senseless if sentence not in before.senseless)
    if unsafe or senseless:
        raise PlanRefused(unsafe, senseless)
