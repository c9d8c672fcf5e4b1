"""What the pages of a practice's day need in the world of the access tests: objects, words, and valid bodies."""

from collections.abc import Callable
from datetime import timedelta
from typing import Any
from uuid import uuid4

from django.utils import timezone

from club.members import Member, find_member
from club.models import Club
from club.roles import Permission
from sessions.practices.actions import checks, incidents, pick_up
from sessions.practices.queries import calendar
from sessions.reps.actions import take_events
from sessions.reps.models import NeedsLook, RepNote

Data = dict[str, Any]


def put_day(world: Any) -> None:
    """One of each kind in both clubs."""
    for where, boss, vaulter in (("here", "head", "eero"), ("elsewhere", "outsider_head", "outsider_athlete")):
        club: Club = world.club if where == "here" else world.other
        by = find_member(world.people[boss], club.slug)
        assert by is not None
        _put(world, by.acting(Permission.PRACTICE_RUN), where, vaulter)


def _put(world: Any, by: Member, where: str, vaulter: str) -> None:
    prefix = "" if where == "here" else "elsewhere_"
    today, athlete, now = f"{prefix}today", world.athletes[vaulter], timezone.now()
    practice = world.objects["practice"][today]
    left = pick_up.leave_with_other(
        by=by, practice=practice, athlete=athlete, name=world.word("departure", vaulter, club=where), now=now
    )
    world.put("departure", f"{today}_departure", left, today)
    station = world.objects["station"]["today_second" if where == "here" else "elsewhere_today_first"]
    checks.check_station(by=by, station=station, items=["ground", "poles"], now=now)
    what = world.word("broken_kit", club=where)
    world.put("kit", f"{prefix}kit", checks.report_kit(by=by, practice=practice, what=what, area=None, now=now))
    _incident(world, by, where, "nandi" if where == "here" else vaulter)
    _waiting(world, by, prefix, practice, athlete)


def _incident(world: Any, by: Member, where: str, vaulter: str) -> None:
    prefix, now = "" if where == "here" else "elsewhere_", timezone.now()
    words = {
        "place": "pit", "told": world.word("incident_private", vaulter, club=where),
        **{name: world.word("incident_plain", vaulter, club=where) for name in ("happened", "done")},
        **{name: world.word("incident_private", vaulter, club=where) for name in ("witness", "private")},
    }  # fmt: skip
    practice = world.objects["practice"][f"{prefix}today"]
    made = incidents.open_incident(by=by, practice=practice, athlete=world.athletes[vaulter], at=now, now=now, **words)
    world.put("incident", f"{prefix}incident", made)


def _waiting(world: Any, by: Member, prefix: str, practice: Any, athlete: Any) -> None:
    """A look that found no rep, and a note."""
    drill = "elsewhere-drop" if prefix else "here-drop"
    now = timezone.now()
    # Ten minutes before the reps of this practice, at whatever time of day this runs.
    early = min(now, calendar.starts_at(practice) + timedelta(hours=18)) - timedelta(minutes=10)
    sent = [
        {"kind": "look", "athlete": str(athlete.pk), "drill": drill, "watched": [], "faults": []},
        {"kind": "note", "athlete": str(athlete.pk), "text": "Well held.", "reader": "coaches"},
    ]
    events = [{"uuid": str(uuid4()), "at": early.isoformat(), "sequence": 900 + n, **one} for n, one in enumerate(sent)]
    batch = {"version": 1, "device": {"uuid": str(uuid4())}, "sent_at": now.isoformat(), "events": events}
    take_events(by=by, practice=practice, batch=batch)
    world.put("need", f"{prefix}need", NeedsLook.objects.get(event=events[0]["uuid"]))
    world.put("rep_note", f"{prefix}rep_note", RepNote.objects.get(uuid=events[1]["uuid"]))


def _vaulter(world: Any, prefix: str, target: tuple[str, ...]) -> Any:
    return world.athletes["outsider_athlete" if prefix else "saoirse" if target[0] == "swifts" else "nandi"]


BODIES: dict[str, Callable[[Any, str, tuple[str, ...]], Data]] = {
    "hand_over": lambda w, p, t: {"how": "other", "name": "Somebody Kind"},
    "still_here": lambda w, p, t: {},
    "check_station": lambda w, p, t: {"items": ["ground", "poles"]},
    "set_up_changed": lambda w, p, t: {},
    "kit": lambda w, p, t: {"what": "a strap of the pit", "area": ""},
    "mend_kit": lambda w, p, t: {},
    "new_incident": lambda w, p, t: {"athlete": _vaulter(w, p, t).pk, "when": "17:30", "happened": "fell"},
    "incident": lambda w, p, t: {"happened": "came back"},
    "wrapped": lambda w, p, t: {},
    "settle_look": lambda w, p, t: {"act": "drop"},
    "take_back_note": lambda w, p, t: {},
}
