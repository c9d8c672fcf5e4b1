"""Values of the opening rules: where an athlete stands with a drill, what happened to it, and why."""

import enum
from collections.abc import Mapping
from dataclasses import dataclass, field, fields
from datetime import date
from typing import Any, Self

from athletes.core.readiness import EMPTY, Outcome, State
from athletes.core.sequence import Place


class Standing(enum.Enum):
    """Of athlete and drill. A restriction lays *held* over any of them."""

    NOT_OPEN = "not open"
    OPEN = "open"
    SETTLED = "settled"
    CLOSED_AGAIN = "closed again"


class OpenedBy(enum.Enum):
    """CONTACT_TOUCH and PLACEMENT are the only ones that open a contact drill; both are the head coach's."""

    NO_NEEDS = "no needs"
    FIGURES = "figures"
    TOUCH = "touch"
    CONTACT_TOUCH = "contact touch"
    PLACEMENT = "placement"


class ClosedBy(enum.Enum):
    """BELOW: what it was opened through, or rests on, closed."""

    WARM_UP_CHECK = "warm-up check"
    UNSAFE_REP = "unsafe rep"
    EASIER_DRILL = "easier drill"
    START_OVER = "start over"
    BELOW = "below"


class SettledBy(enum.Enum):
    FIGURES = "figures"
    COACH = "coach"


class DecisionKind(enum.Enum):
    """A coach's one touch. KEEP_ON (against advice) is kept and changes nothing that is legal."""

    TOUCH = "touch"
    PLACE = "place"
    SETTLED = "settled"
    KEEP_ON = "keep on"
    EASIER_DRILL = "easier drill"
    START_OVER = "start over"


@dataclass(frozen=True, slots=True)
class Attempt:
    """A rep of any drill of the progression. by_helper: a helper marked it, so it never counts towards contact."""

    place: Place
    drill: str
    outcome: Outcome
    by_helper: bool = False

    @property
    def day(self) -> date:
        return self.place.day


@dataclass(frozen=True, slots=True)
class Decision:
    """A coach's decision. Only a head coach's has effect; any other is refused in the changes."""

    place: Place
    drill: str
    kind: DecisionKind
    by_head_coach: bool

    @property
    def day(self) -> date:
        return self.place.day


@dataclass(frozen=True, slots=True)
class WarmUpCheck:
    """Of the floor drill `need` through which figures opened another. practices: those since the opening; last: their
    last day (the day of opening at first); seen, bad: counted reps over those practices."""

    need: str
    last: date
    practices: int = 0
    seen: int = 0
    bad: int = 0


@dataclass(frozen=True, slots=True)
class Track:
    """One athlete at one drill. Either opened or closed is set, or neither (never opened).

    coached: the state without helpers' marks, None while it is the same; settled_coached: settled by figures without
    them.
    """

    state: State = EMPTY
    coached: State | None = None
    opened_by: OpenedBy | None = None
    opened_on: date | None = None
    closed_by: ClosedBy | None = None
    closed_on: date | None = None
    settled_by: SettledBy | None = None
    settled_on: date | None = None
    settled_coached: bool = False
    checks: tuple[WarmUpCheck, ...] = ()

    def to_row(self) -> dict[str, Any]:
        """Plain values for storage (JSON-safe)."""
        return {
            "state": self.state.to_row(),
            "coached": self.coached.to_row() if self.coached else None,
            "opened_by": self.opened_by.value if self.opened_by else None,
            "opened_on": self.opened_on.isoformat() if self.opened_on else None,
            "closed_by": self.closed_by.value if self.closed_by else None,
            "closed_on": self.closed_on.isoformat() if self.closed_on else None,
            "settled_by": self.settled_by.value if self.settled_by else None,
            "settled_on": self.settled_on.isoformat() if self.settled_on else None,
            "settled_coached": self.settled_coached,
            "checks": [
                {f.name: getattr(check, f.name) for f in fields(check)} | {"last": check.last.isoformat()}
                for check in self.checks
            ],
        }

    @classmethod
    def from_row(cls, row: dict[str, Any]) -> Self:
        """The track that `to_row` wrote. KeyError, TypeError or ValueError for anything else."""
        days = {key: date.fromisoformat(row[key]) if row[key] else None for key in _DAYS}
        return cls(
            state=State.from_row(row["state"]),
            coached=State.from_row(row["coached"]) if row["coached"] else None,
            opened_by=OpenedBy(row["opened_by"]) if row["opened_by"] else None,
            closed_by=ClosedBy(row["closed_by"]) if row["closed_by"] else None,
            settled_by=SettledBy(row["settled_by"]) if row["settled_by"] else None,
            settled_coached=row["settled_coached"],
            checks=tuple(WarmUpCheck(**{**c, "last": date.fromisoformat(c["last"])}) for c in row["checks"]),
            **days,
        )


