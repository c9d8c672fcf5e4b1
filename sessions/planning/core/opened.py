"""Which drills the figures open, read off stored states where no standing is stored."""

from collections.abc import Mapping, Set
from dataclasses import replace

from athletes.core.gates import is_open, lacking
from athletes.core.progression import Progression, Risk
from athletes.core.readiness import Advice, Settings, State, advise
from athletes.core.standing import OpenedBy, Track


def opened(
    states: Mapping[str, State], placed: Set[str], progression: Progression, settings: Settings
) -> frozenset[str]:
    """Keys of the drills that an athlete may try, contact drills never: those open by the head coach's touch alone.

    A drill is open that needs nothing, where the head coach placed the athlete (``placed``), or whose needs are open
    and each pass their test on their state. One with counted reps of its own stays open, since fading and a bad rep
    at a need close nothing, unless its figures advise an easier drill.
    """
    tracks = {key: Track(state=states[key]) if key in states else Track() for key in progression.drills}
    waiting = [drill for drill in progression.drills.values() if drill.risk is not Risk.CONTACT]
    found = True
    while found:
        found = False
        for drill in list(waiting):
            met = not any(lacking(tracks, drill, need, progression, settings) for need in drill.needs)
            if met or drill.key in placed or _practised(tracks[drill.key].state, settings):
                by = OpenedBy.PLACEMENT if drill.key in placed else OpenedBy.FIGURES
                tracks[drill.key] = replace(tracks[drill.key], opened_by=by)
                waiting.remove(drill)
                found = True
    return frozenset(key for key, drill in progression.drills.items() if is_open(tracks[key], drill))


def _practised(state: State, settings: Settings) -> bool:
    if not state.reps or state.day is None:
        return False
    return advise(state, state.day, settings).advice is not Advice.EASIER_DRILL
