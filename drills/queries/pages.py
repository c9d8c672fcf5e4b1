"""What the pages of the catalogue show."""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field

from django.db.models import Prefetch, QuerySet

from club.core.run_strip import Hand, foot_of_landing
from club.members import Member
from drills.core.catalogue import Cell, RiskClass
from drills.core.phases import RunPhases, lit_cells, phases
from drills.core.progress_map import ProgressMap, draw
from drills.core.viewing import where_to_stand
from drills.models import (
    Activity,
    Adjustment,
    Cause,
    Checkpoint,
    Drill,
    DrillCheckpoint,
    Fault,
    Link,
    LoadClass,
    Need,
    Remedy,
    SafetyText,
    Stage,
)


def stages(member: Member) -> QuerySet[Stage]:
    """Stages in order, each with its drills and what they need, for the progression."""
    needs = Need.objects.for_member(member).select_related("needed")
    drills = Drill.objects.for_member(member).filter(retired=False).prefetch_related(Prefetch("need_rows", needs))
    return Stage.objects.for_member(member).order_by("number").prefetch_related(Prefetch("drills", drills))


def activities(member: Member) -> QuerySet[Activity]:
    return Activity.objects.for_member(member).filter(retired=False)


# ── the progression as a map ─────────────────────────────────────────────────────────────────────────────────────────


@dataclass(frozen=True, slots=True)
class DrillState:
    """Where somebody stands at a drill. look: settled, work, open or none, how its box is drawn; words say the same."""

    words: str
    look: str


@dataclass(frozen=True, slots=True)
class MapDrill:
    """A drill of the map. needs, leads_to: other drills in use."""

    key: str
    name: str
    risk: str
    purpose: str
    lit: tuple[str, ...]
    needs: tuple[Drill, ...]
    leads_to: tuple[Drill, ...]
    state: DrillState | None


@dataclass(frozen=True, slots=True)
class MapStage:
    number: int
    name: str
    about: str
    drills: tuple[MapDrill, ...]


@dataclass(frozen=True, slots=True)
class Progression:
    """The progression, to be drawn and to be read."""

    stages: tuple[MapStage, ...]
    drawing: ProgressMap
    drills: Mapping[str, MapDrill]


def progress_map(member: Member, states: Mapping[str, DrillState] | None = None) -> Progression:
    """states: by key of the drill, for the map of somebody; without it the map is the club's. Three queries."""
    rows = list(stages(member))
    drills = [drill for stage in rows for drill in stage.drills.all()]
    used = {drill.pk for drill in drills}
    needs = {drill.key: _in_use(drill, used) for drill in drills}
    leads = {
        drill.key: tuple(later for later in drills if drill.key in {need.key for need in needs[later.key]})
        for drill in drills
    }
    shown = {drill.key: _map_drill(drill, needs[drill.key], leads[drill.key], states) for drill in drills}
    told = tuple(
        MapStage(stage.number, stage.name, stage.about, tuple(shown[drill.key] for drill in stage.drills.all()))
        for stage in rows
    )
    filled = tuple(stage for stage in told if stage.drills)
    columns = [[drill.key for drill in stage.drills] for stage in filled]
    graph = {key: tuple(need.key for need in found) for key, found in needs.items()}
    return Progression(filled, draw(columns, graph), shown)


def _in_use(drill: Drill, used: set[int]) -> tuple[Drill, ...]:
    return tuple(need.needed for need in drill.need_rows.all() if need.needed_id in used)  # type: ignore[attr-defined]


def _map_drill(
    drill: Drill, needs: tuple[Drill, ...], leads_to: tuple[Drill, ...], states: Mapping[str, DrillState] | None
) -> MapDrill:
    state = states.get(drill.key) if states is not None else None
    return MapDrill(drill.key, drill.name, drill.risk, drill.purpose, tuple(lit_places(drill)), needs, leads_to, state)


# ── one drill ────────────────────────────────────────────────────────────────────────────────────────────────────────


@dataclass(frozen=True, slots=True)
class Watch:
    """A checkpoint of a drill, with all that goes wrong at it."""

    checkpoint: Checkpoint
    good: str
    gate: bool
    faults: list[Fault]


@dataclass(frozen=True, slots=True)
class Run:
    """A run of so many steps by one hand. Feet: "left" or "right"; empty where that phase is not part of it.

    first_landing: the one before the first step, which the strip draws the run from. ends: the last landing.
    """

    steps: int
    phases: RunPhases
    first_landing: int
    ends: int
    drop_foot: str
    plant_foot: str
    last_foot: str


@dataclass(frozen=True, slots=True)
class DrillSheet:
    """All that a new assistant needs to run the drill at a station. later: checkpoints that this run is too short for.

    links: what leads to a fault of this drill, within it or from a cause. remedy_for: faults that it is a remedy for.
    """

    drill: Drill
    watches: list[Watch]
    later: list[DrillCheckpoint]
    needs: list[Drill]
    leads_to: list[Drill]
    safety: list[SafetyText]
    links: list[Link]
    remedy_for: list[Fault]
    run: Run | None
    places: list[str] = field(default_factory=list)

    @property
    def gate(self) -> list[Watch]:
        return [watch for watch in self.watches if watch.gate]

    @property
    def others(self) -> list[Watch]:
        return [watch for watch in self.watches if not watch.gate]

    @property
    def lit(self) -> list[str]:
        return lit_places(self.drill)

    @property
    def off(self) -> list[str]:
        return [cell.value for cell in Cell if cell.value not in self.lit]

    @property
    def strip_steps(self) -> int:
        """Steps that the strip draws; it shows the last six of any run."""
        return self.run.first_landing if self.run else 6

    @property
    def end(self) -> str:
        return "wall" if "wall" in self.drill.areas else "box"

    @property
    def can_hurt(self) -> bool:
        """Whose rules come first is said on such a drill even where it names no safety text."""
        return self.drill.risk != RiskClass.FLOOR

    @property
    def easier(self) -> Drill | None:
        return self.needs[0] if self.needs else None


