"""Builds the invented club, through the actions that a real club uses."""

from datetime import date, timedelta

from django.db import transaction

from athletes.actions import add_athlete, add_squad
from athletes.models import Athlete
from club.actions import add_area, add_guardian, add_person, add_venue
from club.members import Member, find_member
from club.models import Area, Club, Membership, Person, Venue
from drills.shipped import load_shipped_catalogue
from sessions.demo.people import SQUADS, VAULTERS, Vaulter

NAME, SLUG, ZONE = "Ternfield Vault Club (demo)", "ternfield", "Europe/London"


class RealMembers(Exception):
    """The database holds a club that is not invented."""


def make_demo_club(today: date) -> Club:
    """The invented club with its people and places. Raises RealMembers, having changed nothing."""
    if Club.objects.filter(demo=False).exists():
        raise RealMembers
    with transaction.atomic():
        club = Club.objects.create(slug=SLUG, name=NAME, zone=ZONE, demo=True)
        load_shipped_catalogue(club)
        marta = Person.objects.create(given_name="Marta", family_name="Okoro")
        joined = today - timedelta(days=700)
        Membership.objects.create(club=club, person=marta, role="head_coach", adult_level="contact", joined_on=joined)
        by = find_member(marta, SLUG)
        assert by is not None
        add_person(
            by=by,
            given_name="Aiko",
            family_name="Reed",
            roles=["assistant"],
            joined_on=joined,
            adult_level="floor",
        )
        add_person(by=by, given_name="Ines", family_name="Moor", roles=["safeguarding_officer"], joined_on=joined)
        _places(by)
        squads = [add_squad(by=by, name=name) for name in SQUADS]
        for vaulter in VAULTERS:
            _vaulter(by, vaulter, joined, squads)
    return club


def _places(by: Member) -> Venue:
    venue = add_venue(by=by, name="Quarry Track", address="Quarry Lane, Ternfield, gate B beside the hut")
    for name, kind, surface, places in (
        ("Smooth floor", Area.Kind.FLOOR, Area.Surface.SMOOTH_FLOOR, 6),
        ("Lane 1", Area.Kind.RUNWAY, Area.Surface.SYNTHETIC_TRACK, 4),
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
