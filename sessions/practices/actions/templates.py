"""Plans kept under a name, and put into a practice. Blocks, stations and drills; never who."""

from collections.abc import Iterator, Sequence
from contextlib import contextmanager
from dataclasses import dataclass
from datetime import time

from django.db import IntegrityError, transaction
from django.utils import timezone
from django.utils.translation import gettext as _
from django.utils.translation import gettext_noop

from club import audit
from club.members import Member
from club.models import Area
from drills.models import Activity, Drill
from sessions.practices.actions.errors import NotNow
from sessions.practices.actions.moving import likest
from sessions.practices.actions.plan import _holding
from sessions.practices.core.clock import PastMidnight, SkippedTime, clock_after, instant, minutes_between
from sessions.practices.core.template import Layout, Spot
from sessions.practices.models import Block, PlannedWork, PlanTemplate, Practice, Station
from sessions.practices.queries.plan import read
from sessions.practices.queries.templates import layout_of


@dataclass(frozen=True, slots=True)
class Applied:
    """left_out: what of the template has no room here, a sentence each."""

    left_out: tuple[str, ...]


@contextmanager
def _named(name: str) -> Iterator[None]:
    try:
        with transaction.atomic():
            yield
    except IntegrityError as error:
        raise NotNow(_("There is a template named %(name)s already. Choose another name.") % {"name": name}) from error


def save_template(*, by: Member, practice: Practice, name: str) -> PlanTemplate:
    """The plan as it stands, without names. Raises NotNow: nothing to keep, or the name is taken."""
    layout = layout_of(read(by, practice))
    if not layout.blocks:
        raise NotNow(_("This plan has no block yet, so there is nothing to keep."))
    with _named(name):
        made = PlanTemplate.objects.create(club=by.club, name=name, layout=layout.to_row())
        audit.note(by, gettext_noop("kept a plan as a template"), made, {"name": name})
    return made


def rename_template(*, by: Member, template: PlanTemplate, name: str) -> None:
    """Raises NotNow: the name is taken."""
    with _named(name):
        PlanTemplate.objects.for_member(by).filter(pk=template.pk).update(name=name)
        audit.note(by, gettext_noop("renamed a template of a plan"), template, {"was": template.name, "name": name})


def delete_template(*, by: Member, template: PlanTemplate) -> None:
    """Raises NotNow: it is deleted already."""
    with transaction.atomic():
        rows = PlanTemplate.objects.for_member(by).filter(pk=template.pk, deleted_at__isnull=True)
        if not rows.update(deleted_at=timezone.now()):
            raise NotNow(_("It is deleted already."))
        audit.note(by, gettext_noop("deleted a template of a plan"), template)


def restore_template(*, by: Member, template: PlanTemplate) -> None:
    """Undoes that. Raises NotNow: its name was given to another."""
    with _named(template.name):
        PlanTemplate.objects.for_member(by).filter(pk=template.pk).update(deleted_at=None)
        audit.note(by, gettext_noop("brought a template of a plan back"), template)


def apply_template(*, by: Member, practice: Practice, template: PlanTemplate) -> Applied:
    """Lays its blocks, stations and drills out in a practice, behind what is planned already. Raises NotNow."""
    layout = Layout.from_row(template.layout)
    with _holding(by, practice) as row:
        left_out: list[str] = []
        blocks = _blocks(by, row, layout, left_out)
        if not blocks:
            raise NotNow(_("None of its blocks has room in this practice. Nothing was changed."))
        stations = _stations(by, row, layout.spots, left_out)
        _pieces(by, layout, blocks, stations, left_out)
        audit.note(by, gettext_noop("laid a template out"), row, {"template": template.name})
    return Applied(tuple(dict.fromkeys(left_out)))


def _blocks(by: Member, row: Practice, layout: Layout, left_out: list[str]) -> dict[int, Block]:
    found: dict[int, Block] = {}
    ends, before, later = instant(row.day, row.ends, row.zone), row.blocks.count(), _minutes_taken(row)
    for place, stretch in enumerate(layout.blocks):
        starts = _clock(row, stretch.after + later)
        if starts is None or (ends - instant(row.day, starts, row.zone)).total_seconds() < stretch.minutes * 60:
            left_out.append(_("Block %(number)d of it would lie outside of the practice.") % {"number": place + 1})
            continue
        values = {"number": before + len(found) + 1, "starts": starts, "minutes": stretch.minutes}
        found[place] = Block.objects.create(club=by.club, practice=row, **values)
    return found


def _minutes_taken(row: Practice) -> int:
    """From the start of the practice to the end of the last block that is planned already."""
    last = row.blocks.last()
    if last is None:
        return 0
    return round(minutes_between(row.day, row.starts, last.starts, row.zone)) + last.minutes


def _clock(row: Practice, after: int) -> time | None:
    try:
        return clock_after(row.day, row.starts, after, row.zone)
    except (PastMidnight, SkippedTime):
        return None


def _stations(by: Member, row: Practice, spots: Sequence[Spot], left_out: list[str]) -> dict[int, Station]:
    """A station that stands in the likest place already is taken as it is."""
    free = list(Area.objects.for_member(by).filter(venue=row.venue_id).order_by("name", "pk"))
    found: dict[int, Station] = {}
    for place, spot in enumerate(spots):
        area = likest(free, spot.name, spot.kind, spot.surface)
        if area is None:
            left_out.append(_("%(venue)s has no place like %(spot)s.") % {"venue": row.venue, "spot": spot.name})
            continue
        free.remove(area)
        found[place], _made = Station.objects.get_or_create(practice=row, area=area, defaults={"club": by.club})
    return found


def _pieces(
    by: Member, layout: Layout, blocks: dict[int, Block], stations: dict[int, Station], left_out: list[str]
) -> None:
    drills = {f"drill:{one.key}": one for one in Drill.objects.for_member(by).filter(retired=False)}
    activities = {f"activity:{one.key}": one for one in Activity.objects.for_member(by).filter(retired=False)}
    rows = []
    for piece in layout.pieces:
        drill, activity = drills.get(piece.work), activities.get(piece.work)
        if drill is None and activity is None:
            left_out.append(_("%(work)s is no longer in the catalogue.") % {"work": piece.work.split(":", 1)[1]})
        elif piece.block in blocks and (piece.spot is None or piece.spot in stations):
            station = None if piece.spot is None else stations[piece.spot]
            values = {"block": blocks[piece.block], "station": station, "drill": drill, "activity": activity}
            rows.append(PlannedWork(club=by.club, steps=piece.steps, **values))
    PlannedWork.objects.bulk_create(rows)
