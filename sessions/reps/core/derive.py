"""From stored events to reps and looks. Each function's answer depends on which events there are, never on the order
in which they came."""

from collections.abc import Callable, Iterable, Mapping
from dataclasses import dataclass, replace
from datetime import timedelta
from uuid import UUID

from athletes.core import sequence
from athletes.core.sequence import Place, Recorded, SetMarks
from sessions.reps.core.events import Correction, Kind, LookMarks, RepMarks, SetOfReps
from sessions.reps.core.stored import Catalogue, Family, Need, Stored

NEAR = timedelta(seconds=60)


@dataclass(frozen=True, slots=True)
class Marks:
    """What was said of one rep. unnamed: faulty, but nobody said how."""

    athlete: UUID
    drill: str
    watched: frozenset[str]
    faults: frozenset[str]
    unsafe: bool = False
    unnamed: bool = False


@dataclass(frozen=True, slots=True)
class RepValue:
    """A rep as derived. index: its place in its set from 1, else 0; first_drill: before any correction."""

    uuid: UUID
    source: UUID
    index: int
    place: Place
    by: UUID
    station: UUID | None
    marks: Marks
    void: bool
    unsafe: bool
    first_drill: str


@dataclass(frozen=True, slots=True)
class LookValue:
    """Another observer's look as derived. rep: the one it names, None if it has to be matched.

    attached: the rep to which a coach has attached it, since none was near.
    """

    uuid: UUID
    place: Place
    by: UUID
    rep: UUID | None
    content: LookMarks
    watched: frozenset[str]
    faults: frozenset[str]
    unsafe: bool
    attached: UUID | None = None


@dataclass(frozen=True, slots=True)
class Derived:
    reps: tuple[RepValue, ...]
    looks: tuple[LookValue, ...]
    needs: tuple[Need, ...]


def derive(events: Mapping[UUID, Stored], family: Family, catalogue: Catalogue) -> Derived:
    """Reps of the reps and sets among the events, void ones included; looks; and what waits for a coach."""
    needs = list(family.needs)
    sources = sorted(
        (e for e in events.values() if e.kind in (Kind.REP, Kind.SET) and not e.blocked), key=lambda e: e.place
    )
    reps = tuple(rep for source in sources for rep in _reps(source, family, catalogue, needs))
    by_uuid = {rep.uuid: rep for rep in reps}
    found = (_look(look, family, catalogue, by_uuid, needs) for look in family.looks)
    return Derived(reps, tuple(look for look in found if look), tuple(needs))


def _reps(source: Stored, family: Family, catalogue: Catalogue, needs: list[Need]) -> list[RepValue]:
    content = source.content
    if isinstance(content, RepMarks):
        marks = Marks(content.athlete, content.drill, content.watched, content.faults, bool(content.unsafe))
        return [_rep(source, source.uuid, source.place, marks, family, catalogue, needs)]
    assert isinstance(content, SetOfReps)
    change = _standing(source.uuid, source.place, family, needs, _fits_a_set)
    reps = []
    for marked in sequence.expand(
        source.uuid, SetMarks(content.done, content.watched, content.faulty, dict(content.counts))
    ):
        marks = _changed(_marks_of_set(content, marked), change, catalogue)
        place = replace(source.place, index=marked.index)
        reps.append(_rep(source, marked.uuid, place, marks, family, catalogue, needs))
    return reps


def _marks_of_set(content: SetOfReps, marked: sequence.SetRep) -> Marks:
    return Marks(
        athlete=content.athlete,
        drill=content.drill,
        watched=content.watch_set if marked.watched else frozenset(),
        faults=marked.faults,
        unnamed=marked.faulty and not marked.faults,
    )


