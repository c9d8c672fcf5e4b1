"""What stands beside a place on the page of the plan: why somebody is here, and who may do what in an open cell."""

from collections.abc import Iterable
from dataclasses import dataclass
from typing import Any

from django.utils.translation import gettext as _
from django.utils.translation import ngettext

from club.members import Member
from drills.core.catalogue import AdultLevel
from sessions.planning import words
from sessions.planning.core.ground import Ground, full_effort, limit_of, warms
from sessions.planning.core.problem import Option, Reason, Why
from sessions.planning.models import Fill
from sessions.planning.queries.problem import Posed, pose
from sessions.practices.core.plan import Placing, Work, turns_each
from sessions.practices.models import Practice
from sessions.practices.queries.board import Board, Cell, Picked

SHOWN = 6
"""Drills of a cell that are open at once; the others are folded away."""


def last_fill(member: Member, practice: Practice) -> Fill | None:
    """The last one that was not taken back, with how many of its places still stand in the plan (``left``)."""
    return Fill.objects.for_member(member).filter(practice=practice, taken_back_at__isnull=True).first()


# Why here


@dataclass(frozen=True, slots=True)
class WhyHere:
    """reasons: why this place, best first; open False: no figure opens it. checked: what was looked at."""

    name: str
    reasons: tuple[str, ...]
    checked: tuple[str, ...]
    open: bool


def why_here(member: Member, board: Board, picked: Picked) -> WhyHere:
    posed = pose(member, board.practice, rows=board.source)
    ground, place = Ground(posed.problem), _placing(picked)
    work, option = ground.works[place.work], ground.options[place.vaulter].get(place.work)
    reasons = [words.reason_sentence(reason) for reason in (option.reasons if option else _of_job(work))]
    before = _warm_by(ground, place)
    checked = [*_load(ground, place, work), *_adult(ground, place, work), *_dose(ground, place, work)]
    found = [*reasons, *([before] if before else [])]
    return WhyHere(picked.chip.label, tuple(found), tuple(checked), option is not None or work.job)


def _of_job(work: Work) -> tuple[Reason, ...]:
    return (Reason(Why.JOB),) if work.job else ()


def _placing(picked: Picked) -> Placing:
    row: Any = picked.chip.assignment
    work = f"drill:{row.drill.key}" if row.drill else f"activity:{row.activity.key}"
    station = str(row.station_id) if row.station_id else None
    return Placing(picked.cell.block.number, str(row.athlete_id), work, station, row.steps)


def _warm_by(ground: Ground, place: Placing) -> str:
    if not full_effort(ground.works[place.work]):
        return ""
    earlier = [
        one
        for block in sorted(ground.fixed)
        if block < place.block
        for one in ground.fixed[block]
        if one.vaulter == place.vaulter and warms(ground.works[one.work])
    ]
    if not earlier:
        return ""
    values = {"work": ground.works[earlier[-1].work].name, "block": earlier[-1].block}
    return _("After %(work)s in block %(block)d, so warm for it.") % values


def _load(ground: Ground, place: Placing, work: Work) -> Iterable[str]:
    if work.load is None:
        return
    vaulter, done = ground.vaulters[place.vaulter], ground.load_so_far(ground.facts[place.vaulter], work.load.key)
    planned = sum(found.get((place.vaulter, work.load.key), 0) for found in ground.fixed_load.values())
    yield _("%(load)s in this practice: %(share)s, with these.") % {
        "load": work.load.name,
        "share": words.share_of(planned + done.reps, limit_of(work.load, vaulter)),
    }
    if work.load.days_a_week is not None:
        days = len(done.days)
        said = ngettext("%(n)d other day with it within a week.", "%(n)d other days with it within a week.", days)
        yield said % {"n": days}


def _adult(ground: Ground, place: Placing, work: Work) -> Iterable[str]:
    if place.station is None or work.adult_needed is AdultLevel.NONE:
        return
    adult = ground.problem.plan.adult(ground.stations[place.station].adult)
    if adult:
        yield _("%(adult)s stands at %(station)s in this block.") % {
            "adult": adult.name,
            "station": ground.stations[place.station].name,
        }


