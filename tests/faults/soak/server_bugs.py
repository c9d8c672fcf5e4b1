"""Bugs, by name, put into the site before its processes are forked, for ``tests.faults.bugs``."""

import threading
import time
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from datetime import datetime, timedelta
from typing import Any


def answers_before_the_commit() -> None:
    """Tells the tablet that all is well, and stores it a moment later."""
    from django.db import connections, transaction

    from sessions.reps import api
    from sessions.reps.actions import take

    real = take.take_events

    def early(**given: Any) -> Any:
        with transaction.atomic():
            answer = real(**given)
            transaction.set_rollback(True)
        threading.Thread(target=store, args=(given,)).start()
        return answer

    def store(given: dict[str, Any]) -> None:
        time.sleep(0.8)
        try:
            real(**given)
        finally:
            connections.close_all()

    api.take_events = early


def knows_no_duplicates() -> None:
    """What came before is not found by its uuid."""
    from sessions.reps.queries import known

    known.hashes = lambda *_given: {}


def trusts_the_clock_of_the_tablet() -> None:
    from sessions.reps.core import clock

    def as_it_is(at: datetime, _offset: timedelta) -> datetime:
        return at

    clock.corrected = as_it_is


def takes_anybodys() -> None:
    """Whoever is signed in, what another person recorded is taken as theirs."""
    from dataclasses import replace

    from sessions.reps import api

    real = api.read_batch
    api.read_batch = lambda data: replace(real(data), by=None)


def sees_what_nobody_watched() -> None:
    """Of a set, every rep counts as seen."""
    from dataclasses import replace

    from sessions.reps.core import derive

    real = derive._marks_of_set

    def seen(content: Any, marked: Any) -> Any:
        return replace(real(content, marked), watched=content.watch_set)

    derive._marks_of_set = seen


def is_done_before_its_work() -> None:
    """A duty counts as done in a transaction of its own, before its effect is stored."""
    from club import duties

    real = duties.Claim.effect

    @contextmanager
    def effect(claim: duties.Claim) -> Iterator[None]:
        with real(claim):
            pass
        time.sleep(0.5)
        yield

    duties.Claim.effect = effect


SERVER: dict[str, Callable[[], None]] = {
    made.__name__: made
    for made in (
        answers_before_the_commit,
        knows_no_duplicates,
        trusts_the_clock_of_the_tablet,
        takes_anybodys,
        sees_what_nobody_watched,
        is_done_before_its_work,
    )
}
