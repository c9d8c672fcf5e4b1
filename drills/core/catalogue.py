"""A drill catalogue as values. Names are the trade's; keys are stable slugs that events and figures refer to.

Tuples keep the order of the file: stages and drills as one learns them, checkpoints as they come in the run (so the
earliest fault of a rep is the first in this order). `retired` items stay readable, because old reps name them, and are
offered no more. Lengths of time are seconds or minutes as the name says.
"""

from collections.abc import Iterator
from dataclasses import dataclass
from enum import StrEnum

FORMAT = 1
"""Shape of the file this code reads and writes."""

LABEL_LENGTH = 14
"""Longest tablet label of a fault, in characters: what fits a fault chip held in one hand."""

SHORT_LENGTH = 16
"""Longest short name of a drill, in characters: what heads a column of the squad board."""


class Phase(StrEnum):
    """Where in the run. `ALL` belongs to checkpoints that run through it."""

    CARRY = "carry"
    DROP = "drop"
    PLANT = "plant"
    CONTACT = "contact"
    ALL = "all"


class Cell(StrEnum):
    """A cell of the run strip: the carry, step 6 to step 1, the tip contact. Step k runs from landing k to k − 1."""

    CARRY = "carry"
    STEP_6 = "6"
    STEP_5 = "5"
    STEP_4 = "4"
    STEP_3 = "3"
    STEP_2 = "2"
    STEP_1 = "1"
    CONTACT = "contact"


class ViewingPlace(StrEnum):
    """Where one must stand to see a checkpoint. `EAR_AND_EYE`: the coach close by, listening as well as looking."""

    TOP_HAND_SIDE = "top-hand-side"
    SIDE = "side"
    FRONT = "front"
    BEHIND = "behind"
    BESIDE_THE_BOX = "beside-the-box"
    ANYWHERE = "anywhere"
    EAR_AND_EYE = "ear-and-eye"


class FaultKind(StrEnum):
    """`EARLY` asks for the cue "later", `LATE` for "sooner"."""

    EARLY = "early"
    LATE = "late"
    OTHER = "other"


class RiskClass(StrEnum):
    """How a drill opens the next one; in rising order. A club may raise it and never lowers contact."""

    FLOOR = "floor"
    MOVING = "moving"
    CONTACT = "contact"


class Unit(StrEnum):
    """What is logged with one touch: one attempt, or several in a row."""

    REP = "rep"
    SET = "set"


class AdultLevel(StrEnum):
    """The least level of the adult who runs the station; in rising order."""

    NONE = "none"
    FLOOR = "floor"
    CONTACT = "contact"


class PoleNeed(StrEnum):
    """`ANY`: a pole, its rating does not matter. `RATED`: rated at or above the vaulter's mass, always."""

    NONE = "none"
    LIGHT_SHORT = "light-short"
    ANY = "any"
    RATED = "rated"


class AreaKind(StrEnum):
    """What a venue's area is. `FLOOR`: open level ground. `ROOM`: indoors without running, for film and strength."""

    FLOOR = "floor"
    RUNWAY = "runway"
    WALL = "wall"
    SLIDING_BOX = "sliding-box"
    BOX = "box"
    ROOM = "room"


class Surface(StrEnum):
    SMOOTH_FLOOR = "smooth-floor"
    SYNTHETIC_TRACK = "synthetic-track"
    GRASS = "grass"


class SurfaceVerdict(StrEnum):
    """`TRY_FIRST`: slide the tip by hand before anyone moves with it."""

    GOOD = "good"
    TRY_FIRST = "try-first"
    NEVER = "never"


@dataclass(frozen=True, slots=True)
class SurfaceRule:
    """What a drill says of one surface. A surface that a drill does not name is not allowed for it."""

    surface: Surface
    verdict: SurfaceVerdict


@dataclass(frozen=True, slots=True)
class Stage:
    """A column of the progression. number: its place, from 0."""

    key: str
    number: int
    name: str
    about: str


@dataclass(frozen=True, slots=True)
class LoadClass:
    """Reps that are counted together, and their limits. None: no such limit. rest_days: whole days between two days."""

    key: str
    name: str
    reps_a_practice: int
    reps_a_practice_under_14: int
    days_a_week: int | None
    rest_days: int
    common_practice: bool


@dataclass(frozen=True, slots=True)
class SafetyText:
    """Words shown where the risk is. The page adds the rules sentence; it is never part of the text."""

    key: str
    title: str
    text: str
    common_practice: bool


@dataclass(frozen=True, slots=True)
class Adjustment:
    """A remedy that keeps the drill and changes how it is done."""

    key: str
    name: str
    how: str
    retired: bool = False


@dataclass(frozen=True, slots=True)
class Remedy:
    """One of the two is set: another drill, or an adjustment. note: why it helps here."""

    drill: str | None
    adjustment: str | None
    note: str


