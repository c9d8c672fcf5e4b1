"""Writes of this room: taking events, and what coaches settle at the desk."""

from sessions.reps.actions.settle import (
    accept,
    attach,
    correct,
    drop,
    one_attempt,
    rep_of_its_own,
    take_back,
    two_attempts,
)
from sessions.reps.actions.take import Answer, Result, take_events

__all__ = [
    "Answer",
    "Result",
    "accept",
    "attach",
    "correct",
    "drop",
    "one_attempt",
    "rep_of_its_own",
    "take_back",
    "take_events",
    "two_attempts",
]
