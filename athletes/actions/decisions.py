"""Decisions of the head coach: one touch, kept with who, when, on which figures, with or against the advice.

A decision is never changed. Each leaves the duty ``standing``, which folds it in among the reps.
"""

from collections.abc import Iterable, Mapping
from datetime import date, datetime, timedelta
from typing import Any
from uuid import UUID

from django.core.exceptions import PermissionDenied
from django.db import transaction
from django.utils.translation import gettext as _
from django.utils.translation import gettext_noop

from athletes.actions import standing
from athletes.core.progression import Progression
from athletes.core.standing import DecisionKind
from athletes.models import Athlete, Decision, Notice, Standing
from athletes.queries import decisions as queries
from athletes.queries import standing as standing_queries
from athletes.queries.standing import Stand
from club import audit, duties
from club.members import Member
from club.roles import Permission
from drills.core.catalogue import RiskClass
from drills.models import Drill, Need


class CannotDecide(Exception):
    """The decision would mean nothing, or is not the coach's to make now. Its text says why, to the coach."""


SAID = {
    DecisionKind.TOUCH: gettext_noop("opened a drill for an athlete"),
    DecisionKind.PLACE: gettext_noop("placed an athlete at a drill"),
    DecisionKind.SETTLED: gettext_noop("called a drill settled"),
    DecisionKind.KEEP_ON: gettext_noop("kept an athlete on at a drill"),
    DecisionKind.EASIER_DRILL: gettext_noop("gave an athlete an easier drill"),
    DecisionKind.START_OVER: gettext_noop("started a drill over for an athlete"),
}
ONE_STEP = timedelta(microseconds=1)


def decide(
    *,
    by: Member,
    athlete: Athlete,
    drill: Drill,
    kind: DecisionKind,
    today: date,
    now: datetime,
    recent: Mapping[str, int] | None = None,
) -> Decision:
    """Keeps what the head coach decided. recent: good, counted and days of the last reps, as they were shown.

    today: the club's local date. To decide the same twice on one day and the same figures is one decision.
    Raises PermissionDenied, CannotDecide. A placement is made by ``place``.
    """
    by = _deciding(by)
    if kind is DecisionKind.PLACE:
        raise CannotDecide(_("Say what was seen, and place the athlete."))
    with transaction.atomic():
        if kind is DecisionKind.START_OVER:
            _fold_again(by, athlete.pk, drill.pk, today)
        stand = _lock(by, athlete, drill, today)
        if kind is DecisionKind.TOUCH:
            _may_open(stand, drill)
        row = _row(by, athlete, drill, kind, stand, today, now)
        row.figures |= {"lately": dict(recent)} if recent else {}
        same = _last(by, athlete, drill, today)
        if same and (same.kind, same.figures) == (row.kind, row.figures):
            return same
        _keep(by, [row])
    return row


def start_over(*, by: Member, athletes: Iterable[Athlete], drill: Drill, now: datetime) -> list[Decision]:
    """Starts the drill over for all of them, or for nobody: after its gate or steps were changed. now: in the club's
    zone. Raises PermissionDenied, CannotDecide."""
    with transaction.atomic():
        return [
            decide(by=by, athlete=one, drill=drill, kind=DecisionKind.START_OVER, today=now.date(), now=now)
            for one in sorted(athletes, key=lambda athlete: athlete.pk)
        ]


def take_all_back(*, by: Member, decisions: Iterable[Decision], now: datetime) -> None:
    """All of them, or none. now: in the club's zone. Raises PermissionDenied, CannotDecide."""
    with transaction.atomic():
        for one in sorted(decisions, key=lambda decision: decision.athlete_id):
            take_back(by=by, decision=one, today=now.date(), now=now)


def place(*, by: Member, athlete: Athlete, drill: Drill, day: date, now: datetime, seen: str = "") -> Decision:
    """ "Placed here by … on …": the head coach says that an experienced arrival may do this drill, contact too.

    The floor and moving drills behind it that are not open are placed with it, one decision each. day: the club's
    local date; seen: what it rests on. Raises PermissionDenied, CannotDecide.
    """
    by = _deciding(by)
    with transaction.atomic():
        stand = _lock(by, athlete, drill, day)
        rows = [_row(by, athlete, drill, DecisionKind.PLACE, stand, day, now, seen)]
        stands = standing_queries.stands(by, [athlete])
        for step, below in enumerate(_below(by, drill), start=1):
            if not (found := stands.of(athlete.pk, below)).is_open:
                at = now - step * ONE_STEP
                rows.append(_row(by, athlete, below, DecisionKind.PLACE, found, day, at, seen))
        _keep(by, rows)
    return rows[0]


