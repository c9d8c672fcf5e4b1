"""From day counts to what a summary may say. Every number that a reader sees stands here, and in no other place.

``now`` is the period of the summary, ``before`` as many days before it. A checkpoint of a drill *got better* if both
periods saw enough of it and Newcombe's interval of the difference excludes no change, at a level at which all
comparisons of this summary hold together: a parent who reads two of twenty comparisons must be able to rely on both.
"""

from collections import Counter, defaultdict
from collections.abc import Iterable, Sequence
from dataclasses import asdict, dataclass
from datetime import date, timedelta
from typing import Any, Self

from sessions.summaries.core.evidence import Share, deviate, difference

PERIOD_DAYS = 28
MOST_BETTER = 2
"""What a reader takes in. The coaches' pages show the rest."""
MOST_DRILLS = 3
MOST_NEXT = 2


@dataclass(frozen=True, slots=True)
class DrillDay:
    """Reps done of a drill on a day. drill: its key."""

    drill: str
    day: date
    done: int


@dataclass(frozen=True, slots=True)
class CheckDay:
    """Reps of a drill on a day on which a checkpoint was watched. 0 ≤ faulty ≤ watched."""

    drill: str
    checkpoint: str
    day: date
    watched: int
    faulty: int


@dataclass(frozen=True, slots=True)
class Turns:
    drill: str
    turns: int


@dataclass(frozen=True, slots=True)
class Better:
    """Good of watched reps, in the period and in the one before it."""

    drill: str
    checkpoint: str
    good: int
    watched: int
    good_before: int
    watched_before: int


@dataclass(frozen=True, slots=True)
class Facts:
    """since, until: first and last day, both included. days: practised. drills: most turns first. opened: decided by
    the head coach in the period. goes_on: in work, practised last. compared: how many comparisons were made."""

    since: date
    until: date
    days: int
    turns: int
    drills: tuple[Turns, ...] = ()
    better: tuple[Better, ...] = ()
    opened: tuple[str, ...] = ()
    goes_on: tuple[str, ...] = ()
    compared: int = 0

    def as_row(self) -> dict[str, Any]:
        """Plain values for a JSON column; ``from_row`` reads them."""
        return {**asdict(self), "since": self.since.isoformat(), "until": self.until.isoformat()}

    @classmethod
    def from_row(cls, row: dict[str, Any]) -> Self:
        return cls(
            since=date.fromisoformat(row["since"]),
            until=date.fromisoformat(row["until"]),
            days=row["days"],
            turns=row["turns"],
            drills=tuple(Turns(**one) for one in row["drills"]),
            better=tuple(Better(**one) for one in row["better"]),
            opened=tuple(row["opened"]),
            goes_on=tuple(row["goes_on"]),
            compared=row["compared"],
        )


def first_day(until: date) -> date:
    return until - timedelta(days=PERIOD_DAYS - 1)


def gather(
    done: Iterable[DrillDay],
    checks: Iterable[CheckDay],
    until: date,
    opened: Sequence[str] = (),
    settled: Iterable[str] = (),
) -> Facts:
    """The facts of the period that ends on ``until``. opened: keys of drills, by decision. settled: those that need
    no more work, by decision."""
    since = first_day(until)
    within = [row for row in done if since <= row.day <= until and row.done]
    better, compared = _better(checks, since, until)
    return Facts(
        since=since,
        until=until,
        days=len({row.day for row in within}),
        turns=sum(row.done for row in within),
        drills=_most(within),
        better=better,
        opened=tuple(opened),
        goes_on=_goes_on(within, {*settled, *opened}, opened),
        compared=compared,
    )


def _most(rows: Iterable[DrillDay]) -> tuple[Turns, ...]:
    turns: Counter[str] = Counter()
    for row in rows:
        turns[row.drill] += row.done
    ordered = sorted(turns.items(), key=lambda pair: (-pair[1], pair[0]))
    return tuple(Turns(drill, n) for drill, n in ordered[:MOST_DRILLS])


def _goes_on(rows: Iterable[DrillDay], done_with: set[str], opened: Sequence[str]) -> tuple[str, ...]:
    """What was opened goes on; then what was practised last and is not settled."""
    last: dict[str, tuple[date, int]] = {}
    for row in rows:
        last[row.drill] = max(last.get(row.drill, (row.day, 0)), (row.day, row.done))
    ordered = sorted(last, key=lambda key: (last[key], key), reverse=True)
    return (*opened, *(key for key in ordered if key not in done_with))[:MOST_NEXT]


def _better(checks: Iterable[CheckDay], since: date, until: date) -> tuple[tuple[Better, ...], int]:
    """What got better, surest first, and how many comparisons that took."""
    pairs = [(key, now, before) for key, (now, before) in _shares(checks, since, until) if now.enough and before.enough]
    z = deviate(compared=len(pairs))
    lows = {key: difference(now, before, z).low for key, now, before in pairs}
    found = sorted((one for one in pairs if lows[one[0]] > 0), key=lambda one: (-lows[one[0]], one[0]))
    said: dict[str, Better] = {}
    for (drill, checkpoint), now, before in found:  # a checkpoint once, at the drill where it is surest
        said.setdefault(checkpoint, Better(drill, checkpoint, now.good, now.watched, before.good, before.watched))
    return tuple(said.values())[:MOST_BETTER], len(pairs)


def _shares(
    checks: Iterable[CheckDay], since: date, until: date
) -> Iterable[tuple[tuple[str, str], tuple[Share, Share]]]:
    """By drill and checkpoint: the period, and as many days before it."""
    start = since - timedelta(days=PERIOD_DAYS)
    rows: defaultdict[tuple[str, str], tuple[list[CheckDay], list[CheckDay]]] = defaultdict(lambda: ([], []))
    for row in checks:
        if start <= row.day <= until:
            rows[row.drill, row.checkpoint][0 if row.day >= since else 1].append(row)
    return [(key, (_share(now), _share(before))) for key, (now, before) in rows.items()]


def _share(rows: Sequence[CheckDay]) -> Share:
    watched = sum(row.watched for row in rows)
    return Share(watched - sum(row.faulty for row in rows), watched, len({row.day for row in rows if row.watched}))