def drill_sheet(member: Member, drill: Drill, hand: Hand = "right", steps: str = "") -> DrillSheet:
    """steps: the count chosen, as the address says it; else the first of the drill's. Eight queries."""
    run = _run(drill, hand, steps)
    near = Need.objects.for_member(member)
    offers = _offers(member, drill)
    shown = [offer for offer in offers if not run or offer.from_steps <= run.steps]
    watches = [_watch(offer) for offer in shown]
    faults = {fault.pk for watch in watches for fault in watch.faults}
    texts = SafetyText.objects.for_member(member).filter(key__in=drill.safety)
    return DrillSheet(
        drill=drill,
        watches=watches,
        later=[offer for offer in offers if offer not in shown],
        needs=[need.needed for need in near.filter(drill=drill).select_related("needed")],
        leads_to=[need.drill for need in near.filter(needed=drill, drill__retired=False).select_related("drill")],
        safety=sorted(texts, key=lambda text: drill.safety.index(text.key)),
        links=_links(member, faults),
        remedy_for=_remedy_for(member, drill),
        run=run,
        places=_standing_places(watches),
    )


def _offers(member: Member, drill: Drill) -> list[DrillCheckpoint]:
    """With what else to try: never the drill that one is at."""
    remedies = Remedy.objects.for_member(member).exclude(drill=drill).select_related("drill", "adjustment")
    faults = Fault.objects.for_member(member).filter(retired=False).prefetch_related(Prefetch("remedies", remedies))
    rows = DrillCheckpoint.objects.for_member(member).filter(drill=drill).select_related("checkpoint")
    return list(rows.prefetch_related(Prefetch("checkpoint__faults", faults)))


def _watch(offer: DrillCheckpoint) -> Watch:
    point = offer.checkpoint
    return Watch(point, offer.good or point.good, offer.gate, list(point.faults.all()))  # type: ignore[attr-defined]


def _links(member: Member, faults: set[int]) -> list[Link]:
    """Links to these faults, from among them or from a cause outside of what is watched."""
    rows = Link.objects.for_member(member).filter(to__in=faults)
    rows = rows.select_related("fault", "cause", "to", "mend__drill", "mend__adjustment")
    return [row for row in rows if row.cause_id or row.fault_id in faults]


def _remedy_for(member: Member, drill: Drill) -> list[Fault]:
    """Faults that are seen at other drills; what is seen here alone does not send one here."""
    elsewhere = DrillCheckpoint.objects.for_member(member).filter(drill__retired=False).exclude(drill=drill)
    rows = Fault.objects.for_member(member).filter(remedies__drill=drill, retired=False)
    return list(rows.filter(checkpoint__in=elsewhere.values("checkpoint")).distinct().order_by("order"))


def _standing_places(watches: Iterable[Watch]) -> list[str]:
    """From where all of the gate is seen."""
    return list(where_to_stand(watch.checkpoint.seen_from for watch in watches if watch.gate))


def _run(drill: Drill, hand: Hand, steps: str) -> Run | None:
    """None for a drill without a run."""
    if not drill.steps:
        return None
    count = int(steps) if steps in {str(one) for one in drill.steps} else drill.steps[0]
    first = count + drill.last_landing
    split = phases(first)
    if drill.starts_lowered and split.drop:
        split = RunPhases(carry=0, lowered=first - split.plant, drop=0, plant=split.plant)
    return Run(
        steps=count,
        phases=split,
        first_landing=first,
        ends=drill.last_landing,
        drop_foot=foot_of_landing(split.drop_from, hand) if split.drop_from else "",
        plant_foot=foot_of_landing(split.plant_from, hand) if drill.last_landing < split.plant else "",
        last_foot=foot_of_landing(drill.last_landing, hand),
    )


def lit_places(drill: Drill) -> list[str]:
    """The strip's places that are part of a drill, in the order of the run."""
    return [cell.value for cell in lit_cells(drill)]  # type: ignore[arg-type]  # a row has the same fields


# ── all of it, to be changed ─────────────────────────────────────────────────────────────────────────────────────────


@dataclass(frozen=True, slots=True)
class Parts:
    """Every item by kind, in order; retired ones among them."""

    stages: list[Stage]
    drills: list[Drill]
    checkpoints: list[Checkpoint]
    links: list[Link]
    causes: list[Cause]
    adjustments: list[Adjustment]
    safety: list[SafetyText]
    load_classes: list[LoadClass]
    activities: list[Activity]


def parts(member: Member) -> Parts:
    """Ten queries."""
    faults = Prefetch("faults", Fault.objects.for_member(member))
    return Parts(
        stages=list(Stage.objects.for_member(member).filter(retired=False).order_by("number")),
        drills=list(Drill.objects.for_member(member).select_related("stage")),
        checkpoints=list(Checkpoint.objects.for_member(member).prefetch_related(faults)),
        links=list(Link.objects.for_member(member).select_related("fault", "cause", "to")),
        causes=list(Cause.objects.for_member(member).filter(retired=False)),
        adjustments=list(Adjustment.objects.for_member(member)),
        safety=list(SafetyText.objects.for_member(member).filter(retired=False)),
        load_classes=list(LoadClass.objects.for_member(member).filter(retired=False)),
        activities=list(Activity.objects.for_member(member)),
    )