def take_back(*, by: Member, decision: Decision, today: date, now: datetime) -> Decision:
    """As if it had not been decided; both stay to be read. Raises PermissionDenied, CannotDecide: it is too old, or was
    taken back already."""
    by = _deciding(by)
    with transaction.atomic():
        if decision.kind == Decision.Kind.START_OVER:
            _fold_again(by, decision.athlete_id, decision.drill_id, decision.day)
        standing.mark(club=by.club, athlete_ids=[decision.athlete_id], since=decision.day)
        standing.lock_book(club=by.club, athlete_id=decision.athlete_id)
        rows = Decision.objects.for_member(by)
        if rows.filter(takes_back=decision).exists():
            raise CannotDecide(_("It was taken back already."))
        if not queries.may_take_back(decision, now):
            raise CannotDecide(_("It is too long ago to be taken back. Decide anew instead."))
        row = Decision(
            club=by.club,
            athlete=decision.athlete,
            drill=decision.drill,
            kind=Decision.Kind.TAKEN_BACK,
            day=today,
            at=now,
            by=by.person,
            takes_back=decision,
        )
        row.save()
        values = {"drill": decision.drill.key, "decision": str(decision.pk), "was": decision.kind}
        audit.note(by, gettext_noop("took a decision back"), decision.athlete, values)
    return row


def set_aside(*, by: Member, notice: Notice, now: datetime) -> None:
    """The head coach has read it."""
    by = _deciding(by)
    with transaction.atomic():
        rows = Notice.objects.for_member(by).filter(pk=notice.pk, set_aside_at__isnull=True)
        if rows.update(set_aside_at=now, set_aside_by=by.person):
            values = {"drill": notice.drill.key, "kind": notice.kind, "day": str(notice.day)}
            audit.note(by, gettext_noop("set a notice aside"), notice.athlete, values)


def _deciding(by: Member) -> Member:
    """Decisions open contact drills, so this asks whoever calls, too, and not the door alone."""
    if not by.may(Permission.DECIDE):
        raise PermissionDenied
    return by.acting(Permission.DECIDE)


def _fold_again(by: Member, athlete_id: UUID, drill_id: int, day: date) -> None:
    """The figures of the pair begin anew there, or do not after all."""
    duties.leave("day_counts", by.club, [f"{athlete_id}/{drill_id}/{day}"])


def _lock(by: Member, athlete: Athlete, drill: Drill, today: date) -> Stand:
    """Holds the athlete's book, marks the day as changed, and reads where they stand with the drill."""
    if athlete.left_on is not None and athlete.left_on <= today:
        raise CannotDecide(_("They have left the club."))
    standing.mark(club=by.club, athlete_ids=[athlete.pk], since=today)
    standing.lock_book(club=by.club, athlete_id=athlete.pk)
    row = Standing.objects.for_member(by).filter(athlete=athlete, drill=drill).first()
    has_needs = Need.objects.for_member(by).filter(drill=drill).exists()
    return standing_queries.stand_of(row, drill, has_needs)


def _may_open(stand: Stand, drill: Drill) -> None:
    if drill.risk == RiskClass.CONTACT:
        if stand.is_open:
            raise CannotDecide(_("It is open already."))
        if not stand.asks:
            raise CannotDecide(
                _("A contact drill opens once its entry drill is settled by figures, with no unsafe rep lately.")
            )


def _row(
    by: Member, athlete: Athlete, drill: Drill, kind: DecisionKind, stand: Stand, day: date, at: datetime,
    seen: str = "",
) -> Decision:  # fmt: skip
    reading = queries.reading_at(by, athlete, drill, day)
    advice = queries.advice_at(kind, reading, stand)
    return Decision(
        club=by.club,
        athlete=athlete,
        drill=drill,
        kind=kind.value,
        day=day,
        at=at,
        by=by.person,
        advice=advice,
        side=queries.side_of(kind, advice),
        figures=queries.figures_of(reading, stand, _names(by, stand)),
        seen=seen.strip(),
    )


def _names(by: Member, stand: Stand) -> dict[str, str]:
    keys = [need["need"] for need in stand.lacking]
    return dict(Drill.objects.for_member(by).filter(key__in=keys).values_list("key", "name")) if keys else {}


def _last(by: Member, athlete: Athlete, drill: Drill, today: date) -> Decision | None:
    """The last decision of today about the pair, unless it was taken back."""
    rows = Decision.objects.for_member(by).filter(athlete=athlete, drill=drill, day=today)
    row = rows.select_related("taken_back_by").first()
    return row if row and row.kind != Decision.Kind.TAKEN_BACK else None


def _below(by: Member, drill: Drill) -> list[Drill]:
    """Floor and moving drills behind this one."""
    keys = Progression.of(standing_queries.current_drills(by.club)).placed_below(drill.key)
    return list(Drill.objects.for_member(by).filter(key__in=keys, retired=False))


def _keep(by: Member, rows: list[Decision]) -> None:
    for row in rows:
        row.save()
        values: dict[str, Any] = {"drill": row.drill.key, "side": row.side, "decision": str(row.pk)}
        audit.note(by, SAID[DecisionKind(row.kind)], row.athlete, values)