_DAYS = ("opened_on", "closed_on", "settled_on")
UNTOUCHED = Track()


@dataclass(frozen=True, slots=True)
class Book:
    """All of one athlete: a track for each drill that has one, and the last day with a rep."""

    tracks: Mapping[str, Track] = field(default_factory=dict)
    day: date | None = None

    def track(self, drill: str) -> Track:
        return self.tracks.get(drill, UNTOUCHED)

    def to_row(self) -> dict[str, Any]:
        """Plain values for storage (JSON-safe)."""
        tracks = {drill: track.to_row() for drill, track in self.tracks.items()}
        return {"day": self.day.isoformat() if self.day else None, "tracks": tracks}

    @classmethod
    def from_row(cls, row: dict[str, Any]) -> Self:
        """The book that `to_row` wrote."""
        tracks = {drill: Track.from_row(track) for drill, track in row["tracks"].items()}
        return cls(tracks, date.fromisoformat(row["day"]) if row["day"] else None)


class Lack(enum.Enum):
    """What a need still lacks."""

    NOT_OPEN = "not open"
    TOO_LITTLE_SEEN = "too little seen"
    TOO_FEW_GOOD = "too few good"
    LAST_BAD = "last bad"
    LOW_END_LOW = "low end low"
    NOT_SETTLED = "not settled by figures"
    UNSAFE_LATELY = "unsafe lately"


@dataclass(frozen=True, slots=True)
class NeedTest:
    """How one need stands the test of its risk class, with the figures as of its last counted rep.

    recent: last counted reps, "1" good; low: low end of the likely range; n: weight of evidence;
    since_unsafe: counted reps since the last unsafe one, None if there never was one.
    """

    need: str
    lacking: tuple[Lack, ...]
    recent: str
    low: float
    n: float
    since_unsafe: int | None

    @property
    def met(self) -> bool:
        return not self.lacking


class ChangeKind(enum.Enum):
    """REFUSED: a decision without effect. TRIED_UNOPENED: a rep at a contact drill that was not open."""

    OPENED = "opened"
    CLOSED = "closed"
    SETTLED = "settled"
    NO_LONGER_SETTLED = "no longer settled"
    CHECK_PASSED = "check passed"
    CHECK_LAPSED = "check lapsed"
    REFUSED = "refused"
    TRIED_UNOPENED = "tried unopened"


@dataclass(frozen=True, slots=True)
class Change:
    """One thing that the fold changed (or refused) at a drill, in the order it happened.

    cause: the rep or decision; by: the rule that spoke (for REFUSED the decision's kind); through: the other drill it
    came from, if any; tests: the needs as they stood, for an opening by figures or touch and for a refused contact
    touch.
    """

    drill: str
    kind: ChangeKind
    cause: Place
    by: OpenedBy | ClosedBy | SettledBy | DecisionKind | None = None
    through: str | None = None
    tests: tuple[NeedTest, ...] = ()


@dataclass(frozen=True, slots=True)
class DrillStanding:
    """Where the athlete stands with a drill, for pages and plans."""

    drill: str
    standing: Standing
    held: bool
    opened_by: OpenedBy | None
    closed_by: ClosedBy | None
    settled_by: SettledBy | None
    since: date | None
    """Day of the opening, closing or settling that made it so; None for a drill that never was anything else."""

    @property
    def may_try(self) -> bool:
        return self.standing in (Standing.OPEN, Standing.SETTLED) and not self.held
