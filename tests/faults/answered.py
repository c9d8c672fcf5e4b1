"""What the database says, asked past the site, held against what tablets were answered for."""

import json
from collections import Counter
from datetime import UTC, datetime, timedelta
from typing import Any
from uuid import UUID

from tests.faults.forked import Duties
from tests.faults.tablets import Sent

TRIP = timedelta(seconds=10)  # what a request may take on a busy machine, which its tablet's clock is then off by


def stored(duties: Duties) -> list[dict[str, Any]]:
    rows = duties.ask("SELECT uuid, kind, practice_id, sequence, device_at, at, content FROM reps_event")
    names = ("uuid", "kind", "practice", "sequence", "device_at", "at", "content")
    return [
        {
            **dict(zip(names, row, strict=True)),
            "uuid": as_uuid(row[0]),
            "practice": as_uuid(row[2]),
            "device_at": as_moment(row[4]),
            "at": as_moment(row[5]),
            "content": json.loads(row[6]) if isinstance(row[6], str) else row[6],
        }
        for row in rows
    ]


def as_uuid(value: Any) -> str:
    return str(UUID(str(value)))


def as_moment(value: Any) -> datetime:
    """SQLite keeps text without a zone, which is UTC."""
    moment = datetime.fromisoformat(value) if isinstance(value, str) else value
    return moment if moment.tzinfo else moment.replace(tzinfo=UTC)


def differences(sent: list[Sent], rows: list[dict[str, Any]]) -> list[str]:
    """Where the events are not exactly the ones that were answered for, each once, as sent, at their true time."""
    there = Counter(row["uuid"] for row in rows)
    wanted = Counter(one.said["uuid"] for one in sent)
    found = [f"{uuid}: sent once, there {there[uuid]} times" for uuid in wanted | there if there[uuid] != wanted[uuid]]
    rows_by_uuid = {row["uuid"]: row for row in rows}
    for one in sent:
        row = rows_by_uuid.get(one.said["uuid"])
        if row and not is_as_sent(one, row):
            found.append(f"{one} is stored as {row}")
    return found


def is_as_sent(one: Sent, row: dict[str, Any]) -> bool:
    head = {"uuid", "kind", "at", "sequence"}
    content = {name: value for name, value in one.said.items() if name not in head}
    return (
        (row["kind"], row["practice"], row["sequence"]) == (one.said["kind"], one.practice, one.said["sequence"])
        and row["content"] == content
        and row["device_at"] == datetime.fromisoformat(one.said["at"])
        and abs(row["at"] - one.true) < TRIP
    )


def rep_differences(sent: list[Sent], duties: Duties) -> list[str]:
    """Reps that events should have made and did not, or made twice, or made of nothing."""
    made = Counter(as_uuid(row[0]) for row in duties.ask("SELECT source FROM reps_rep"))
    wanted = Counter({one.said["uuid"]: one.said.get("done", 1) for one in sent if one.said["kind"] in {"rep", "set"}})
    return [f"{uuid}: {made[uuid]} reps of {wanted[uuid]}" for uuid in wanted | made if made[uuid] != wanted[uuid]]
