"""Filling a plan and taking that back. The places are sought outside of any transaction and checked again inside."""

from collections import defaultdict
from dataclasses import dataclass
from typing import Any

from django.db import transaction
from django.utils import timezone
from django.utils.translation import gettext as _
from django.utils.translation import gettext_noop

from club import audit
from club.members import Member
from sessions.planning.core.problem import Answer
from sessions.planning.core.search import LIMIT, LocalSearch
from sessions.planning.models import Fill, FillPlace
from sessions.planning.queries import Posed, pose
from sessions.practices.actions.errors import NotNow
from sessions.practices.actions.exchange import exchange
from sessions.practices.actions.plan import Put
from sessions.practices.core.plan import Placing
from sessions.practices.models import Assignment, Practice
from sessions.practices.queries.plan import PlanRows

SEED = 0
filler = LocalSearch()


@dataclass(frozen=True, slots=True)
class Filled:
    """fill None: there was nothing to place. told: what the plan's own rules say about the new places."""

    posed: Posed
    answer: Answer
    fill: Fill | None
    told: tuple[str, ...] = ()


def fill(*, by: Member, practice: Practice, anew: bool = False, limit: int = LIMIT) -> Filled:
    """Gives everybody without a place one. anew: places that are not pinned are taken first. Raises PlanRefused if
    the plan was changed meanwhile so that the places no longer fit."""
    posed = pose(by, practice, anew)
    answer = filler.fill(posed.problem, SEED, limit)
    taken = [row for row in posed.rows.assignments if anew and not row.pinned]
    if not answer.placings:
        return Filled(posed, answer, None)
    with transaction.atomic():
        done = exchange(by=by, practice=practice, taken=[row.pk for row in taken], puts=puts(posed.rows, answer))
        made = Fill.objects.create(club=by.club, practice=practice, by=by.person, at=timezone.now())
        rows = [_place(made, row, True) for row in done.given] + [_place(made, row, False) for row in done.taken]
        FillPlace.objects.bulk_create(rows)
        audit.note(by, gettext_noop("filled the plan"), practice, {"given": len(done.given), "taken": len(done.taken)})
    return Filled(posed, answer, made, done.told)


def _place(made: Fill, row: Assignment, given: bool) -> FillPlace:
    names = ("block_id", "station_id", "athlete_id", "drill_id", "activity_id", "steps")
    return FillPlace(club_id=made.club_id, fill=made, given=given, **{name: getattr(row, name) for name in names})


def puts(rows: PlanRows, answer: Answer) -> list[Put]:
    """Placings as the plan by hand takes them, in the order of blocks, stations and names."""
    together: dict[tuple[int, str | None, str, int | None], list[Placing]] = defaultdict(list)
    for placing in answer.placings:
        together[placing.block, placing.station, placing.work, placing.steps].append(placing)
    blocks = {block.number: block for block in rows.blocks}
    stations = {str(station.pk): station for station in rows.stations}
    works: dict[str, Any] = {f"drill:{drill.key}": drill for drill in rows.drills}
    works |= {f"activity:{activity.key}": activity for activity in rows.activities}
    order = [str(athlete.pk) for athlete in rows.athletes]
    people = {str(athlete.pk): athlete for athlete in rows.athletes}
    found = []
    for (block, station, work, steps), who in sorted(together.items(), key=lambda one: (one[0][0], str(one[0]))):
        keys = sorted((placing.vaulter for placing in who), key=order.index)
        kind = "drill" if work.startswith("drill:") else "activity"
        athletes = tuple(people[key] for key in keys)
        at = stations[station] if station else None
        found.append(Put(block=blocks[block], athletes=athletes, station=at, steps=steps, **{kind: works[work]}))
    return found


def take_back(*, by: Member, practice: Practice, fill: Fill) -> tuple[str, ...]:
    """The plan as it was before the fill, as far as nobody has changed it since: what was pinned, moved or taken out
    stays as it is. Sentences about places that came back. Raises NotNow, PlanRefused."""
    with transaction.atomic():
        mine = Fill.objects.for_member(by).filter(pk=fill.pk, practice=practice, taken_back_at__isnull=True)
        if not mine.update(taken_back_at=timezone.now()):
            raise NotNow(_("This was taken back already."))
        places = list(fill.places.select_related("block", "station", "athlete__person", "drill", "activity"))
        now = {_same(row): row for row in Assignment.objects.for_member(by).filter(block__practice=practice)}
        gone = [now[_same(place)] for place in places if place.given and _same(place) in now]
        gone = [row for row in gone if not row.pinned]
        taken = {row.pk for row in gone}
        held = {(row.block_id, row.athlete_id) for row in now.values() if row.pk not in taken}
        back = [p for p in places if not p.given and (p.block_id, p.athlete_id) not in held]
        done = exchange(by=by, practice=practice, taken=taken, puts=[_put(place) for place in back])
        values = {"taken": len(done.taken), "given": len(done.given)}
        audit.note(by, gettext_noop("took a fill of the plan back"), practice, values)
    return done.told


def _same(row: Any) -> tuple[Any, ...]:
    return row.block_id, row.athlete_id, row.station_id, row.drill_id, row.activity_id, row.steps


def _put(place: FillPlace) -> Put:
    return Put(
        block=place.block,
        athletes=(place.athlete,),
        station=place.station,
        drill=place.drill,
        activity=place.activity,
        steps=place.steps,
    )
