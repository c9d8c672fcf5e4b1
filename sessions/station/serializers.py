"""What the script of a station reads, as JSON, on the page or taken along. Ids are public: uuids and keys."""

from datetime import datetime
from typing import Any

from club.members import Member
from club.templatetags.look import run_strip
from drills.models import Fault
from sessions.practices.models import Practice
from sessions.station.core import OfferedFault, columns, in_run_order
from sessions.station.queries.along import Along
from sessions.station.queries.cards import TakenCard
from sessions.station.queries.rows import span
from sessions.station.queries.sheet import DrillLine, OfferLine, Sheet, Turn

Json = dict[str, Any]


def station_data(member: Member, sheet: Sheet, now: datetime) -> Json:
    """One station in one block. Marks and fault counts only for who may read them."""
    drills = {line.drill.key: _drill(line) for line in sheet.drills}
    return {**_of(member, sheet.practice, sheet, now), **_sheet(sheet), "drills": drills}


def bundle_data(member: Member, taken: Along, now: datetime) -> Json:
    """A practice as it is taken along: no mass, no reason of a restriction, no note, no emergency card."""
    practice = taken.practice
    return {
        **_of(member, practice, taken, now),
        "until": taken.until.isoformat(),
        "cancelled": practice.cancelled_at is not None,
        "published": practice.published_at is not None,
        "day": practice.day.isoformat(),
        "starts": practice.starts.isoformat("minutes"),
        "finishes": practice.ends.isoformat("minutes"),
        "sheets": [_sheet(sheet) for sheet in taken.sheets],
        "drills": {line.drill.key: _drill(line) for line in taken.drills},
        "free": list(taken.free),
        "roster": [
            {
                "athlete": str(person.athlete.pk),
                "name": person.name,
                "hand": person.athlete.hand,
                "excluded": sorted(risk.value for risk in person.excluded),
            }
            for person in taken.roster
        ],
    }


def cards_data(practice: Practice, cards: list[TakenCard], now: datetime) -> Json:
    """Emergency cards of whoever is expected, and the venue's own."""
    venue = practice.venue
    place = ("name", "address", "defibrillator", "first_aid", "who_calls", "who_meets")
    return {
        "as_of": now.isoformat(),
        "venue": {name: getattr(venue, name) for name in place},
        "cards": [card.plain() for card in cards],
    }


def _of(member: Member, practice: Practice, seen: Sheet | Along, now: datetime) -> Json:
    return {
        "club": member.club.slug,
        "person": str(member.person.pk),
        "practice": str(practice.pk),
        "place": practice.venue.name,
        "as_of": now.isoformat(),
        "reads_marks": seen.reads_marks,
        "marks_attendance": seen.marks_attendance,
        "adjustments": {one.key: {"name": one.name, "how": one.how} for one in seen.adjusting.everything},
        "mends": seen.adjusting.mends,
    }


def _sheet(sheet: Sheet) -> Json:
    return {
        "station": str(sheet.station.pk) if sheet.station else None,
        "name": sheet.name,
        "block": sheet.block.number if sheet.block else None,
        "blocks": [
            {"number": b.number, "starts": f"{b.starts:%H:%M}", "from": span(sheet.practice, b)[0].isoformat()}
            for b in sheet.blocks
        ],
        "ends": sheet.ends.isoformat() if sheet.ends else None,
        "floor_only": sheet.floor_only,
        "holder": _holder(sheet),
        "turns": [_turn(turn) | {"adjusted": _adjusted(sheet, turn)} for turn in sheet.turns],
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
        "stand": turn.stand,
        "done": turn.done.turns,
        "marks": list(turn.done.marks),
        "faults": dict(turn.done.faults),
        "usual": dict(turn.usual),
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
        "strips": {
            hand: run_strip("tablet", hand, lit="contact", off=line.off, end=line.end) for hand in ("left", "right")
        },
        "safety": [{"title": text.title, "text": text.text} for text in line.safety],
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
        "seen_from": checkpoint.seen_from,
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
