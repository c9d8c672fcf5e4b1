"""Takes a batch of events: each is accepted, kept for a look, known already, or rejected with a reason."""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field
from datetime import datetime, timedelta
from typing import Any
from uuid import UUID

from django.core.exceptions import PermissionDenied
from django.db import IntegrityError, transaction
from django.utils import timezone
from django.utils.translation import gettext_noop

from athletes.models import Athlete
from club import audit, duties
from club.members import Member
from club.roles import Permission
from sessions.practices.actions import incidents
from sessions.practices.models import Practice
from sessions.reps.actions import checks, needs
from sessions.reps.actions.derive import rederive
from sessions.reps.actions.rows import Desk
from sessions.reps.core import clock, events, identity
from sessions.reps.core.batches import Batch, Unusable, read_batch
from sessions.reps.core.events import Kind
from sessions.reps.core.reading import Problem, Refused
from sessions.reps.models import Device, DeviceAtPractice, Event, NeedsLook
from sessions.reps.queries import known as knowing
from sessions.reps.queries.known import CatalogueRows, Known
from sessions.reps.words import message

ACCEPTED, KEPT, DUPLICATE, REJECTED = "accepted", "kept", "duplicate", "rejected"
TRIES = 3
SEEN_TO = timedelta(minutes=1)
"""How exactly a device's last sign of life is kept. When it was heard at a practice, to the second, is kept there."""


@dataclass(frozen=True, slots=True)
class Result:
    """What became of one item. state: accepted, kept (stored; a coach looks at it), duplicate or rejected."""

    uuid: str | None
    state: str
    reason: str = ""
    message: str = ""


@dataclass(frozen=True, slots=True)
class Answer:
    """now: the server's clock; results in the order of the items."""

    now: datetime
    results: tuple[Result, ...]


def take_events(
    *, by: Member, practice: Practice, batch: Batch | Mapping[str, Any], received_at: datetime | None = None
) -> Answer:
    """Stores what can be taken and derives its rows, in one transaction.

    The same batch again changes nothing. Raises PermissionDenied for a member who may not log,
    ``sessions.reps.core.reading.Refused`` for a mapping that is no batch or for one that another person recorded,
    Practice.DoesNotExist for a practice that the member does not see.
    """
    member = by.acting(Permission.REPS_LOG)
    if not member.relations:
        raise PermissionDenied
    read = batch if isinstance(batch, Batch) else read_batch(batch)
    if read.by is not None and read.by != member.person.pk:
        raise Refused("other_person", "by")
    received_at = received_at or timezone.now()
    for attempt in range(1, TRIES + 1):
        try:
            with transaction.atomic():
                return _take(member, practice, read, received_at)
        except IntegrityError:  # somebody else stored one of these uuids meanwhile: now it is there to be found
            if attempt == TRIES:
                raise
    raise AssertionError


@dataclass(slots=True)
class _Taking:
    """One batch being taken. results by position; taken: what is to be stored, with its place in it."""

    device: Device
    offset: timedelta
    version: int
    known: Known
    hashes: dict[UUID, str]
    theirs: set[UUID]
    results: dict[int, Result] = field(default_factory=dict)
    taken: dict[UUID, tuple[int, events.Event]] = field(default_factory=dict)
    own: set[UUID] = field(default_factory=set)
    clashes: list[events.Event] = field(default_factory=list)

    def reject(self, number: int, uuid: object, problem: Problem) -> None:
        self.results[number] = Result(str(uuid) if uuid else None, REJECTED, problem.reason, message(problem))

    def at(self, event: events.Event) -> datetime:
        return clock.corrected(event.at, self.offset)

    def digest(self, event: events.Event) -> str:
        return identity.digest(event, self.device.uuid, self.known.practice.pk)


