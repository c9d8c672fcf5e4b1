"""What the pages of summaries need in the world of the access tests: approved ones and drafts, and valid bodies."""

from collections.abc import Callable
from datetime import timedelta
from typing import Any

from django.utils import timezone

from sessions.summaries.core.facts import Better, Facts, Turns, first_day
from sessions.summaries.models import Summary

Data = dict[str, Any]
MADE = (
    ("here", "told_nandi", "nandi", True),
    ("here", "told_eero", "eero", True),
    ("here", "told_saoirse", "saoirse", True),
    ("here", "draft_saoirse", "saoirse", False),
    ("elsewhere", "elsewhere_told", "outsider_athlete", True),
    ("elsewhere", "elsewhere_draft", "outsider_athlete", False),
)


def put_summaries(world: Any) -> None:
    """Approved ones with a word of the coach for the reader, and drafts with one that only the coach has read."""
    for where, name, vaulter, approved in MADE:
        athlete = world.athletes[vaulter]
        until = world.today - timedelta(days=3 if approved else 1)
        kind = "summary_told" if approved else "summary_draft"
        row = Summary.objects.create(
            club=athlete.club,
            athlete=athlete,
            since=first_day(until),
            until=until,
            facts=_facts(until).as_row(),
            names={
                "drills": {"walk": world.word("summary_told" if approved else "summary_draft", vaulter, club=where)},
                "points": {"drop-start": {"name": "drop start", "phase": "drop", "cells": ["6"]}},
            },
            own_words=world.word(kind, vaulter, club=where),
            made_at=timezone.now(),
            approved_at=timezone.now() if approved else None,
            approved_by=world.people["head" if where == "here" else "outsider_head"] if approved else None,
        )
        world.put("summary", name, row)


def _facts(until: Any) -> Facts:
    better = (Better("walk", "drop-start", 33, 39, 10, 19),)
    drills = (Turns("walk", 93),)
    return Facts(first_day(until), until, 8, 93, drills, better, goes_on=("walk",), compared=1)


def _told(world: Any, prefix: str, target: tuple[str, ...]) -> Data:
    return {"summary": [world.objects["summary"]["elsewhere_told" if prefix else "told_nandi"].pk]}


def _draft(world: Any, prefix: str, target: tuple[str, ...]) -> Data:
    return {"summary": [world.objects["summary"]["elsewhere_draft" if prefix else "draft_saoirse"].pk]}


BODIES: dict[str, Callable[[Any, str, tuple[str, ...]], Data]] = {
    "ask_summaries": lambda world, prefix, target: {},
    "approve_summaries": _draft,
    "take_back_summaries": _told,
    "edit_summary": lambda world, prefix, target: {"own_words": "A calm month.", "keep": ["drop-start"]},
}


def foreign(world: Any) -> list[tuple[str, Data]]:
    """Posted ids of the other club's summaries: address and body."""
    rows = world.objects["summary"]
    return [
        ("approve_summaries", {"summary": [rows["elsewhere_draft"].pk]}),
        ("take_back_summaries", {"summary": [rows["elsewhere_told"].pk]}),
    ]


def names_in_words(translate: Callable[[str], str]) -> None:
    """What drills and checkpoints were called, each translated: somebody typed it."""
    for row in Summary.objects.all():
        drills = {key: translate(name) for key, name in row.names["drills"].items()}
        points = {key: {**one, "name": translate(one["name"])} for key, one in row.names["points"].items()}
        Summary.objects.filter(pk=row.pk).update(names={"drills": drills, "points": points})