def _dose(ground: Ground, place: Placing, work: Work) -> Iterable[str]:
    here = [one for one in ground.fixed[place.block] if one.station == place.station]
    each = ground.turns(place.block, [ground.works[one.work] for one in here])
    if work.seconds_a_turn and not work.job:
        turns = ngettext("about %(n)d turn", "about %(n)d turns", each) % {"n": each}
        yield _("%(turns)s, and fewer than %(least)d would be of little use.") % {
            "turns": turns[:1].upper() + turns[1:],
            "least": work.least_turns,
        }


# Who may do what in a cell


@dataclass(frozen=True, slots=True)
class MayTry:
    """One athlete at one drill. barred: why not today, empty if nothing speaks against it."""

    label: str
    key: str
    readiness: str
    last: str
    reason: str
    worth: float


@dataclass(frozen=True, slots=True)
class Offer:
    """One drill in a cell. who: those without a place who may try it, the most worth first. turns: each, if all of
    them were here; 0 where nothing is done in turns."""

    work: str
    name: str
    who: tuple[MayTry, ...]
    turns: int
    least: int
    asked: str

    @property
    def few(self) -> bool:
        return self.turns < self.least


@dataclass(frozen=True, slots=True)
class Offers:
    first: tuple[Offer, ...]
    more: tuple[Offer, ...]


def offers(member: Member, board: Board, cell: Cell) -> Offers:
    """For everybody without a place in the cell's block. What nobody may try is left out."""
    posed = pose(member, board.practice, rows=board.source)
    ground, at = Ground(posed.problem), str(cell.station.pk) if cell.station else None
    free = next(rest.idle for rest in board.rest.cells if rest.block.pk == cell.block.pk)
    labels = {str(chip.athlete_id): chip.label for chip in free}
    found = [_offer(posed, ground, cell, work, labels) for work in ground.works.values() if _fits(ground, at, work)]
    some = sorted((one for one in found if one.who), key=lambda one: (-sum(m.worth for m in one.who), one.name))
    return Offers(tuple(some[:SHOWN]), tuple(some[SHOWN:]))


def _fits(ground: Ground, at: str | None, work: Work) -> bool:
    return not work.job and not ground.place_bars[at, work.key]


def _offer(posed: Posed, ground: Ground, cell: Cell, work: Work, labels: dict[str, str]) -> Offer:
    who = [
        _may_try(posed, key, label, option)
        for key, label in labels.items()
        for option in ground.open[key]
        if option.work == work.key
    ]
    who.sort(key=lambda one: (-one.worth, one.label))
    seconds = [work.seconds_a_turn] * len(who) if work.seconds_a_turn else []
    asked = "".join(f"&who={one.key}" for one in who)
    turns = turns_each(cell.block.minutes, seconds)
    return Offer(work.key, work.name, tuple(who), turns, work.least_turns, f"&work={work.key}{asked}")


def _may_try(posed: Posed, key: str, label: str, option: Option) -> MayTry:
    athlete = next(one.pk for one in posed.rows.athletes if str(one.pk) == key)
    kind, drill = option.work.split(":", 1)
    last = posed.last(athlete, drill) if kind == "drill" else None
    said = words.days_ago((posed.problem.day - last).days) if last else ""
    telling = next((one for one in option.reasons if one.why in _TELLING), None)
    return MayTry(
        label=label,
        key=key,
        readiness=words.readiness_words(posed.reading(athlete, drill)) if kind == "drill" else "",
        last=_("last done %(when)s") % {"when": said} if said else "",
        reason=words.reason_sentence(telling) if telling else "",
        worth=option.worth,
    )


_TELLING = {Why.WARM_UP, Why.PERSISTENT_FAULT, Why.FIRST_LINK, Why.FOCUS, Why.SETTLED, Why.EASIER, Why.TOO_LITTLE_SEEN}
