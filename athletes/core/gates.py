"""What a drill still needs before it opens, and where an athlete stands: reads of a book, see
`athletes.core.opening`."""

from collections.abc import Mapping, Set
from dataclasses import dataclass
from datetime import date

from athletes.core.progression import Drill, Progression, Risk
from athletes.core.readiness import Settings, State, likely_range
from athletes.core.standing import (
    Book,
    ClosedBy,
    DrillStanding,
    Lack,
    NeedTest,
    OpenedBy,
    SettledBy,
    Standing,
    Track,
)

_AT_CONTACT = frozenset({OpenedBy.CONTACT_TOUCH, OpenedBy.PLACEMENT})


def is_open(track: Track, drill: Drill) -> bool:
    """Whether the athlete may try the drill, restrictions apart. At contact nothing but the head coach's own act
    counts, also for a drill that was raised to contact after figures had opened it."""
    if track.opened_by:
        return drill.risk is not Risk.CONTACT or track.opened_by in _AT_CONTACT
    return not track.closed_by and not drill.needs and drill.risk is not Risk.CONTACT


def standing(book: Book, key: str, progression: Progression) -> Standing:
    """Raises UnknownDrill."""
    track = book.track(key)
    if is_open(track, progression.drill(key)):
        return Standing.SETTLED if track.settled_by else Standing.OPEN
    return Standing.CLOSED_AGAIN if track.opened_by or track.closed_by else Standing.NOT_OPEN


def standings(book: Book, progression: Progression, held: Set[str] = frozenset()) -> dict[str, DrillStanding]:
    """Every drill of the progression; `held` are those that a restriction of the athlete excludes."""
    return {key: _described(book, key, progression, key in held) for key in progression.drills}


def _described(book: Book, key: str, progression: Progression, held: bool) -> DrillStanding:
    track, now = book.track(key), standing(book, key, progression)
    since = {
        Standing.NOT_OPEN: None,
        Standing.OPEN: track.opened_on,
        Standing.SETTLED: track.settled_on,
        Standing.CLOSED_AGAIN: track.closed_on,
    }[now]
    return DrillStanding(key, now, held, track.opened_by, track.closed_by, track.settled_by, since)


def need_tests(book: Book, key: str, progression: Progression, settings: Settings) -> tuple[NeedTest, ...]:
    """How each need of a drill stands the test of its class, with figures. All met: figures open it, or, at contact,
    the head coach may be asked. Raises UnknownDrill."""
    drill = progression.drill(key)
    return tuple(need_test(book.tracks, drill, need, progression, settings) for need in drill.needs)


def to_ask(book: Book, progression: Progression, settings: Settings) -> tuple[str, ...]:
    """The contact drills for which nothing is lacking but the head coach's touch."""
    return tuple(
        key
        for key, drill in progression.drills.items()
        if drill.risk is Risk.CONTACT
        and not is_open(book.track(key), drill)
        and not lacks(book.tracks, drill, progression, settings)
    )


@dataclass(frozen=True, slots=True)
class LostOpening:
    """A drill that was open before a replay and is not after it."""

    drill: str
    opened_by: OpenedBy | None
    opened_on: date | None
    now: Standing
    closed_by: ClosedBy | None


def lost_openings(before: Book, after: Book, progression: Progression) -> tuple[LostOpening, ...]:
    """Openings lost to a correction, for the head coach: compare the books before and after a replay."""
    lost = []
    for key, drill in progression.drills.items():
        was, now = before.track(key), after.track(key)
        if is_open(was, drill) and not is_open(now, drill):
            lost.append(
                LostOpening(key, was.opened_by, was.opened_on, standing(after, key, progression), now.closed_by)
            )
    return tuple(lost)


def need_test(
    tracks: Mapping[str, Track], drill: Drill, need: str, progression: Progression, settings: Settings
) -> NeedTest:
    state = _state_for(tracks.get(need, Track()), drill)
    return NeedTest(
        need=need,
        lacking=lacking(tracks, drill, need, progression, settings),
        recent=state.recent,
        low=likely_range(state.good, state.bad, settings)[1],
        n=state.good + state.bad,
        since_unsafe=state.since_unsafe,
    )


def _state_for(need: Track, drill: Drill) -> State:
    """The need's state as it counts towards the drill: without helpers' marks towards contact."""
    return need.coached if need.coached and drill.risk is Risk.CONTACT else need.state


def lacks(tracks: Mapping[str, Track], drill: Drill, progression: Progression, settings: Settings) -> bool:
    """Whether figures, or at contact figures and the head coach's touch, cannot open the drill now."""
    if drill.risk is Risk.CONTACT and drill.entry is None:
        return True
    return any(lacking(tracks, drill, need, progression, settings) for need in drill.needs)


def lacking(
    tracks: Mapping[str, Track], drill: Drill, need: str, progression: Progression, settings: Settings
) -> tuple[Lack, ...]:
    track, needed = tracks.get(need, Track()), progression.drills[need]
    if not is_open(track, needed):
        return (Lack.NOT_OPEN,)
    if need in progression.rests_on(drill):
        return _lacking_to_rest_on(track, settings)
    state = _state_for(track, drill)
    return _lacking_floor(state, settings) if needed.risk is Risk.FLOOR else _lacking_moving(state, settings)


def _lacking_floor(state: State, settings: Settings) -> tuple[Lack, ...]:
    recent = state.recent[-settings.floor_last :]
    if len(recent) < settings.floor_last:
        return (Lack.TOO_LITTLE_SEEN,)
    if recent.count("1") < settings.floor_good:
        return (Lack.TOO_FEW_GOOD,)
    return () if state.last_good else (Lack.LAST_BAD,)


def _lacking_moving(state: State, settings: Settings) -> tuple[Lack, ...]:
    if state.good + state.bad < settings.moving_n:
        return (Lack.TOO_LITTLE_SEEN,)
    low = likely_range(state.good, state.bad, settings)[1]
    return () if low >= settings.moving_low else (Lack.LOW_END_LOW,)


def _lacking_to_rest_on(track: Track, settings: Settings) -> tuple[Lack, ...]:
    lacks = []
    if track.settled_by is not SettledBy.FIGURES or not track.settled_coached:
        lacks.append(Lack.NOT_SETTLED)
    since_unsafe = (track.coached or track.state).since_unsafe
    if since_unsafe is not None and since_unsafe < settings.unsafe_window:
        lacks.append(Lack.UNSAFE_LATELY)
    return tuple(lacks)
