"""Duties: background work as rows, unique by kind, club and key.

``leave`` asks once more for a duty, inside the transaction of the write that makes it necessary, and
rings the doorbell when that transaction commits. A worker claims a due duty under a lease, reads
``asked``, works outside any transaction, and stores its effect in the transaction that sets ``done``
to the value it read, only if its token still holds. A kill at any moment therefore loses nothing and
doubles nothing: an effect without its ``done`` was never committed.

Work that must go up in the layers is handed over by name: an upper app registers the handler of a kind.
"""

import logging
import os
import traceback
from collections.abc import Callable, Iterator, Sequence
from contextlib import contextmanager
from dataclasses import dataclass
from datetime import date, datetime, timedelta
from threading import Lock, Timer
from uuid import UUID, uuid4

from django.db import connection, transaction
from django.db.models import F, Q
from django.utils import timezone
from django.utils.functional import Promise

from club.models import Club, Duty, Heartbeat

logger = logging.getLogger(__name__)

QUICK, LONG = "quick", "long"
NIGHTLY = "nightly"
LEASE = {QUICK: timedelta(seconds=30), LONG: timedelta(minutes=10)}
RING_AFTER_S = 0.05
LONGEST_WAIT = timedelta(minutes=10)


class LeaseLost(Exception):
    """Another worker took the duty over; nothing of this one's effect may be stored."""


@dataclass(frozen=True, slots=True)
class Claim:
    """A duty in a worker's hands. ``asked`` is what it read, ``token`` what proves the lease."""

    duty_id: int
    kind: str
    club: Club
    key: str
    asked: int
    token: UUID

    @contextmanager
    def effect(self) -> Iterator[None]:
        """The one transaction in which the duty's effect is stored. Raises LeaseLost."""
        with transaction.atomic():
            held = Duty.objects.filter(pk=self.duty_id, token=self.token)
            if not held.update(done=self.asked, token=None, leased_until=None, failures=0, last_error=""):
                raise LeaseLost(f"{self.kind} {self.key}")
            yield


Handler = Callable[[Claim], None]
First = Callable[[Club, datetime], datetime]
StrOrPromise = str | Promise


@dataclass(frozen=True, slots=True)
class _Kind:
    queue: str
    handle: Handler
    words: StrOrPromise
    first: First | None = None


_kinds: dict[str, _Kind] = {}


def handles(
    kind: str, words: StrOrPromise, queue: str = QUICK, first: First | None = None
) -> Callable[[Handler], Handler]:
    """Registers the handler of a kind. It must store its effect inside ``with claim.effect():``.

    words: what the work is, for the club page. first: of a kind that every club has, when it is due for the first time;
    its handler asks for the next time itself.
    """

    def register(handle: Handler) -> Handler:
        if kind in _kinds:
            raise ValueError(f"two handlers for duty kind {kind!r}")
        _kinds[kind] = _Kind(queue, handle, words, first)
        return handle

    return register


def words(kind: str) -> StrOrPromise:
    """What the work of a kind is, in words."""
    return _kinds[kind].words if kind in _kinds else kind


_LEAVE = """
INSERT INTO club_duty (kind, queue, club_id, key, asked, done, due_at, asked_at, failures, last_error)
VALUES (%s, %s, %s, %s, 1, 0, %s, %s, 0, '')
ON CONFLICT (kind, club_id, key) DO UPDATE
SET asked = club_duty.asked + 1, asked_at = excluded.asked_at,
    due_at = CASE WHEN club_duty.done < club_duty.asked AND club_duty.due_at < excluded.due_at
                  THEN club_duty.due_at ELSE excluded.due_at END
"""


def leave(kind: str, club: Club, keys: list[str], due_at: datetime | None = None) -> None:
    """Asks for these duties, as part of the surrounding transaction. Raises KeyError for an unknown kind."""
    queue = _kinds[kind].queue
    now = timezone.now()
    to_db = connection.ops.adapt_datetimefield_value
    club_id = club.pk.hex if connection.vendor == "sqlite" else club.pk
    moments = [to_db(due_at or now), to_db(now)]
    # One order for all, so that two writers never wait for each other.
    rows = [[kind, queue, club_id, key, *moments] for key in sorted(set(keys))]
    with connection.cursor() as cursor:
        cursor.executemany(_LEAVE, rows)
    if keys:
        transaction.on_commit(lambda: ring(queue), robust=True)


_rung: set[str] = set()
_bell = Lock()
os.register_at_fork(after_in_child=_rung.clear)


def ring(queue: str) -> None:
    """Tells a worker that something is due, a moment from now; what asks meanwhile is told of along with it.

    Whoever asked does not wait for the broker. A lost ring costs two seconds, never a duty.
    """
    with _bell:
        if queue in _rung:
            return
        _rung.add(queue)
    Timer(RING_AFTER_S, _ring_now, [queue]).start()


