"""What a coach logs of the attempts they watch, and what the opening rules then know of them."""

from collections import Counter
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import date, datetime
from uuid import UUID

from athletes.core.opening import step
from athletes.core.readiness import Outcome, Settings, outcome_of
from athletes.core.sequence import Place, SetMarks, expand
from athletes.core.standing import Attempt
from drills.core.catalogue import Drill
from sessions.demo.core.dice import Dice, chance, one_of
from sessions.demo.core.learners import Learner
from sessions.demo.core.tablets import Tablet
from sessions.demo.core.trade import Trade
from sessions.reps.core.events import Correction, Event, RepMarks, SetOfReps, Void

SETTINGS = Settings()
LOOKED_AWAY = 0.08
OVERLOOKED = 0.04
NOTICED = 0.06
TAPPED_TWICE = 0.012
CORRECTED = 0.012
MOST_FAULTS = 2
AT_THE_TARGET = 0.25
"""How often the coach watches a vaulter's own target instead of the drill's gate."""
SET = 5
SEEN_OF_A_SET = (5, 5, 5, 5, 4, 4, 3, 0)


@dataclass(frozen=True, slots=True)
class Scene:
    """Where somebody takes turns, and who logs it. by_helper: their marks never lead to contact."""

    day: date
    tablet: Tablet
    station: UUID
    drill: Drill
    steps: int | None
    by_helper: bool


def focus(dice: Dice, trade: Trade, learner: Learner, drill: Drill, steps: int | None) -> frozenset[str]:
    """What is watched: the gate, or where this vaulter's typical fault and what it leads to are seen."""
    target = {trade.checkpoint_of[fault] for fault in learner.chain}
    offered = target <= set(trade.offered(drill, steps)) and trade.seen_together(target)
    return frozenset(target if offered and chance(dice, AT_THE_TARGET) else drill.gate)


def _seen(dice: Dice, trade: Trade, happened: Iterable[str], watched: frozenset[str]) -> list[str]:
    """The faults that are logged: of what is watched the first two in the run, and now and then another one."""
    in_run = sorted(happened, key=lambda fault: (trade.place[trade.checkpoint_of[fault]], fault))
    inside = [f for f in in_run if trade.checkpoint_of[f] in watched and not chance(dice, OVERLOOKED)]
    outside = [f for f in in_run if trade.checkpoint_of[f] not in watched]
    return inside[:MOST_FAULTS] + (outside[:1] if outside and chance(dice, NOTICED) else [])


def log_rep(
    dice: Dice, trade: Trade, learner: Learner, scene: Scene, at: datetime, watched: frozenset[str],
    happened: frozenset[str], unsafe: bool,
) -> Event:  # fmt: skip
    """One attempt. Sometimes nobody looked, the finger slipped, or the wrong fault was tapped and put right."""
    watched = frozenset() if chance(dice, LOOKED_AWAY) else watched
    faults = frozenset(_seen(dice, trade, happened, watched) if watched else ())

    def marks(seen: frozenset[str]) -> RepMarks:
        return RepMarks(learner.id, scene.drill.key, watched, seen, scene.station, True if unsafe else None)

    if faults and chance(dice, CORRECTED):
        event = scene.tablet.log(dice, at, marks(frozenset()))
        scene.tablet.log(dice, at, Correction(event.uuid, faults=faults))
    else:
        event = scene.tablet.log(dice, at, marks(faults))
    if not unsafe and chance(dice, TAPPED_TWICE):
        twice = scene.tablet.log(dice, at, marks(faults))
        scene.tablet.log(dice, at, Void(twice.uuid))
    faulty = {trade.checkpoint_of[fault] for fault in faults}
    outcome = outcome_of(frozenset(scene.drill.gate), watched, faulty & watched, unsafe=unsafe)
    _count(trade, learner, scene, event, 0, outcome)
    return event


def log_set(
    dice: Dice, trade: Trade, learner: Learner, scene: Scene, at: datetime, watched: frozenset[str],
    happened: Sequence[frozenset[str]],
) -> Event:  # fmt: skip
    """Several attempts in a row, logged together once they are over."""
    n_seen = min(one_of(dice, SEEN_OF_A_SET), len(happened))
    seen = [[f for f in _seen(dice, trade, faults, watched) if trade.checkpoint_of[f] in watched]
            for faults in happened[:n_seen]]  # fmt: skip
    counts = Counter(fault for faults in seen for fault in faults)
    n_faulty = sum(bool(faults) for faults in seen)
    content = SetOfReps(
        athlete=learner.id,
        drill=scene.drill.key,
        done=len(happened),
        watch_set=watched,
        watched=n_seen,
        faulty=n_faulty,
        counts=tuple(sorted(counts.items())),
        station=scene.station,
    )
    event = scene.tablet.log(dice, at, content)
    for rep in expand(event.uuid, SetMarks(content.done, n_seen, n_faulty, dict(counts))):
        inside = watched if rep.watched else frozenset()
        faulty = {trade.checkpoint_of[fault] for fault in rep.faults}
        if rep.faulty and not rep.faults:  # nobody said which
            faulty = set(scene.drill.gate)
        outcome = outcome_of(frozenset(scene.drill.gate), inside, faulty, unsafe=False)
        _count(trade, learner, scene, event, rep.index, outcome)
    return event


def _count(trade: Trade, learner: Learner, scene: Scene, event: Event, index: int, outcome: Outcome) -> None:
    place = Place(scene.day, event.at - scene.tablet.ahead, str(scene.tablet.device), event.sequence, event.uuid,
                  index)  # fmt: skip
    attempt = Attempt(place, scene.drill.key, outcome, scene.by_helper)
    learner.book = step(learner.book, attempt, trade.progression, SETTINGS).book
