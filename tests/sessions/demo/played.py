"""A few weeks of the simulator without a database."""

import random
from dataclasses import dataclass, field
from datetime import UTC, date, datetime, time, timedelta
from functools import cache
from pathlib import Path
from uuid import UUID

from drills.core.reading import read_catalogue
from sessions.demo.core.learners import Learner, new_learner
from sessions.demo.core.planning import Spot
from sessions.demo.core.season import Plan, Season, Slot, Words
from sessions.demo.core.tablets import Sending, new_tablet
from sessions.demo.core.trade import Trade, read_trade
from sessions.demo.places import CREWS
from sessions.reps.core.events import Event

DAY = date(2026, 3, 2)
SPOTS = CREWS[0, 1]
STATIONS = {spot.area: UUID(int=number) for number, spot in enumerate(SPOTS, 100)}


@cache
def trade() -> Trade:
    path = Path(__file__).resolve().parents[3] / "fixtures" / "catalogue.yaml"
    return read_trade(read_catalogue(path.read_bytes()))


def slot_on(day: date) -> Slot:
    begins = datetime.combine(day, time(17, 30), UTC)
    blocks = tuple(begins + timedelta(minutes=at) for at in (15, 38, 61))
    return Slot(day, begins, begins + timedelta(minutes=90), blocks, timedelta(minutes=20), (0, 1))


@dataclass
class Played:
    """A season being played. sent: what the devices sent, practice by practice."""

    season: Season
    spots: tuple[Spot, ...] = SPOTS
    sent: list[list[Sending]] = field(default_factory=list)

    def __post_init__(self) -> None:
        self.tablets = {spot.area: new_tablet(self.season.dice, spot.area, spot.runs) for spot in self.spots}

    @property
    def learners(self) -> list[Learner]:
        return list(self.season.learners)

    def plan(self, day: date) -> Plan:
        return self.season.plan(slot_on(day), self.spots)

    def practise(self, day: date) -> Plan:
        planned = self.plan(day)
        self.sent.append(self.season.hold(slot_on(day), planned, self.spots, self.tablets, STATIONS))
        return planned

    def events(self) -> list[Event]:
        return [event for practice in self.sent for sending in practice for event in sending.events]


def make_played(seed: int = 1, vaulters: int = 8, placed: str | None = None) -> Played:
    dice = random.Random(seed)
    learners = [new_learner(dice, trade(), UUID(int=n + 1), n % 2, False, placed) for n in range(vaulters)]
    words = Words(coaches=("Keep the markers.",), athlete=("Slow down, fast up.",))
    played = Played(Season(dice, trade(), learners, words, new_tablet(dice, "Phone", "Marta")))
    for number in range(vaulters):
        if placed:
            played.season.place(number, placed, datetime.combine(DAY, time(9), UTC))
    return played


def play(seed: int = 1, practices: int = 8, **kwargs: object) -> Played:
    """Practices three days apart."""
    played = make_played(seed, **kwargs)  # type: ignore[arg-type]
    for number in range(practices):
        played.practise(DAY + timedelta(days=3 * number))
    return played