def _rep(
    source: Stored,
    uuid: UUID,
    place: Place,
    marks: Marks,
    family: Family,
    catalogue: Catalogue,
    needs: list[Need],
) -> RepValue:
    def fits(change: Correction) -> bool:
        drill = change.drill or marks.drill
        return catalogue.fits(drill, change.watched or frozenset(), change.faults or frozenset())

    change = _standing(uuid, place, family, needs, fits)
    content = source.content
    assert isinstance(content, RepMarks | SetOfReps)
    stands = _changed(marks, change, catalogue)
    return RepValue(
        uuid=uuid,
        source=source.uuid,
        index=place.index,
        place=place,
        by=source.by,
        station=content.station,
        marks=stands,
        void=uuid in family.gone or source.uuid in family.gone,
        unsafe=stands.unsafe or catalogue.unsafe(stands.faults),
        first_drill=content.drill,
    )


def _fits_a_set(change: Correction) -> bool:
    return change.watched is None and change.faults is None and change.unsafe is None


def _fits_a_look(change: Correction) -> bool:
    return change.athlete is None and change.drill is None


def _standing(
    target: UUID, place: Place, family: Family, needs: list[Need], fits: Callable[[Correction], bool]
) -> Correction | None:
    """Of the corrections of one thing, the first in order that fits; the others wait for a coach."""
    usable: list[sequence.Correction[Correction | None]] = []
    for said in family.corrections.get(target, ()):
        assert isinstance(said.content, Correction)
        if fits(said.content):
            usable.append(sequence.Correction(said.uuid, said.place, target, said.content))
        else:
            needs.append(Need(said.uuid, "does_not_fit", target))
    as_recorded: Recorded[Correction | None] = Recorded(target, place, None)
    resolved = sequence.resolve([as_recorded], usable)
    needs += [Need(waiting.uuid, "second_correction", target) for waiting in resolved.waiting]
    return resolved.standing[0].value


def _changed(marks: Marks, change: Correction | None, catalogue: Catalogue) -> Marks:
    """The marks with what was corrected. Of what was seen, another drill keeps what it offers."""
    if change is None:
        return marks
    drill = change.drill or marks.drill
    watched = marks.watched if change.watched is None else change.watched
    faults = marks.faults if change.faults is None else change.faults
    if drill != marks.drill:
        watched, faults = catalogue.offered(drill, watched, faults)
    return Marks(
        athlete=change.athlete or marks.athlete,
        drill=drill,
        watched=watched,
        faults=faults,
        unsafe=marks.unsafe if change.unsafe is None else change.unsafe,
        unnamed=marks.unnamed and change.faults is None,
    )


def _look(
    said: Stored, family: Family, catalogue: Catalogue, reps: Mapping[UUID, RepValue], needs: list[Need]
) -> LookValue | None:
    """None for a look that names a rep which is not there, or sees what its drill does not offer."""
    content = said.content
    assert isinstance(content, LookMarks)
    rep = reps.get(content.target) if content.target else None
    if content.target and rep is None:
        return None
    first_drill = rep.first_drill if rep else content.drill or ""
    change = _standing(said.uuid, said.place, family, needs, _fits_a_look)
    watched = content.watched if change is None or change.watched is None else change.watched
    faults = content.faults if change is None or change.faults is None else change.faults
    unsafe = content.unsafe if change is None or change.unsafe is None else change.unsafe
    if not catalogue.fits(first_drill, watched, faults):
        needs.append(Need(said.uuid, "does_not_fit", content.target))
        return None
    if rep:
        watched, faults = catalogue.offered(rep.marks.drill, watched, faults)
    unsafe = bool(unsafe) or catalogue.unsafe(faults)
    return LookValue(said.uuid, said.place, said.by, content.target, content, watched, faults, unsafe, said.attached)


@dataclass(frozen=True, slots=True)
class Spot:
    """Where and when one rep was done, and by whose device it was logged."""

    rep: UUID
    source: UUID
    place: Place
    athlete: UUID
    drill: str
    station: UUID | None


def nearest(look: LookValue, spots: Iterable[Spot]) -> Spot | None:
    """The rep that a look without a name means: the nearest of its athlete, drill and station within 60 s."""
    content = look.content
    near = [
        spot
        for spot in spots
        if spot.athlete == content.athlete
        and spot.drill == content.drill
        and (content.station is None or spot.station in (None, content.station))
        and abs(spot.place.at - look.place.at) <= NEAR
    ]
    return min(near, key=lambda spot: (abs(spot.place.at - look.place.at), spot.place), default=None)
