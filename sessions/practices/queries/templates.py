"""The club's templates, and a plan as one."""

from django.db.models import QuerySet

from club.members import Member
from sessions.practices.core.clock import minutes_between
from sessions.practices.core.template import Layout, Piece, Spot, Stretch
from sessions.practices.models import PlanTemplate
from sessions.practices.queries.plan import PlanRows


def templates(member: Member) -> QuerySet[PlanTemplate]:
    return PlanTemplate.objects.for_member(member).filter(deleted_at__isnull=True)


def deleted(member: Member) -> QuerySet[PlanTemplate]:
    """Those whose deletion can be undone, the last first."""
    return PlanTemplate.objects.for_member(member).filter(deleted_at__isnull=False).order_by("-deleted_at")[:10]


def layout_of(rows: PlanRows) -> Layout:
    """Blocks, stations, and each piece of work once wherever it is done or planned. No name of a person is in it."""
    practice = rows.practice
    block_at = {block.pk: place for place, block in enumerate(rows.blocks)}
    spot_at = {station.pk: place for place, station in enumerate(rows.stations)}
    pieces: dict[Piece, None] = {}
    for one in (*rows.assignments, *rows.planned):
        work = f"drill:{one.drill.key}" if one.drill else f"activity:{one.activity.key}"
        pieces[Piece(block_at[one.block_id], spot_at.get(one.station_id), work, one.steps)] = None
    return Layout(
        tuple(
            Stretch(round(minutes_between(practice.day, practice.starts, block.starts, practice.zone)), block.minutes)
            for block in rows.blocks
        ),
        tuple(Spot(one.area.name, one.area.kind, one.area.surface) for one in rows.stations),
        tuple(pieces),
    )
