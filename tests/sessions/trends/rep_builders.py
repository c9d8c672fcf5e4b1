"""Builders of reps and looks as rows, without events: what the roll-up reads."""

import hashlib
from collections.abc import Iterable
from datetime import date, timedelta
from typing import Any
from uuid import UUID, uuid4

from athletes.models import Athlete
from club import duties
from club.models import Club
from drills.models import Checkpoint, Drill, Fault
from sessions.practices.models import Practice
from sessions.reps.models import Device, Look, LookFault, Rep, Watched, WatchSet
from tests.builders import DAY, aware, make_person, make_practice


def make_device(club: Club, **overrides: Any) -> Device:
    return Device.objects.create(
        club=club, **{"uuid": uuid4(), "name": "Tablet", "last_seen_at": aware(DAY), **overrides}
    )


def make_watch_set(club: Club, checkpoints: Iterable[Checkpoint]) -> WatchSet:
    found = sorted(checkpoints, key=lambda checkpoint: checkpoint.key)
    digest = hashlib.sha256("\n".join(checkpoint.key for checkpoint in found).encode()).hexdigest()
    watch_set, made = WatchSet.objects.get_or_create(club=club, digest=digest)
    if made:
        for checkpoint in found:
            Watched.objects.create(club=club, watch_set=watch_set, checkpoint=checkpoint)
    return watch_set


def practice_on(club: Club, day: date) -> Practice:
    return Practice.objects.filter(club=club, day=day).first() or make_practice(club, day=day)


def make_rep(athlete: Athlete, drill: Drill, **overrides: Any) -> Rep:
    """A rep without a look, on a practice of its day. minute: minutes after the start, for its order."""
    club, day = athlete.club, overrides.pop("day", DAY)
    uuid: UUID = overrides.pop("uuid", None) or uuid4()
    values: dict[str, Any] = {
        "practice": overrides.pop("practice", None) or practice_on(club, day),
        "device": overrides.pop("device", None) or Device.objects.filter(club=club).first() or make_device(club),
        "at": aware(day) + timedelta(minutes=overrides.pop("minute", 0)),
        "sequence": 0,
        "source": uuid,
    }
    return Rep.objects.create(club=club, uuid=uuid, athlete=athlete, drill=drill, day=day, **{**values, **overrides})


def make_look(rep: Rep, watched: Iterable[Checkpoint] = (), faults: Iterable[Fault] = (), **overrides: Any) -> Look:
    """A deciding look at the rep, with its faults inside or outside what it watched."""
    club, watched = rep.club, list(watched)
    values: dict[str, Any] = {
        "uuid": uuid4(),
        "observer": overrides.pop("observer", None) or make_person(club),
        "device": rep.device,
        "watch_set": make_watch_set(club, watched),
        "deciding": True,
        "at": rep.at,
    }
    look = Look.objects.create(club=club, rep=rep, **{**values, **overrides})
    for fault in faults:
        inside = fault.checkpoint in watched
        LookFault.objects.create(club=club, look=look, fault=fault, checkpoint=fault.checkpoint, inside=inside)
    return look


def log(athlete: Athlete, drill: Drill, watched: Iterable[Checkpoint] = (), faults: Iterable[Fault] = (),
        unnamed_fault: bool = False, **overrides: Any) -> Rep:  # fmt: skip
    """A rep with its deciding look, and the duty that a writer of reps leaves."""
    rep = make_rep(athlete, drill, **overrides)
    make_look(rep, watched, faults, unnamed_fault=unnamed_fault)
    ask(rep)
    return rep


def ask(rep: Rep) -> None:
    duties.leave("day_counts", rep.club, [f"{rep.athlete_id}/{rep.drill_id}/{rep.day}"])


def roll_up() -> None:
    duties.drain(duties.QUICK)