def _take(member: Member, practice: Practice, batch: Batch, received_at: datetime) -> Answer:
    practice, rows = _lock(member, practice)
    taking = _prepare(member, practice, batch, received_at, rows)
    for number, item in enumerate(batch.items):
        _judge(taking, number, item)
    stored = _store(taking, received_at)
    desk = _desk(taking)
    _keep(taking, desk, stored)
    _keep_clashes(taking)
    keys = rederive(desk, stored) if stored else set()
    _audit(member, stored)
    _open_incidents(member, practice, stored)
    duties.leave("day_counts", practice.club, sorted(keys))
    _answer_taken(taking, desk)
    return Answer(timezone.now(), tuple(result for _, result in sorted(taking.results.items())))


def _lock(member: Member, practice: Practice) -> tuple[Practice, CatalogueRows]:
    """Batches of one practice are taken one after the other: what they derive depends on each other."""
    rows = Practice.objects.for_club(member.club).select_for_update(no_key=True)
    if not member.sees_club:
        rows = rows.filter(pk__in=Practice.objects.for_member(member).filter(pk=practice.pk).values("pk"))
    found = rows.annotate(catalogue_stamp=knowing.STAMP_OF_CLUB).get(pk=practice.pk)
    found.club = member.club
    return found, knowing.catalogue_rows(member.club, found.catalogue_stamp)


def _desk(taking: _Taking) -> Desk:
    known = taking.known
    new = {uuid: event.content for uuid, (_, event) in taking.taken.items()}
    return Desk(known.practice, known.rows, new=new, stations=known.stations if known.member.sees_club else None)


def _prepare(member: Member, practice: Practice, batch: Batch, received_at: datetime, rows: CatalogueRows) -> _Taking:
    sent = [item for item in batch.items if isinstance(item, events.Event)]
    device = _device(member, batch, received_at)
    _tell(member, practice, batch, device, received_at)
    own = {uuid for event in sent for uuid in identity.own_uuids(event)}
    hashes, theirs = knowing.taken_uuids(member.club, own, (event.uuid for event in sent))
    return _Taking(
        device=device,
        offset=device.clock_offset,
        version=batch.version,
        known=knowing.known(member, practice, sent, rows),
        hashes=hashes,
        theirs=theirs,
    )


def _device(member: Member, batch: Batch, received_at: datetime) -> Device:
    row = Device.objects.for_club(member.club).filter(uuid=batch.device).first()
    row = row or Device(club=member.club, uuid=batch.device, last_seen_at=received_at)
    before = (row.clock_offset, row.name)
    row.clock_offset = clock.offset(batch.sent_at, received_at, row.clock_offset)
    row.name = batch.device_name or row.name
    if not row.pk or before != (row.clock_offset, row.name) or received_at - row.last_seen_at > SEEN_TO:
        row.last_seen_at = max(received_at, row.last_seen_at)
        # Of a known device only these change: batches of two practices must not undo each other's other columns.
        row.save(update_fields=["clock_offset", "name", "last_seen_at"] if row.pk else None)
    return row


def _tell(member: Member, practice: Practice, batch: Batch, device: Device, received_at: datetime) -> None:
    """What the desk sees of this device at this practice. A batch of version 1 does not say what is left unsent."""
    told = {"person": member.person, "heard_at": received_at, "unsent": batch.unsent}
    rows = DeviceAtPractice.objects.for_club(member.club).filter(device=device, practice=practice)
    if not rows.update(**told):
        DeviceAtPractice.objects.create(club=member.club, device=device, practice=practice, **told)


def _judge(taking: _Taking, number: int, item: events.Event | Unusable) -> None:
    if isinstance(item, Unusable):
        taking.reject(number, item.uuid, item.problem)
        return
    there = taking.hashes.get(item.uuid)
    if there is not None and there == taking.digest(item):
        taking.results[number] = Result(str(item.uuid), DUPLICATE)
    elif there is not None or _clashes(taking, item):
        taking.clashes.append(item)
        taking.reject(number, item.uuid, Problem("conflict", "uuid"))
    elif problem := checks.refusal(item, taking.at(item), taking.known):
        taking.reject(number, item.uuid, problem)
    else:
        _accept(taking, number, item)


