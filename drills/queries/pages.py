"""Reads of a club's catalogue."""

from dataclasses import dataclass

from django.db.models import Prefetch, QuerySet

from club.members import Member
from drills.core.catalogue import Cell
from drills.core.phases import lit_cells
from drills.models import Activity, Drill, DrillCheckpoint, Fault, Need, SafetyText, Stage


def stages(member: Member) -> QuerySet[Stage]:
    """Stages in order, each with its drills and what they need, for the progression."""
    needs = Need.objects.for_member(member).select_related("needed")
    drills = Drill.objects.for_member(member).filter(retired=False).prefetch_related(Prefetch("need_rows", needs))
    return Stage.objects.for_member(member).prefetch_related(Prefetch("drills", drills))


def activities(member: Member) -> QuerySet[Activity]:
    return Activity.objects.for_member(member).filter(retired=False)


@dataclass(frozen=True, slots=True)
class DrillSheet:
    """All that a new assistant needs to run the drill at a station."""

    drill: Drill
    offers: list[DrillCheckpoint]
    needs: list[Drill]
    leads_to: list[Drill]
    safety: list[SafetyText]

    @property
    def lit(self) -> list[str]:
        return lit_places(self.drill)

    @property
    def off(self) -> list[str]:
        return [cell.value for cell in Cell if cell.value not in self.lit]

    @property
    def end(self) -> str:
        return "wall" if "wall" in self.drill.areas else "box"


def drill_sheet(member: Member, drill: Drill) -> DrillSheet:
    faults = Prefetch("checkpoint__faults", Fault.objects.for_member(member).filter(retired=False))
    offers = DrillCheckpoint.objects.for_member(member).filter(drill=drill).select_related("checkpoint")
    near = Need.objects.for_member(member)
    texts = SafetyText.objects.for_member(member).filter(key__in=drill.safety)
    return DrillSheet(
        drill=drill,
        offers=list(offers.prefetch_related(faults)),
        needs=[need.needed for need in near.filter(drill=drill).select_related("needed")],
        leads_to=[need.drill for need in near.filter(needed=drill).select_related("drill")],
        safety=sorted(texts, key=lambda text: drill.safety.index(text.key)),
    )


def lit_places(drill: Drill) -> list[str]:
    """The strip's places that are part of a drill, in the order of the run."""
    return [cell.value for cell in lit_cells(drill)]  # type: ignore[arg-type]  # a row has the same fields
