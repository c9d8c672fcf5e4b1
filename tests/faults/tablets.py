"""Tablets that log reps over HTTP as fast as they are answered, and keep their own record of what they were told.

Like the page of a station, a tablet sends a batch until the server has answered for it, always with the same uuids.
"""

import http.client
import json
import random
import time
from dataclasses import dataclass, field
from datetime import UTC, datetime, timedelta
from threading import Event, Thread
from typing import Any
from uuid import UUID, uuid4

TOKEN = "c" * 32  # against forgery: the cookie and the header have to agree
GIVE_UP_S = 60.0
KEEPS = 0.15  # the share of batches that are sent after later ones


@dataclass(slots=True)
class Sent:
    """One event: as it was sent, when it truly was, and every state that the server answered for it."""

    said: dict[str, Any]
    true: datetime
    practice: str
    states: list[str] = field(default_factory=list)


class Tablet(Thread):
    """off: how far its clock is from the true time. broken: batches that got no answer; odd: answers but 200.

    late: events that came after others that happened later; ``kept`` holds those that still lie on the tablet.
    """

    def __init__(self, lane: dict[str, Any], port: int, seed: int, off: timedelta) -> None:
        super().__init__(daemon=True)
        self.lane, self.port, self.off = lane, port, off
        self.chance, self.device = random.Random(seed), str(UUID(int=seed))
        self.sent: list[Sent] = []
        self.answered = self.broken = self.late = 0
        self.kept: list[list[Sent]] = []
        self.odd: list[str] = []
        self.enough = Event()
        self.sequence = 0

    def run(self) -> None:
        self.send([self.make("hold", station=self.lane["station"])])
        while not self.enough.is_set():
            batch = [self.next() for _ in range(self.chance.randint(1, 6))]
            if self.chance.random() < KEEPS:
                self.kept.append(batch)
            else:
                self.send(batch)
                if self.kept and self.chance.random() < KEEPS:
                    self.send_late(self.kept.pop(0))
            time.sleep(self.chance.random() * 0.04)
        for batch in self.kept:
            self.send_late(batch)

    # --- what happens at the station ---

    def next(self) -> Sent:
        # Whatever speaks of a rep for the second time waits for a coach; here all shall count at once.
        gone = {sent.said.get("target") for sent in self.sent}
        gone |= {sent.said["uuid"] for batch in self.kept for sent in batch}  # they would wait for their target
        reps = [sent.said["uuid"] for sent in self.sent if sent.said["kind"] == "rep" and sent.said["uuid"] not in gone]
        kinds, shares = ("rep", "set", "correction", "void", "attendance", "note"), (12, 2, 2, 1, 1, 1)
        kind = self.chance.choices(kinds, shares)[0] if reps else "rep"
        if kind in {"void", "correction"}:
            target = self.chance.choice(reps)
            return self.make(kind, target=target, **({} if kind == "void" else self.marks()))
        who: dict[str, Any] = {"athlete": self.chance.choice(self.lane["athletes"])}
        if kind == "attendance":
            return self.make(kind, **who, state=self.chance.choice(("here", "late")))
        if kind == "note":
            return self.make(kind, **who, text=f"Said {self.sequence}", reader="coaches")
        who |= {"drill": self.chance.choice(("drop", "walk")), "station": self.lane["station"]}
        return self.make(kind, **who, **(self.marks() if kind == "rep" else self.a_set()))

    def marks(self) -> dict[str, Any]:
        fault = self.chance.random() < 0.3
        return {"watched": ["timing"], "faults": ["timing-late"] if fault else []}

    def a_set(self) -> dict[str, Any]:
        done = self.chance.randint(1, 6)
        faulty = self.chance.randint(0, done)
        counts = {"timing-late": faulty} if faulty else {}
        return {"done": done, "watch_set": ["timing"], "watched": done, "faulty": faulty, "counts": counts}

    def make(self, kind: str, **content: Any) -> Sent:
        self.sequence += 1
        true = datetime.now(UTC)
        head = {"uuid": str(uuid4()), "kind": kind, "at": (true + self.off).isoformat(), "sequence": self.sequence}
        made = Sent({**head, **content}, true, self.lane["practice"])
        self.sent.append(made)
        return made

    # --- the way to the server ---

    def send_late(self, batch: list[Sent]) -> None:
        self.late += len(batch)
        self.send(batch)

    def send(self, batch: list[Sent]) -> None:
        """Until it is answered for."""
        deadline = time.monotonic() + GIVE_UP_S
        while time.monotonic() < deadline:
            try:
                results = self.post([sent.said for sent in batch])
            except (OSError, http.client.HTTPException):
                self.broken += 1
                time.sleep(0.03)
                continue
            for sent, result in zip(batch, results, strict=True):
                assert result["uuid"] == sent.said["uuid"]
                sent.states.append(" ".join(filter(None, (result["state"], result["reason"]))))
            self.answered += 1
            return
        self.odd.append(f"no answer in {GIVE_UP_S} s")
        self.enough.set()

    def post(self, events: list[dict[str, Any]]) -> list[dict[str, Any]]:
        now = (datetime.now(UTC) + self.off).isoformat()
        body = {"version": 1, "device": {"uuid": self.device, "name": "Tablet"}, "sent_at": now, "events": events}
        headers = {
            "Content-Type": "application/json",
            "Cookie": f"sessionid={self.lane['session']}; csrftoken={TOKEN}",
            "X-CSRFToken": TOKEN,
        }
        connection = http.client.HTTPConnection("127.0.0.1", self.port, timeout=15)
        try:
            connection.request("POST", self.lane["path"], json.dumps(body), headers)
            answer = connection.getresponse()
            text = answer.read()
        finally:
            connection.close()
        if answer.status != 200:
            self.odd.append(f"{answer.status}: {text[:200]!r}")
            raise http.client.HTTPException(answer.status)
        results: list[dict[str, Any]] = json.loads(text)["results"]
        return results
