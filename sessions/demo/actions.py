"""Builds the invented club, through the actions that a real club uses."""

import random
from collections import defaultdict
from contextlib import ExitStack
from dataclasses import dataclass
from datetime import date, datetime, timedelta
from uuid import UUID

from django.db import transaction
from django.db.models import F
from django.utils import timezone

from athletes.actions import add_athlete, add_squad, restrict
from athletes.models import Athlete, Squad
from club import duties
from club.actions import add_area, add_guardian, add_person, add_venue
from club.clock import club_now
from club.members import Member, find_member
from club.models import Area, Club, Duty, Membership, Person, Venue
from club.roles import Permission
from drills.shipped import load_shipped_catalogue
from sessions.demo import places
from sessions.demo.bodies import enter_bodies
from sessions.demo.deciding import decide_most
from sessions.demo.entering import Crew
from sessions.demo.people import ADULTS, HEAD_COACH, RESTRICTED, SQUADS, Adult, Vaulter
from sessions.demo.telling import tell_parents
from sessions.demo.weeks import enter_weeks
from sessions.practices.core.clock import age_on
from sessions.trends import actions as trends
from sessions.trends.queries import Pair

NAME, SLUG, ZONE = "Ternfield Vault Club (demo)", "ternfield", "Europe/London"
SEED = 26
JOINED_DAYS_AGO = 700


class RealMembers(Exception):
    """The database holds a club that is not invented."""


@dataclass(frozen=True, slots=True)
class Size:
    """weeks: back from today; each: vaulters of a squad."""

    weeks: int = 10
    each: int = 12


FULL, SMALL = Size(), Size(weeks=3, each=3)


def make_demo_club(*, size: Size = FULL, seed: int = SEED) -> Club:
    """The invented club with its weeks, its figures counted up. Raises RealMembers, having changed nothing."""
    if Club.objects.filter(demo=False).exists():
        raise RealMembers
    with transaction.atomic():
        club = Club.objects.create(slug=SLUG, name=NAME, zone=ZONE, demo=True)
        now = club_now(club)
        load_shipped_catalogue(club)
        by = _head_coach(club, now.date())
        crew = Crew(
            by=by,
            now=now,
            venue=_places(by),
            people={HEAD_COACH.given: by.person} | {adult.given: _adult(by, adult, now.date()) for adult in ADULTS},
            squads=[add_squad(by=by, name=name) for name in SQUADS],
        )
        families: dict[tuple[str, str], Person] = {}
        for squad, members in zip(crew.squads, SQUADS.values(), strict=True):
            for vaulter in members[: size.each]:
                crew.athletes.append((vaulter, _vaulter(by, vaulter, now, squad, families)))
        _restrict(crew)
        enter_bodies(by, crew.athletes, now.date(), random.Random(seed))
        enter_weeks(crew, random.Random(seed), size.weeks)
    roll_up(club)
    decide_most(crew)
    with transaction.atomic():
        tell_parents(crew)
    duties.drain(duties.QUICK)  # their mails, where the site has a mail server
    return club


def roll_up(club: Club) -> None:
    """Does what the practices have left to be counted up: all days of an athlete at a drill in one go."""
    rows = Duty.objects.for_club(club).filter(kind="day_counts", done__lt=F("asked")).select_related("club")
    pairs: defaultdict[Pair, list[Duty]] = defaultdict(list)
    for duty in rows.order_by("pk"):
        athlete, drill, _ = duty.key.split("/")
        pairs[Pair(UUID(athlete), int(drill))].append(duty)
    with transaction.atomic():  # one commit for all
        for pair, found in pairs.items():
            _count_up(club, pair, found)
    duties.drain(duties.QUICK, seconds=120)  # where each vaulter stands, which the counting asked for


def _count_up(club: Club, pair: Pair, found: list[Duty]) -> None:
    """A duty that a worker holds by now is the worker's."""
    claims = duties.claim_all(found, timezone.now())
    with ExitStack() as effects:
        for claim in claims:
            effects.enter_context(claim.effect())
        trends.roll_up_pair(club, pair)


def _head_coach(club: Club, today: date) -> Member:
    person = Person.objects.create(given_name=HEAD_COACH.given, family_name=HEAD_COACH.family)
    joined = today - timedelta(days=JOINED_DAYS_AGO)
    Membership.objects.create(
        club=club, person=person, role=HEAD_COACH.role, adult_level=HEAD_COACH.level, joined_on=joined
    )
    found = find_member(person, SLUG)
    assert found is not None
    return found.acting(Permission.PRACTICE_PLAN)


def _adult(by: Member, adult: Adult, today: date) -> Person:
    return add_person(
        by=by,
        given_name=adult.given,
        family_name=adult.family,
        roles=[adult.role],
        joined_on=today - timedelta(days=JOINED_DAYS_AGO),
        adult_level=adult.level,
    )


def _places(by: Member) -> Venue:
    venue = add_venue(by=by, name=places.VENUE, address=places.ADDRESS)
    for spot in places.AREAS:
        kind, surface = Area.Kind(spot.kind.value), Area.Surface(spot.surface.value)
        add_area(by=by, venue=venue, name=spot.area, kind=kind, surface=surface, places=spot.places)
    return venue


def _vaulter(
    by: Member, vaulter: Vaulter, now: datetime, squad: Squad, families: dict[tuple[str, str], Person]
) -> Athlete:
    """families: guardians there are already, since brothers and sisters have the same."""
    today = now.date()
    joined = today - timedelta(days=JOINED_DAYS_AGO)
    child = add_person(
        by=by,
        given_name=vaulter.given,
        family_name=vaulter.family,
        roles=["athlete"],
        joined_on=joined,
        birth_date=_born(today, vaulter),
    )
    for name in vaulter.guardians:
        if name not in families:
            families[name] = add_person(
                by=by, given_name=name[0], family_name=name[1], roles=["guardian"], joined_on=joined
            )
        add_guardian(by=by, guardian=families[name], child=child)
    return add_athlete(by=by, person=child, hand=vaulter.hand, joined_on=joined, squads=[squad])


def _born(today: date, vaulter: Vaulter) -> date:
    """Some day of the year on which they turned their age."""
    born = date(today.year - vaulter.age - 1, 1 + len(vaulter.family + vaulter.given) % 12, 17)
    return born if age_on(today, born) == vaulter.age else born.replace(year=born.year + 1)


def _restrict(crew: Crew) -> None:
    today = crew.now.date()
    for vaulter, athlete in crew.athletes:
        if vaulter.given == RESTRICTED.vaulter:
            restrict(
                by=crew.by,
                athlete=athlete,
                what=RESTRICTED.what,
                excludes=RESTRICTED.excludes,
                starts_on=today + timedelta(days=RESTRICTED.since),
                ends_on=today + timedelta(days=RESTRICTED.until),
                reason=RESTRICTED.reason,
            )
