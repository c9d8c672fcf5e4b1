"""What a coach does at the desk: takes back, corrects, and judges what waits for a look.

The desk records events like any device, so that nothing changes but by events and by what a coach has settled.
"""

from datetime import datetime
from typing import Any
from uuid import UUID, uuid4, uuid5

from django.db import transaction
from django.utils import timezone
from django.utils.translation import gettext as _
from django.utils.translation import gettext_noop

from club import audit, duties
from club.members import Member
from club.roles import Permission
from sessions.practices.actions.errors import NotNow
from sessions.practices.models import Practice
from sessions.reps.actions.derive import rederive
from sessions.reps.actions.rows import Desk
from sessions.reps.actions.take import Result, take_events
from sessions.reps.models import Event, NeedsLook, Rep
from sessions.reps.queries.known import catalogue_rows
from sessions.reps.queries.stored import GATES

Reason, Settled = NeedsLook.Reason, NeedsLook.Settled
MAY_ENTER = frozenset({*GATES, Reason.NOT_YOURS, Reason.SECOND_CORRECTION, Reason.CONFLICT})


def take_back(*, by: Member, practice: Practice, target: UUID) -> Result:
    """Voids a rep, set, look, note or correction, by its uuid."""
    return _record(by, practice, uuid4(), {"kind": "void", "target": str(target)})


def correct(*, by: Member, practice: Practice, target: UUID, **changes: Any) -> Result:
    """Corrects a rep. changes: of ``athlete`` (id), ``drill`` (key), ``watched``, ``faults`` (keys), ``unsafe``."""
    said = {name: str(value) if isinstance(value, UUID) else value for name, value in changes.items()}
    return _record(by, practice, uuid4(), {"kind": "correction", "target": str(target), **said})


def accept(*, by: Member, need: NeedsLook) -> None:
    """It counts after all. Raises NotNow for what cannot, or is settled already."""
    if need.reason not in MAY_ENTER:
        raise NotNow(_("This cannot be accepted as it is. Drop it, or correct the rep itself."))
    with transaction.atomic():
        row = _settle(by, need, Settled.ACCEPTED)
        if row.reason == Reason.CONFLICT:
            _enter_again(by, row)
        elif row.reason == Reason.SECOND_CORRECTION:
            _give_way(by, row)
        _rederive(row)


def drop(*, by: Member, need: NeedsLook) -> None:
    """It never counts. Raises NotNow if it is settled, or about two recordings."""
    if need.reason == Reason.TWO_DEVICES:
        raise NotNow(_("Say whether it was one attempt or two."))
    with transaction.atomic():
        _rederive(_settle(by, need, Settled.DROPPED))


def one_attempt(*, by: Member, need: NeedsLook) -> None:
    """Two recordings were one attempt: the later one is taken back. Raises NotNow."""
    with transaction.atomic():
        row = _settle_pair(by, need, Settled.ONE)
        _must(take_back(by=by, practice=row.practice, target=row.event))


def two_attempts(*, by: Member, need: NeedsLook) -> None:
    """Two recordings were two attempts: both count. Raises NotNow."""
    with transaction.atomic():
        _rederive(_settle_pair(by, need, Settled.TWO))


def attach(*, by: Member, need: NeedsLook, rep: UUID) -> None:
    """A look that found no rep is of this one, by its uuid, at the same drill of the same practice. Raises NotNow."""
    if need.reason != Reason.NO_REP:
        raise NotNow(_("Only a look that found no rep is attached to one."))
    with transaction.atomic():
        drill = _drill_of_look(by, need)
        rows = Rep.objects.for_member(by.acting(Permission.REPS_CORRECT)).filter(practice=need.practice_id, uuid=rep)
        if not rows.filter(drill__key=drill).exclude(state=Rep.State.VOID).exists():
            raise NotNow(_("Choose a rep of this practice at the same drill."))
        row = _settle(by, need, Settled.ATTACHED, attached_to=rep)
        _rederive(row)