@dataclass(frozen=True, slots=True)
class Fault:
    """One way a checkpoint goes wrong. key: unique in the catalogue. label: for the tablet. cues: what to say, best
    first.
    """

    key: str
    name: str
    label: str
    kind: FaultKind
    unsafe: bool
    cues: tuple[str, ...]
    remedies: tuple[Remedy, ...]
    retired: bool = False


@dataclass(frozen=True, slots=True)
class Checkpoint:
    """One thing to watch. seen_from: any of these places will do.

    cells: the cells of the run strip that it lights. landing: the foot contact it is judged at, None where it runs on.
    """

    key: str
    name: str
    phase: Phase
    cells: tuple[Cell, ...]
    landing: int | None
    good: str
    seen_from: tuple[ViewingPlace, ...]
    faults: tuple[Fault, ...]
    common_practice: bool
    retired: bool = False


@dataclass(frozen=True, slots=True)
class Cause:
    """A reason outside of what is watched at a checkpoint (a pole too heavy), from which faults follow."""

    key: str
    name: str
    about: str


@dataclass(frozen=True, slots=True)
class Link:
    """What leads to what. One of fault and cause is set; `to` is a fault. mend: set on the first link of a chain."""

    fault: str | None
    cause: str | None
    to: str
    note: str
    mend: Remedy | None
    common_practice: bool

    @property
    def source(self) -> str:
        return self.fault or self.cause or ""


@dataclass(frozen=True, slots=True)
class DrillCheckpoint:
    """A checkpoint that a drill offers. good: what it looks like in this drill, empty where the checkpoint's own holds.

    from_steps: offered only when the run has at least that many steps.
    """

    checkpoint: str
    good: str = ""
    from_steps: int = 0


@dataclass(frozen=True, slots=True)
class Drill:
    """One drill. needs, gate, safety, checkpoints refer to keys; the first need is the easier drill.

    family: drills of one family may share a station. places: athletes at the station at a time.
    steps: the step counts it is done with, empty when standing. last_landing: where the run ends (0, or 3 for a drop
    alone). starts_lowered: begins with the top hand at the hip and the drop done. seconds_a_turn: of one athlete.
    least_turns: fewer in a block are of no use. load: the load class that its reps count to.
    """

    key: str
    stage: str
    family: str
    name: str
    short: str
    purpose: str
    setup: str
    how: tuple[str, ...]
    dose: str
    make_easier: str
    make_harder: str
    areas: tuple[AreaKind, ...]
    surfaces: tuple[SurfaceRule, ...]
    adult: AdultLevel
    places: int
    unit: Unit
    risk: RiskClass
    phases: tuple[Phase, ...]
    steps: tuple[int, ...]
    last_landing: int
    starts_lowered: bool
    checkpoints: tuple[DrillCheckpoint, ...]
    gate: tuple[str, ...]
    needs: tuple[str, ...]
    entry_drill: str | None
    seconds_a_turn: int
    least_turns: int
    load: str | None
    poles: PoleNeed
    slides: bool
    safety: tuple[str, ...]
    retired: bool = False


@dataclass(frozen=True, slots=True)
class Activity:
    """Planned like a drill, without checkpoints. minutes: usual length. places: None = everyone at once.

    job: something useful to do for whoever is kept off a station. needs_clearance: by the head coach, for each athlete.
    """

    key: str
    name: str
    about: str
    minutes: int
    areas: tuple[AreaKind, ...]
    adult: AdultLevel
    places: int | None
    poles: PoleNeed
    load: str | None
    needs_clearance: bool
    job: bool
    safety: tuple[str, ...]
    retired: bool = False


@dataclass(frozen=True, slots=True)
class Catalogue:
    """All of it. version: edition of the content, rising; clubs keep from which edition each of their items came."""

    version: int
    name: str
    stages: tuple[Stage, ...]
    load_classes: tuple[LoadClass, ...]
    safety: tuple[SafetyText, ...]
    adjustments: tuple[Adjustment, ...]
    checkpoints: tuple[Checkpoint, ...]
    causes: tuple[Cause, ...]
    links: tuple[Link, ...]
    drills: tuple[Drill, ...]
    activities: tuple[Activity, ...]


def faults_of(catalogue: Catalogue) -> Iterator[tuple[Checkpoint, Fault]]:
    """Every fault with its checkpoint, in the order of the run."""
    return ((checkpoint, fault) for checkpoint in catalogue.checkpoints for fault in checkpoint.faults)


def remedied_by(catalogue: Catalogue, drill_key: str) -> tuple[Fault, ...]:
    """The faults for which this drill is named as a remedy, in the order of the run."""
    return tuple(
        fault for _, fault in faults_of(catalogue) if any(remedy.drill == drill_key for remedy in fault.remedies)
    )


def good_for(catalogue: Catalogue, drill: Drill, checkpoint_key: str) -> str:
    """What good looks like in that drill: its own words, else the checkpoint's. Raises KeyError if not offered."""
    own = {offered.checkpoint: offered.good for offered in drill.checkpoints}[checkpoint_key]
    return own or {checkpoint.key: checkpoint.good for checkpoint in catalogue.checkpoints}[checkpoint_key]
