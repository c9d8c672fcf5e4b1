"""Each guard is taken away once, and a check must notice: otherwise the check would prove nothing."""

import logging
from collections.abc import Callable, Iterator
from dataclasses import dataclass, replace
from importlib import import_module
from typing import Any

import pytest
from django.conf import LazySettings
from django.contrib.sessions.backends.base import SessionBase
from django.db.models import Q
from django.utils import timezone
from rest_framework.views import APIView

from athletes.models import AthleteNote
from club import api, doors, limits, members, queries, roles, signin
from club.api import ClubAPIView
from club.members import Member
from club.models import Guardianship, Membership, Person, SignInLink, Venue
from club.roles import Permission, Relation, Role
from club.scope import ClubQuerySet
from sessions.practices.models import Practice, Station
from sessions.practices.queries import calendar
from sessions.practices.views import plan
from sessions.reps.models import RepNote
from sessions.trends.models import DayDrill
from tests.club import removing
from tests.club.asking import access, foreign_ids, forged
from tests.club.crawling import crawl
from tests.club.world import World, make_world


@pytest.fixture
def world(db: None) -> Iterator[World]:
    logging.disable(logging.CRITICAL)
    yield make_world()
    logging.disable(logging.NOTSET)


Take = Callable[[pytest.MonkeyPatch, LazySettings], None]
Check = Callable[[World], list[str]]


@dataclass(frozen=True, slots=True)
class Removal:
    """A guard that is taken away, and the check that must see it."""

    name: str
    take: Take
    check: Check


# --- checks, narrowed to what matters ------------------------------------------------------------


def asks(address: str, *viewers: str) -> Check:
    return lambda world: access(world, {address}, set(viewers)).differences


def reads(address: str, viewer: str) -> Check:
    return lambda world: crawl(world, [viewer], {address}).differences()


def posts(address: str) -> Check:
    return lambda world: foreign_ids(world, {address})[0]


def sees(*models: Any) -> Check:
    return lambda world: removing.rows(world, *models)


# --- guards, taken away --------------------------------------------------------------------------


def admit_anybody(request: Any, club: str, permission: Permission) -> Member:
    member = members.find_member(request.user, club)
    if member is None:
        raise doors.Http404
    return replace(member.acting(permission), relations=frozenset({Relation.CLUB}))


def find_whoever_was(person: Person, slug: str) -> Member | None:
    rows = list(Membership.objects.filter(person=person, club__slug=slug).select_related("club"))
    return Member(rows[0].club, person, frozenset(Role(row.role) for row in rows)) if rows else None


def ties_by(**rights: bool) -> Callable[..., dict[Any, bool]]:
    """Ties without asking whether they hold, unless named; ``until`` too."""

    def find(person: Person, club: Any) -> dict[Any, bool]:
        ties = Guardianship.objects.filter(club=club, guardian=person)
        ties = ties.filter(**{name: value for name, value in rights.items() if name != "until"})
        ties = ties.exclude(until__lt=timezone.now().date()) if rights.get("until") else ties
        return dict(ties.values_list("child_id", "sees_progress"))

    return find


def redeem_unless(*, asked: Q = Q()) -> Callable[[str], Person | None]:  # noqa: B008
    """Redeeming that asks for less."""

    def redeem(token: str) -> Person | None:
        link = SignInLink.objects.filter(asked, token_hash=signin._hash(token)).first()
        return link.person if link else None

    return redeem


def stands_above_here(maker: Any, holder: Any) -> bool:
    """Looks at the clubs of the maker alone, though the link opens all of the holder's."""
    return all(roles.may_make_link(maker[club], held) for club, held in holder.items() if club in maker)


IN_TIME = Q(expires_at__gt=timezone.now())


def grant(permission: Permission, by_role: dict[Role, Relation]) -> Take:
    return lambda patch, settings: patch.setitem(roles.GRANTS, permission, by_role)


def put(owner: Any, name: str, value: Any) -> Take:
    return lambda patch, settings: patch.setattr(owner, name, value)


def visible(model: Any, rows: Callable[[Member], Q]) -> Take:
    return put(model, "visible_to", classmethod(lambda cls, member: rows(member)))


def without(middleware: str) -> Take:
    def take(patch: pytest.MonkeyPatch, settings: LazySettings) -> None:
        settings.MIDDLEWARE = [name for name in settings.MIDDLEWARE if not name.endswith(middleware)]

    return take


def both(*takes: Take) -> Take:
    def take(patch: pytest.MonkeyPatch, settings: LazySettings) -> None:
        for one in takes:
            one(patch, settings)

    return take


COACHES = {Role.HEAD_COACH: Relation.CLUB, Role.ASSISTANT: Relation.CLUB}
EVERY_SESSION_STAYS = both(
    put(SessionBase, "cycle_key", lambda self: None), put(SessionBase, "flush", lambda self: None)
)