def _clashes(taking: _Taking, item: events.Event) -> bool:
    """Whether a uuid of its reps is that of something else."""
    mine = identity.own_uuids(item)
    return item.uuid in taking.theirs or any(uuid in taking.hashes or uuid in taking.own for uuid in mine)


def _accept(taking: _Taking, number: int, item: events.Event) -> None:
    """Seen from now on by the rest of the batch, too."""
    taking.taken[item.uuid] = (number, item)
    taking.hashes[item.uuid] = taking.digest(item)
    mine = identity.own_uuids(item)
    taking.own.update(mine)
    member, practice = taking.known.member, taking.known.practice
    target = knowing.Target(item.kind, member.person.pk, practice.pk)
    taking.known.targets.update(dict.fromkeys(mine, target))
    if item.kind is Kind.OUT_OF_PRACTICE and item.athlete:
        taking.known.out.setdefault(item.athlete, taking.at(item))


def _store(taking: _Taking, received_at: datetime) -> list[Event]:
    member = taking.known.member
    rights = {
        "corrects_others": member.may(Permission.REPS_CORRECT),
        "brings_back": member.may(Permission.PRACTICE_PLAN),
    }
    rows = [
        Event(
            club=member.club,
            uuid=event.uuid,
            version=taking.version,
            kind=event.kind,
            practice=taking.known.practice,
            device=taking.device,
            by=member.person,
            athlete_id=event.athlete,
            target=event.target,
            device_at=event.at,
            at=taking.at(event),
            sequence=event.sequence,
            received_at=received_at,
            content=events.plain(event.content),
            content_hash=taking.hashes[event.uuid],
            **rights,
        )
        for _, event in taking.taken.values()
    ]
    return Event.objects.bulk_create(rows)


def _keep(taking: _Taking, desk: Desk, stored: list[Event]) -> None:
    """Marks those that a coach has to let in."""
    kept = []
    for row in stored:
        event = taking.taken[row.uuid][1]
        if reason := checks.gate(event, row.at, taking.known):
            kept.append((row, reason))
    needs.keep(desk, kept)


def _keep_clashes(taking: _Taking) -> None:
    """Keeps what came under a uuid that stands for something else. Sent again, it is kept once."""
    member, practice = taking.known.member, taking.known.practice
    NeedsLook.objects.bulk_create(
        [
            NeedsLook(
                club=member.club,
                practice=practice,
                event=event.uuid,
                reason=NeedsLook.Reason.CONFLICT,
                target=event.uuid,
                athlete_id=event.athlete if event.athlete in taking.known.athletes else None,
                by=member.person,
                device=taking.device,
                at=taking.at(event),
                content={"kind": event.kind, "sequence": event.sequence, **events.plain(event.content)},
                digest=taking.digest(event),
            )
            for event in taking.clashes
        ],
        ignore_conflicts=True,
    )


def _audit(member: Member, stored: Iterable[Event]) -> None:
    out = [row for row in stored if row.kind == Kind.OUT_OF_PRACTICE]
    athletes = Athlete.objects.in_bulk({row.athlete_id for row in out}) if out else {}
    for row in out:
        audit.note(
            member, gettext_noop("took out of practice"), athletes[row.athlete_id], {"reason": row.content["reason"]}
        )


def _open_incidents(member: Member, practice: Practice, stored: Iterable[Event]) -> None:
    """Whoever is taken out injured has a record from that moment, whether or not anybody has time to write."""
    for row in stored:
        if row.kind == Kind.OUT_OF_PRACTICE and row.content["reason"] == "injured":
            incidents.open_from_event(by=member, practice=practice, athlete=row.athlete_id, at=row.at, source=row.uuid)


def _answer_taken(taking: _Taking, desk: Desk) -> None:
    """Accepted, or kept with the reason that a coach sees."""
    for uuid, (number, _) in taking.taken.items():
        reason = desk.waiting.get(uuid, "")
        said = message(Problem(reason)) if reason else ""
        taking.results[number] = Result(str(uuid), KEPT if reason else ACCEPTED, reason, said)
