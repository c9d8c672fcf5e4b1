"""A practice's plan as frozen values. Keys are public ids as text; names travel along so that a finding can be said."""

from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import Literal

from drills.core.catalogue import AdultLevel, AreaKind, PoleNeed, RiskClass, Surface, SurfaceVerdict

RISKS = (RiskClass.FLOOR, RiskClass.MOVING, RiskClass.CONTACT)
LEVELS = (AdultLevel.NONE, AdultLevel.FLOOR, AdultLevel.CONTACT)


@dataclass(frozen=True, slots=True)
class Adult:
    """An adult who is expected or there. level: what they may run; NONE is an adult who is present only."""

    key: str
    name: str
    level: AdultLevel


@dataclass(frozen=True, slots=True)
class Vaulter:
    """Who is to be placed. excludes: risk classes a restriction forbids. touched: contact drills the head coach opened
    for this athlete, and activities they are cleared for. due: of those activities, where they must be weighed first.
    shut: drills of any risk that are not open to them. out: taken out of the practice. absent: said not to come."""

    key: str
    name: str
    excludes: frozenset[RiskClass] = frozenset()
    touched: frozenset[str] = frozenset()
    due: frozenset[str] = frozenset()
    shut: frozenset[str] = frozenset()
    out: bool = False
    absent: bool = False
    under_14: bool = False


@dataclass(frozen=True, slots=True)
class LoadLimit:
    """Reps of one load class that one athlete does at most in a practice, and on how many days a week.

    days_a_week None: no such limit. rest_days: whole days between two of them.
    """

    key: str
    name: str
    reps: int
    reps_under_14: int
    days_a_week: int | None = None
    rest_days: int = 0


@dataclass(frozen=True, slots=True)
class Work:
    """A drill or an activity, as far as a plan asks. places None: everyone at once. seconds_a_turn: of one athlete.

    risk None: an activity whose risk the catalogue does not say. job: something useful beside the others' drill.
    """

    key: str
    name: str
    kind: Literal["drill", "activity"]
    family: str
    areas: frozenset[AreaKind]
    adult: AdultLevel
    places: int | None
    risk: RiskClass | None = None
    verdicts: Mapping[Surface, SurfaceVerdict] = field(default_factory=dict, hash=False)
    slides: bool = False
    steps: tuple[int, ...] = ()
    seconds_a_turn: int | None = None
    least_turns: int = 0
    load: LoadLimit | None = None
    needs_clearance: bool = False
    job: bool = False
    poles: PoleNeed = PoleNeed.ANY

    @property
    def adult_needed(self) -> AdultLevel:
        """At contact an adult of contact level runs the station, whatever the catalogue was edited to."""
        return AdultLevel.CONTACT if self.risk is RiskClass.CONTACT else self.adult


@dataclass(frozen=True, slots=True)
class StationPlace:
    """A station: its area and who runs it (an adult's key; None: nobody, or a helper, who is no adult)."""

    key: str
    name: str
    kind: AreaKind
    surface: str
    places: int
    adult: str | None = None


@dataclass(frozen=True, slots=True)
class BlockSpan:
    number: int
    minutes: int


@dataclass(frozen=True, slots=True)
class Placing:
    """One athlete in one block at one piece of work; station None for what is done at no station."""

    block: int
    vaulter: str
    work: str
    station: str | None = None
    steps: int | None = None


@dataclass(frozen=True, slots=True)
class Plan:
    blocks: tuple[BlockSpan, ...]
    stations: tuple[StationPlace, ...]
    adults: tuple[Adult, ...]
    vaulters: tuple[Vaulter, ...]
    works: tuple[Work, ...]
    placings: tuple[Placing, ...] = ()

    def block(self, number: int) -> BlockSpan:
        return next(block for block in self.blocks if block.number == number)

    def station(self, key: str) -> StationPlace:
        return next(station for station in self.stations if station.key == key)

    def work(self, key: str) -> Work:
        return next(work for work in self.works if work.key == key)

    def vaulter(self, key: str) -> Vaulter:
        return next(vaulter for vaulter in self.vaulters if vaulter.key == key)

    def adult(self, key: str | None) -> Adult | None:
        return next((adult for adult in self.adults if adult.key == key), None)


def upward(excluded: frozenset[RiskClass]) -> frozenset[RiskClass]:
    """Whoever must not do floor drills must not do moving ones either: the named classes and every riskier one."""
    lowest = min((RISKS.index(risk) for risk in excluded), default=len(RISKS))
    return frozenset(RISKS[lowest:])


def turns_each(minutes: int, seconds_a_turn: list[int]) -> int:
    """Whole turns each athlete gets: block length over the sum of everyone's seconds a turn, which for one drill is
    minutes × 60 / (athletes × seconds). seconds_a_turn: one entry an athlete in the queue."""
    return minutes * 60 // sum(seconds_a_turn) if seconds_a_turn else 0