REMOVALS = [
    Removal("a page asks for no permission", put(doors, "admit", admit_anybody), asks("club_page", "assistant")),
    Removal("the API asks for no permission", put(api, "admit", admit_anybody), asks("api_events", "nandi")),
    Removal("who left is still a member", put(doors, "find_member", find_whoever_was), asks("week", "left_assistant")),
    Removal(
        "rows of every club", put(ClubQuerySet, "for_club", lambda self, club: self.all()), asks("practice", "head")
    ),
    Removal(
        "everybody sees all rows of the club",
        put(ClubQuerySet, "for_member", lambda self, member: self.for_club(member.club)),
        asks("child_page", "parent"),
    ),
    Removal(
        "a barred guardian is a guardian",
        put(members, "ties_of", ties_by(until=True)),
        asks("child_page", "barred_parent"),
    ),
    Removal(
        "a guardian needs no right to see progress",
        put(Member, "children", property(lambda self: frozenset(self.ties))),
        sees(DayDrill, RepNote),
    ),
    Removal(
        "a tie without that right opens the notes on a child",
        visible(AthleteNote, lambda m: Q(reader="athlete", athlete__person__in=m.tied_subjects)),
        reads("child_page", "unshown_parent"),
    ),
    Removal(
        "a guardian's tie never ends",
        put(members, "ties_of", ties_by(barred=False)),
        asks("child_page", "former_parent"),
    ),
    Removal(
        "athletes see drafts", visible(Practice, lambda m: Q(squads__athletes__person__in=m.subjects)), sees(Practice)
    ),
    Removal(
        "notes are read before the release",
        visible(RepNote, lambda m: Q(reader="athlete", athlete__person__in=m.subjects)),
        sees(RepNote),
    ),
    Removal(
        "athletes read notes for coaches",
        visible(RepNote, lambda m: Q(practice__released_at__isnull=False, athlete__person__in=m.subjects)),
        sees(RepNote),
    ),
    Removal(
        "turns are read before the release",
        visible(DayDrill, lambda m: Q(athlete__person__in=m.subjects)),
        sees(DayDrill),
    ),
    Removal("a helper sees all stations", visible(Station, lambda m: Q()), asks("station", "helper")),
    Removal("a parent sees stations by another role", visible(Station, lambda m: Q(run_by=m.person)), sees(Station)),
    Removal(
        "every role's relations count at once",
        put(
            Member,
            "acting",
            lambda self, permission: replace(
                self,
                permission=permission,
                relations=frozenset().union(*(roles.relations(self.roles, one) for one in Permission)),
            ),
        ),
        sees(),
    ),
    Removal(
        "assistants read why somebody is restricted",
        grant(Permission.RESTRICTION_REASON, COACHES),
        reads("athlete_page", "assistant"),
    ),
    Removal(
        "a helper reads readiness",
        grant(Permission.READINESS_READ, {**COACHES, Role.HELPER: Relation.CLUB}),
        asks("squad_board", "helper"),
    ),
    Removal(
        "the OpenAPI text is public", put(ClubAPIView, "initial", APIView.initial), asks("api_schema", "anonymous")
    ),
    Removal(
        "events may name anything",
        put(import_module("sessions.reps.actions.checks"), "refusal", lambda *args: None),
        posts("api_events"),
    ),
    Removal(
        "a form offers every club's venues",
        put(calendar, "venues", lambda member: Venue.objects.all()),
        posts("new_practice"),
    ),
    Removal(
        "a form offers everybody", put(calendar, "runners", lambda member: Person.objects.all()), posts("station_adult")
    ),
    Removal(
        "a block of another practice", put(plan, "_belongs", lambda owner, practice: None), asks("remove_block", "head")
    ),
    Removal("no token against forgery is asked for", without("CsrfViewMiddleware"), lambda w: forged(w, {"add_block"})),
    Removal(
        "a link works twice", put(signin, "redeem", redeem_unless(asked=IN_TIME & Q(revoked_at=None))), removing.links
    ),
    Removal(
        "a link never expires",
        put(signin, "redeem", redeem_unless(asked=Q(used_at=None, revoked_at=None))),
        removing.links,
    ),
    Removal(
        "a revoked link works", put(signin, "redeem", redeem_unless(asked=IN_TIME & Q(used_at=None))), removing.links
    ),
    Removal("the session keeps its key", EVERY_SESSION_STAYS, removing.links),
    Removal(
        "a head coach's link from a page",
        put(queries, "may_make_link", lambda maker, holder: bool(maker)),
        removing.link_makers,
    ),
    Removal("a link opens another club", put(queries, "stands_above", stands_above_here), removing.link_makers),
    Removal("no rate limit", put(limits, "allow", lambda *args, **kwargs: True), removing.limited),
    Removal("personal pages may be kept", without("privacy_headers"), removing.headers),
    Removal("no content security policy", without("CSPMiddleware"), removing.headers),
]


@pytest.mark.parametrize("removal", REMOVALS, ids=lambda removal: removal.name)
def test_a_removed_guard_is_noticed(
    world: World, removal: Removal, monkeypatch: pytest.MonkeyPatch, settings: LazySettings
) -> None:
    assert removal.check(world) == []
    removal.take(monkeypatch, settings)
    assert removal.check(world) != []


def test_at_least_twenty_guards_are_taken_away_each_with_a_name_of_its_own() -> None:
    assert len({removal.name for removal in REMOVALS}) == len(REMOVALS) >= 20


def test_rows_are_seen_by_the_relation_of_the_permission_at_hand_alone(world: World) -> None:
    assert removing.rows(world) == []


def test_every_answer_carries_the_headers(world: World) -> None:
    assert removing.headers(world) == []
