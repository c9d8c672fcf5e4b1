"""Reads of this room: lists of reps, what waits for a look, and what the actions ask for."""

from sessions.reps.queries.reading import (
    Page,
    deciding_looks,
    holds,
    needs_a_look,
    reps_of_athlete,
    reps_of_practice,
    turns_done,
)

__all__ = [
    "Page",
    "deciding_looks",
    "holds",
    "needs_a_look",
    "reps_of_athlete",
    "reps_of_practice",
    "turns_done",
]
