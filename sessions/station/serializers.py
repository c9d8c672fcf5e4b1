"""The page of logging as JSON for its script. Ids are public: uuids and keys."""

from typing import Any

from django.urls import reverse

from club.members import Member
from drills.models import Fault
from sessions.station import words
from sessions.station.core import OfferedFault, columns, in_run_order
from sessions.station.queries.sheet import DrillLine, OfferLine, Sheet, Turn

Json = dict[str, Any]


def station_data(member: Member, sheet: Sheet) -> Json:
    """All that the script reads; nothing of it goes back except ids. Marks and fault counts only for who may read."""
    club = member.club.slug
    return {
        "events_url": reverse("api_events", args=[club, sheet.practice.pk]),
        "practice": str(sheet.practice.pk),
        "station": str(sheet.station.pk) if sheet.station else None,
        "ends": sheet.ends.isoformat() if sheet.ends else None,
        "reads_marks": sheet.reads_marks,
        "marks_attendance": sheet.marks_attendance,
        "holder": _holder(sheet),
        "turns": [_turn(turn) | {"adjusted": _adjusted(sheet, turn)} for turn in sheet.turns],
        "adjustments": {one.key: {"name": one.name, "how": one.how} for one in sheet.adjusting.everything},
        "mends": sheet.adjusting.mends,
        "drills": {line.drill.key: _drill(line) for line in sheet.drills},
        "words": words.all_words(),
    }


def _holder(sheet: Sheet) -> Json | None:
    holder = sheet.holder
    return holder and {"device": str(holder.device), "name": holder.name, "since": holder.since.isoformat()}


def _turn(turn: Turn) -> Json:
    only = turn.drill.steps[0] if len(turn.drill.steps) == 1 else None
    return {
        "athlete": str(turn.athlete.pk),
        "name": turn.name,
        "hand": turn.athlete.hand,
        "drill": turn.drill.key,
        "steps": turn.steps or only,
        "say_steps": len(turn.drill.steps) > 1 and bool(turn.steps),
        "state": turn.state,
        "held": turn.held,
        "shut": turn.shut,
        "done": turn.done.turns,
        "marks": list(turn.done.marks),
        "faults": dict(turn.done.faults),
    }


def _adjusted(sheet: Sheet, turn: Turn) -> list[Json]:
    return [{"key": used.key, "uuid": str(used.uuid)} for used in sheet.adjusting.used.get(turn.athlete.pk, [])]


def _drill(line: DrillLine) -> Json:
    offered = [_offered(row, fault) for row in line.offers for fault in row.faults]
    order = {fault.key: place for place, fault in enumerate(in_run_order(offered))}
    return {
        "name": line.drill.name,
        "unit": line.drill.unit,
        "risk": line.drill.risk,
        "gate": [row.offer.checkpoint.key for row in line.offers if row.offer.gate],
        "checkpoints": [_checkpoint(row) for row in line.offers],
        "faults": {f.key: _fault(row, f, order[f.key]) for row in line.offers for f in row.faults},
        "columns": columns(offered),
    }


def _offered(row: OfferLine, fault: Fault) -> OfferedFault:
    return OfferedFault(fault.key, row.offer.checkpoint.phase, row.offer.gate, (row.offer.order, fault.order))


def _checkpoint(row: OfferLine) -> Json:
    checkpoint = row.offer.checkpoint
    return {
        "key": checkpoint.key,
        "name": checkpoint.name,
        "phase": checkpoint.phase,
        "good": row.offer.good or checkpoint.good,
        "gate": row.offer.gate,
        "from_steps": row.offer.from_steps,
    }


def _fault(row: OfferLine, fault: Fault, place: int) -> Json:
    return {
        "label": fault.label,
        "name": fault.name,
        "checkpoint": row.offer.checkpoint.key,
        "phase": row.offer.checkpoint.phase,
        "cells": row.offer.checkpoint.cells,
        "place": place,
        "unsafe": fault.unsafe,
        "cue": fault.cues[0] if fault.cues else "",
    }
