"""Why an act is refused, in words for whoever asked."""

from collections.abc import Iterator
from contextlib import contextmanager

from club.members import Member
from sessions.practices.models import Practice
from sessions.practices.queries.board import unsafe


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
    before = unsafe(by, practice)
    yield
    broken = tuple(sentence for sentence in unsafe(by, practice) if sentence not in before)
    if broken:
        raise PlanRefused(broken)
