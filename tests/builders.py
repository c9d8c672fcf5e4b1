"""Plain builders of rows for tests. Each makes one thing with sensible defaults and takes overrides."""

from dataclasses import dataclass
from datetime import date, datetime, time, timedelta
from typing import Any
from uuid import uuid4

from django.utils import timezone

from athletes.models import Athlete, Squad
from club.members import Member, find_member
from club.models import Area, Club, Guardianship, Membership, Person, Venue
from drills.models import Adjustment, Checkpoint, Drill, DrillCheckpoint, Fault, Need, Stage
from sessions.practices.models import Block, Practice, Station

DAY = date(2026, 3, 2)


def make_club(**overrides: Any) -> Club:
    values = {"name": "Ternfield", "slug": f"club-{uuid4().hex[:8]}", "zone": "Europe/London"}
    return Club.objects.create(**{**values, **overrides})


def make_person(club: Club, *roles: str, **overrides: Any) -> Person:
    values: dict[str, Any] = {"given_name": "Robin", "family_name": "Vale"}
    person = Person.objects.create(**{**values, **overrides})
    for role in roles:
        level = "contact" if role in {"head_coach", "assistant"} else ""
        Membership.objects.create(
            club=club, person=person, role=role, joined_on=DAY - timedelta(days=400), adult_level=level
        )
    return person


def make_member(club: Club, *roles: str, **overrides: Any) -> Member:
    member = find_member(make_person(club, *roles, **overrides), club.slug)
    assert member is not None
    return member


def make_athlete(club: Club, person: Person | None = None, **overrides: Any) -> Athlete:
    person = person or make_person(club, "athlete", given_name="Nandi", family_name="Kestrel")
    values: dict[str, Any] = {"hand": "right", "joined_on": DAY - timedelta(days=300)}
    return Athlete.objects.create(club=club, person=person, **{**values, **overrides})


def make_squad(club: Club, *athletes: Athlete, **overrides: Any) -> Squad:
    squad = Squad.objects.create(club=club, **{"name": f"Terns {uuid4().hex[:8]}", **overrides})
    squad.athletes.set(athletes)
    return squad


def make_venue(club: Club, **overrides: Any) -> Venue:
    return Venue.objects.create(club=club, **{"name": f"Quarry Track {uuid4().hex[:8]}", **overrides})


def make_area(venue: Venue, **overrides: Any) -> Area:
    values = {"name": f"Floor {uuid4().hex[:8]}", "kind": "floor", "surface": "smooth-floor", "places": 6}
    return Area.objects.create(club=venue.club, venue=venue, **{**values, **overrides})


def make_practice(club: Club, **overrides: Any) -> Practice:
    squads = overrides.pop("squads", [])
    values: dict[str, Any] = {
        "day": DAY,
        "starts": time(17),
        "ends": time(19),
        "zone": club.zone,
        "venue": overrides.pop("venue", None) or make_venue(club),
    }
    practice = Practice.objects.create(club=club, **{**values, **overrides})
    practice.squads.set(squads)
    return practice


def make_station(practice: Practice, **overrides: Any) -> Station:
    area = overrides.pop("area", None) or make_area(practice.venue)
    return Station.objects.create(club=practice.club, practice=practice, area=area, **overrides)


def make_block(practice: Practice, **overrides: Any) -> Block:
    values: dict[str, Any] = {"number": 1, "starts": practice.starts, "minutes": 20}
    return Block.objects.create(club=practice.club, practice=practice, **{**values, **overrides})


def make_checkpoint(club: Club, faults: tuple[str, ...] = ("late", "early"), **overrides: Any) -> Checkpoint:
    key = overrides.pop("key", f"checkpoint-{uuid4().hex[:8]}")
    values: dict[str, Any] = {"name": key, "phase": "drop", "cells": ["6"], "good": "on time", "seen_from": ["side"]}
    checkpoint = Checkpoint.objects.create(club=club, key=key, **{**values, **overrides})
    for order, name in enumerate(faults):
        Fault.objects.create(
            club=club,
            checkpoint=checkpoint,
            key=f"{key}-{name}",
            name=f"{key} {name}",
            label=name[:14],
            kind=name if name in {"late", "early"} else "other",
            cues=["Sooner."] if name == "late" else ["Later."] if name == "early" else [],
            order=order,
        )
    return checkpoint