def _ring_now(queue: str) -> None:
    from club.tasks import drain_task

    with _bell:  # first: what asks from now on may come after the worker has looked
        _rung.discard(queue)
    try:
        drain_task.apply_async(args=[queue], queue=queue, expires=10)
    except Exception:
        logger.warning("no ring for %s", queue, exc_info=True)


def due(queue: str, now: datetime) -> "list[Duty]":
    rows = Duty.objects.filter(_free(now), queue=queue, done__lt=F("asked"), due_at__lte=now)
    return list(rows.order_by("due_at", "pk").select_related("club")[:20])


def claim(duty: Duty, now: datetime) -> Claim | None:
    """Takes the lease; None if another worker was faster, or somebody is just asking for the duty once more."""
    return next(iter(claim_all([duty], now)), None)


def claim_all(found: Sequence[Duty], now: datetime) -> list[Claim]:
    """Takes the leases of these duties of one queue in one transaction, as far as they are free, in their order.

    Rows that somebody is writing are passed over: whoever asks for several holds them in another order, and will ring.
    """
    if not found:
        return []
    token = uuid4()
    rows = Duty.objects.filter(_free(now), pk__in=[duty.pk for duty in found], done__lt=F("asked"))
    with transaction.atomic():
        asked = dict(rows.select_for_update(skip_locked=True).values_list("pk", "asked"))
        lease = {"token": token, "leased_until": now + LEASE[found[0].queue]}
        Duty.objects.filter(pk__in=list(asked)).update(**lease)
    return [Claim(duty.pk, duty.kind, duty.club, duty.key, asked[duty.pk], token) for duty in found if duty.pk in asked]


def _free(now: datetime) -> Q:
    return Q(leased_until__isnull=True) | Q(leased_until__lt=now)


def drain(queue: str, seconds: float = 20.0) -> int:
    """Does due duties of a queue until none is left or the time is up; how many were done."""
    beat(queue)
    if queue == LONG:
        ensure_recurring(timezone.now())
    stop = timezone.now() + timedelta(seconds=seconds)
    count = 0
    while timezone.now() < stop:
        claims = claim_all(due(queue, timezone.now()), timezone.now())
        if not claims:
            return count
        for taken in claims:
            count += _do(taken)
        beat(queue)
    return count


def _do(taken: Claim) -> int:
    try:
        _kinds[taken.kind].handle(taken)
    except LeaseLost:
        logger.warning("lease lost: %s %s", taken.kind, taken.key)
        return 0
    except Exception as error:
        logger.exception("duty failed: %s %s", taken.kind, taken.key)
        _put_back(taken, error)
        return 0
    return 1


def _put_back(taken: Claim, error: Exception) -> None:
    """Sets the failed duty aside for a while: 2 s, 4 s, 8 s … at most ten minutes."""
    rows = Duty.objects.filter(pk=taken.duty_id, token=taken.token)
    failures = rows.values_list("failures", flat=True).first()
    if failures is None:
        return
    wait = min(timedelta(seconds=2 ** min(failures + 1, 10)), LONGEST_WAIT)
    reason = "".join(traceback.format_exception_only(error)).strip()[:500]
    rows.update(
        failures=F("failures") + 1, last_error=reason, due_at=timezone.now() + wait, token=None, leased_until=None
    )


_recurring_seen: set[date] = set()


def ensure_recurring(now: datetime) -> None:
    """Each club has its nightly and weekly duties, which ask for themselves again. Each worker looks once a day."""
    if now.date() in _recurring_seen:
        return
    _recurring_seen.clear()
    _recurring_seen.add(now.date())
    rows = [
        Duty(kind=name, queue=kind.queue, club=club, key="", due_at=kind.first(club, now), asked_at=now)
        for club in Club.objects.all()
        for name, kind in _kinds.items()
        if kind.first
    ]
    Duty.objects.bulk_create(rows, ignore_conflicts=True)


def next_night(now: datetime) -> datetime:
    """Three hours past the next midnight, UTC."""
    return (now + timedelta(days=1)).replace(hour=3, minute=0, second=0, microsecond=0)


def retry(duty: Duty) -> None:
    """Makes a failed duty due at once."""
    if Duty.objects.filter(pk=duty.pk, done__lt=F("asked")).update(due_at=timezone.now()):
        ring(duty.queue)


def sweep(club: Club, older_than: timedelta = timedelta(days=7)) -> int:
    """Deletes a club's finished duties that nobody asked for lately."""
    rows = Duty.objects.for_club(club).filter(done=F("asked"), asked_at__lt=timezone.now() - older_than)
    return rows.delete()[0]


def beat(queue: str) -> None:
    """Written once a second at most: rings may come faster."""
    now = timezone.now()
    if not Heartbeat.objects.filter(queue=queue, at__gt=now - timedelta(seconds=1), at__lte=now).exists():
        Heartbeat.objects.update_or_create(queue=queue, defaults={"at": now})
