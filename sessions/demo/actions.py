"""Builds the invented club, through the actions that a real club uses."""

from datetime import date, timedelta

from django.db import transaction

from athletes.actions import add_athlete, add_squad
from athletes.models import Athlete
from club.actions import add_area, add_guardian, add_person, add_venue
from club.clock import club_now
from club.members import Member, find_member
from club.models import Area, Club, Membership, Person, Venue
from club.roles import Permission
from drills.shipped import load_shipped_catalogue
from sessions.demo.people import SQUADS, VAULTERS, Vaulter
from sessions.demo.week import make_week

NAME, SLUG, ZONE = "Ternfield Vault Club (demo)", "ternfield", "Europe/London"


class RealMembers(Exception):
    """The database holds a club that is not invented."""


def make_demo_club() -> Club:
    """The invented club with its people and places. Raises RealMembers, having changed nothing."""
    if Club.objects.filter(demo=False).exists():
        raise RealMembers
    with transaction.atomic():
        club = Club.objects.create(slug=SLUG, name=NAME, zone=ZONE, demo=True)
        now = club_now(club)
        load_shipped_catalogue(club)
        marta = Person.objects.create(given_name="Marta", family_name="Okoro")
        joined = now.date() - timedelta(days=700)
        Membership.objects.create(club=club, person=marta, role="head_coach", adult_level="contact", joined_on=joined)
        found = find_member(marta, SLUG)
        assert found is not None
        by = found.acting(Permission.PRACTICE_PLAN)
        aiko = add_person(
            by=by,
            given_name="Aiko",
            family_name="Reed",
            roles=["assistant"],
            joined_on=joined,
            adult_level="contact",
        )
        add_person(by=by, given_name="Ines", family_name="Moor", roles=["safeguarding_officer"], joined_on=joined)
        add_person(by=by, given_name="Petr", family_name="Lund", roles=["helper"], joined_on=joined)
        venue = _places(by)
        squads = [add_squad(by=by, name=name) for name in SQUADS]
        for vaulter in VAULTERS:
            _vaulter(by, vaulter, joined, squads)
        make_week(by=by, now=now, venue=venue, squads=squads, adults=[marta, aiko])
    return club


def _places(by: Member) -> Venue:
    venue = add_venue(by=by, name="Quarry Track", address="Quarry Lane, Ternfield, gate B beside the hut")
    for name, kind, surface, places in (
        ("Smooth floor", Area.Kind.FLOOR, Area.Surface.SMOOTH_FLOOR, 6),
        ("Lane 1", Area.Kind.RUNWAY, Area.Surface.SYNTHETIC_TRACK, 6),
        ("Infield", Area.Kind.FLOOR, Area.Surface.GRASS, 6),
    ):
        add_area(by=by, venue=venue, name=name, kind=kind, surface=surface, places=places)
    return venue


def _vaulter(by: Member, vaulter: Vaulter, joined: date, squads: list) -> Athlete:  # type: ignore[type-arg]
    child = add_person(
        by=by,
        given_name=vaulter.given,
        family_name=vaulter.family,
        roles=["athlete"],
        joined_on=joined,
        birth_date=date(vaulter.born, 5, 17),
    )
    parent = add_person(
        by=by, given_name=vaulter.parent, family_name=vaulter.family, roles=["guardian"], joined_on=joined
    )
    add_guardian(by=by, guardian=parent, child=child)
    return add_athlete(by=by, person=child, hand=vaulter.hand, joined_on=joined, squads=[squads[vaulter.squad]])