def make_adjustment(club: Club, **overrides: Any) -> Adjustment:
    values = {"key": "hold-lower", "name": "hold lower", "how": "Move both hands down by a fist."}
    return Adjustment.objects.create(club=club, **{**values, **overrides})


def make_drill(club: Club, gate: tuple[Checkpoint, ...] = (), **overrides: Any) -> Drill:
    """A drill with these gate checkpoints (one of its own if none); ``offers`` adds others, ``needs`` drills."""
    offers, needs = overrides.pop("offers", ()), overrides.pop("needs", ())
    key = overrides.pop("key", f"drill-{uuid4().hex[:8]}")
    stage, _ = Stage.objects.get_or_create(club=club, key="walking", defaults={"number": 2, "name": "Walking"})
    values: dict[str, Any] = {
        "stage": overrides.pop("stage", stage),
        "family": key,
        "name": key,
        "short": key[:16],
        "purpose": "to learn",
        "setup": "a floor",
        "how": ["Do it."],
        "adult": "floor",
        "places": 6,
        "unit": "rep",
        "risk": "floor",
        "phases": ["drop"],
        "seconds_a_turn": 8,
        "least_turns": 8,
        "poles": "any",
        "surfaces": [{"surface": "smooth-floor", "verdict": "good"}],
        "areas": ["floor", "runway"],
    }
    drill = Drill.objects.create(club=club, key=key, **{**values, **overrides})
    gate = gate or (make_checkpoint(club),)
    for order, checkpoint in enumerate((*gate, *offers)):
        DrillCheckpoint.objects.create(
            club=club, drill=drill, checkpoint=checkpoint, order=order, gate=checkpoint in gate
        )
    for order, needed in enumerate(needs):
        Need.objects.create(club=club, drill=drill, needed=needed, order=order)
    return drill


def aware(day: date, at: time = time(17, 30)) -> datetime:
    return timezone.make_aware(datetime.combine(day, at))


@dataclass(frozen=True, slots=True)
class Cast:
    """The people every test knows. ``other_*`` belong to another club."""

    club: Club
    head_coach: Member
    assistant: Member
    helper: Member
    athlete: Member
    parent: Member
    officer: Member
    vaulter: Athlete
    team_mate: Athlete
    other_club: Club
    outsider: Member


def make_cast() -> Cast:
    club, other = make_club(), make_club(name="Elsewhere")
    nandi = make_person(club, "athlete", given_name="Nandi", family_name="Kestrel")
    parent = make_person(club, "guardian", given_name="Thandi", family_name="Kestrel")
    Guardianship.objects.create(club=club, guardian=parent, child=nandi)
    vaulter = make_athlete(club, nandi)
    mate = make_athlete(club, make_person(club, "athlete", given_name="Eero", family_name="Vinter"), hand="left")

    def member(person: Person) -> Member:
        found = find_member(person, club.slug)
        assert found is not None
        return found

    return Cast(
        club=club,
        head_coach=make_member(club, "head_coach", given_name="Marta", family_name="Oakes"),
        assistant=make_member(club, "assistant", given_name="Aiko", family_name="Reed"),
        helper=make_member(club, "helper", given_name="Petr", family_name="Lund"),
        athlete=member(nandi),
        parent=member(parent),
        officer=make_member(club, "safeguarding_officer", given_name="Ines", family_name="Moor"),
        vaulter=vaulter,
        team_mate=mate,
        other_club=other,
        outsider=make_member(other, "head_coach", given_name="Olu", family_name="Strand"),
    )
