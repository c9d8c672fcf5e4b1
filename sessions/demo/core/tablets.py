"""What is sent: events by the clock of the device they were made on, and when the server has them."""

from dataclasses import dataclass, field
from datetime import datetime, timedelta
from uuid import UUID

from sessions.demo.core.dice import Dice, new_uuid
from sessions.reps.core import events
from sessions.reps.core.events import Content, Event, Kind

ON_THE_WAY = timedelta(milliseconds=400)
KINDS: dict[type, Kind] = {
    events.RepMarks: Kind.REP,
    events.SetOfReps: Kind.SET,
    events.LookMarks: Kind.LOOK,
    events.Void: Kind.VOID,
    events.Correction: Kind.CORRECTION,
    events.Hold: Kind.HOLD,
    events.Release: Kind.RELEASE,
    events.AttendanceMark: Kind.ATTENDANCE,
    events.OutOfPractice: Kind.OUT_OF_PRACTICE,
    events.Note: Kind.NOTE,
}


@dataclass(frozen=True, slots=True)
class Sending:
    """One request of a device. by: whose device, their key in the list of people. received_at: the server's clock."""

    device: UUID
    name: str
    by: str
    sent_at: datetime
    received_at: datetime
    events: tuple[Event, ...]


@dataclass(slots=True)
class Tablet:
    """A device in somebody's hand. ahead: how far its clock is wrong."""

    device: UUID
    name: str
    by: str
    ahead: timedelta
    sequence: int = 0
    waiting: list[Event] = field(default_factory=list)

    def log(self, dice: Dice, at: datetime, content: Content) -> Event:
        """at: when it truly happened."""
        self.sequence += 1
        made = Event(new_uuid(dice), KINDS[type(content)], at + self.ahead, self.sequence, content)
        self.waiting.append(made)
        return made

    def send(self, at: datetime) -> list[Sending]:
        """What has been logged since the last time, in as many requests as it takes."""
        waiting, self.waiting = self.waiting, []
        parts = [waiting[k : k + events.MOST_EVENTS] for k in range(0, len(waiting), events.MOST_EVENTS)]
        sent, received = at + self.ahead, at + ON_THE_WAY
        return [Sending(self.device, self.name, self.by, sent, received, tuple(part)) for part in parts]


def new_tablet(dice: Dice, name: str, by: str) -> Tablet:
    """With a clock that is a little off."""
    return Tablet(new_uuid(dice), name, by, timedelta(seconds=round(dice.uniform(-90, 90), 3)))