def rep_of_its_own(*, by: Member, need: NeedsLook) -> None:
    """A look that found no rep saw one that nobody else logged: it becomes that rep, on this coach's word, and is no
    look any more. Raises NotNow."""
    if need.reason != Reason.NO_REP:
        raise NotNow(_("Only a look that found no rep becomes one."))
    with transaction.atomic():
        row = _settle(by, need, Settled.OWN)
        events = Event.objects.for_club(by.club).filter(practice=row.practice)
        if events.filter(target=row.event).exclude(uuid=row.event).exists():
            raise NotNow(_("It was corrected or taken back since. Attach it to a rep, or drop it."))
        said = dict(events.values_list("content", flat=True).get(uuid=row.event))
        said = {name: said[name] for name in ("athlete", "drill", "watched", "faults", "unsafe") if name in said}
        _rederive(row)
        _must(_record(by, row.practice, uuid5(row.event, "rep"), {"kind": "rep", **said}, row.at))


def _drill_of_look(by: Member, need: NeedsLook) -> str:
    events = Event.objects.for_club(by.club).filter(practice=need.practice_id, uuid=need.event)
    content = events.values_list("content", flat=True).first() or {}
    return str(content.get("drill", ""))


def _settle_pair(by: Member, need: NeedsLook, settled: str) -> NeedsLook:
    if need.reason != Reason.TWO_DEVICES:
        raise NotNow(_("This is not about two recordings."))
    return _settle(by, need, settled)


def _settle(by: Member, need: NeedsLook, settled: str, **more: Any) -> NeedsLook:
    """Under the practice's lock, since it changes what is derived. Raises NotNow if somebody was faster."""
    member = by.acting(Permission.REPS_CORRECT)
    Practice.objects.for_club(by.club).select_for_update(no_key=True).get(pk=need.practice_id)
    rows = NeedsLook.objects.for_member(member).filter(pk=need.pk, settled_as="")
    if not rows.update(settled_as=settled, settled_by=by.person, settled_at=timezone.now(), **more):
        raise NotNow(_("Somebody has settled this already."))
    row = NeedsLook.objects.for_member(member).select_related("practice", "device").get(pk=need.pk)
    audit.note(
        by, gettext_noop("settled an entry"), row, {"reason": row.reason, "as": settled, "event": str(row.event)}
    )
    return row


def _rederive(row: NeedsLook) -> None:
    practice = row.practice
    events = Event.objects.for_club(practice.club).filter(uuid=row.event).select_related("device")
    keys = rederive(Desk(practice, catalogue_rows(practice.club, None)), events)
    duties.leave("day_counts", practice.club, sorted(keys))


def _enter_again(by: Member, row: NeedsLook) -> None:
    """What came under a taken uuid enters under one of its own, which follows from it."""
    content = dict(row.content)
    content.pop("at", None)
    _must(_record(by, row.practice, uuid5(row.event, row.digest), content, row.at))


def _give_way(by: Member, row: NeedsLook) -> None:
    """The corrections before and beside it are taken back."""
    others = Event.objects.for_club(by.club).filter(
        practice=row.practice, kind=Event.Kind.CORRECTION, target=row.target
    )
    for uuid in others.exclude(uuid=row.event).values_list("uuid", flat=True):
        _must(take_back(by=by, practice=row.practice, target=uuid))


def _record(by: Member, practice: Practice, uuid: UUID, said: dict[str, Any], at: datetime | None = None) -> Result:
    now = timezone.now()
    event = {"uuid": str(uuid), "at": (at or now).isoformat(), "sequence": 0, **said}
    desk = {"uuid": str(uuid5(by.club.pk, f"desk {by.person.pk}")), "name": _("desk")}
    batch = {"version": 2, "by": str(by.person.pk), "device": desk, "sent_at": now.isoformat(), "events": [event]}
    return take_events(by=by, practice=practice, batch=batch, received_at=now).results[0]


def _must(result: Result) -> None:
    if result.state == "rejected":
        raise NotNow(result.message)
