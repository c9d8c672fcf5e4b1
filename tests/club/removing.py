"""Small checks of single guards, as functions that return differences: used with the guard in place and without it."""

import contextlib
from collections.abc import Iterator
from datetime import timedelta
from typing import Any

from django.core.cache import cache
from django.db.models import Model
from django.test import Client
from django.utils import timezone

from athletes.models import AthleteNote, EmergencyCard, Readiness, ReadinessDay, Restriction
from club import signin
from club.members import find_member
from club.models import AuditEntry, Duty, Guardianship, SignInLink
from club.roles import Permission
from sessions.practices.models import Assignment, Practice, Station
from sessions.reps.models import Event, Look, LookFault, RepNote
from sessions.trends.models import DayCheckpoint, DayDrill, DayFault
from tests.club.asking import Browsers, rolled_back
from tests.club.world import World

LINK = "/sign-in/link/"
OUT = {"today", "cancelled", "released", "unreleased"}
MY, CHILD, LOG = Permission.MY_READ, Permission.CHILD_READ, Permission.REPS_LOG

# Which rows a person sees with one permission at hand, by hand: never those of another of their roles.
ROWS: list[tuple[str, Permission, type[Model], set[str]]] = [
    ("nandi", MY, Practice, OUT),
    ("parent", CHILD, Practice, OUT),
    ("cross", CHILD, Practice, {"swifts"}),
    ("coach_parent", CHILD, Practice, {"swifts"}),
    ("unshown_parent", CHILD, Practice, OUT),
    ("unshown_parent", CHILD, Assignment, set()),
    ("unshown_parent", CHILD, AthleteNote, set()),
    ("unshown_parent", CHILD, Restriction, {"nandi"}),
    ("unshown_parent", CHILD, EmergencyCard, {"nandi"}),
    ("barred_parent", CHILD, EmergencyCard, set()),
    ("former_parent", CHILD, EmergencyCard, set()),
    ("barred_parent", CHILD, Practice, set()),
    ("former_parent", CHILD, Practice, set()),
    ("athlete_helper", MY, Practice, set()),
    ("athlete_helper", LOG, Practice, {"released"}),
    ("helper", LOG, Practice, {"today"}),
    ("helper_parent", LOG, Practice, {"today"}),
    ("helper_parent", CHILD, Practice, OUT),
    ("helper", LOG, Station, {"today_floor"}),
    ("helper_parent", LOG, Station, {"today_second"}),
    ("helper_parent", CHILD, Station, set()),
    ("athlete_helper", MY, Station, set()),
    ("coach_parent", CHILD, Station, set()),
    ("nandi", MY, Assignment, {f"{name}_place" for name in OUT}),
    ("parent", CHILD, Assignment, {f"{name}_place" for name in OUT}),
    ("helper", LOG, Assignment, set()),
    ("nandi", MY, RepNote, {"note_released"}),
    ("parent", CHILD, RepNote, {"note_released"}),
    ("unshown_parent", CHILD, RepNote, set()),
    ("helper", LOG, RepNote, set()),
    ("helper_parent", LOG, RepNote, set()),
    ("nandi", MY, Restriction, {"nandi"}),
    ("parent", CHILD, Restriction, {"nandi"}),
    ("helper", LOG, Restriction, set()),
    ("helper_parent", LOG, Restriction, set()),
    ("helper_parent", CHILD, Restriction, {"eero"}),
    ("barred_parent", CHILD, Restriction, set()),
    ("nandi", MY, Guardianship, {"parent", "other_home", "unshown_parent", "barred_parent", "former_parent"}),
    ("other_home", CHILD, Guardianship, {"other_home"}),
    ("parent", CHILD, Guardianship, {"parent"}),
    ("cross", CHILD, Guardianship, {"cross"}),
    ("nandi", MY, DayDrill, {"released"}),
    ("parent", CHILD, DayDrill, {"released"}),
    ("unshown_parent", CHILD, DayDrill, set()),
    ("nandi", MY, DayFault, {"released"}),  # they choose the cue; neither the fault nor its count is said
    ("parent", CHILD, DayFault, {"released"}),
    ("unshown_parent", CHILD, DayFault, set()),
    ("helper", LOG, DayFault, set()),
    *(
        (viewer, permission, model, set())
        for viewer, permission in (("nandi", MY), ("parent", CHILD), ("helper", LOG), ("helper_parent", LOG))
        for model in (
            Readiness,
            ReadinessDay,
            DayCheckpoint,
            Look,
            LookFault,
            Event,
            AuditEntry,
            SignInLink,
            Duty,
        )
    ),
]


def rows(world: World, *models: type[Model]) -> list[str]:
    """Rows seen through ``for_member`` that differ from the hand-written list."""
    differences = []
    for viewer, permission, model, wanted in ROWS:
        if models and model not in models:
            continue
        member = find_member(world.people[viewer], world.club.slug)
        found = model._default_manager.for_member(member.acting(permission)) if member else ()  # type: ignore[attr-defined]
        seen = {_name(world, row) for row in found}
        if seen != wanted:
            differences.append(f"{viewer} with {permission} sees {model.__name__}: {seen}, the policy says {wanted}")
    return differences


def _name(world: World, row: Any) -> str:
    if isinstance(row, Practice | Station | Assignment):
        objects = world.objects[type(row).__name__.lower()]
        return next((name for name, known in objects.items() if known.pk == row.pk), f"unnamed {row.pk}")
    if isinstance(row, RepNote):
        return next(canary.kind for canary in world.canaries if canary.word == row.text)
    if isinstance(row, Restriction | EmergencyCard):
        return next(name for name, athlete in world.athletes.items() if athlete.pk == row.athlete_id)
    if isinstance(row, Guardianship):
        return next(name for name, person in world.people.items() if person.pk == row.guardian_id)
    if isinstance(row, DayDrill | DayFault):
        return next(name for name, known in world.objects["practice"].items() if known.day == row.day)
    return str(row.pk)


# --- links, headers ------------------------------------------------------------------------------


@contextlib.contextmanager
def fresh_link(world: World, person: str = "assistant") -> Iterator[signin.NewLink]:
    with rolled_back():
        cache.clear()
        yield signin.new_link(club=world.club, person=world.people[person], made_by=world.people["head"])


def links(world: World) -> list[str]:
    """What a sign-in link does beyond signing its person in once, in time, unless it was taken back."""
    said, now = [], timezone.now()
    for name, change in (
        ("used", {"used_at": now}),
        ("expired", {"expires_at": now - timedelta(seconds=1)}),
        ("revoked", {"revoked_at": now}),
    ):
        with fresh_link(world) as new:
            SignInLink.objects.filter(pk=new.link.pk).update(**change)
            if Client().post(LINK, {"token": new.token}).status_code == 302:
                said.append(f"a link that is {name} signs somebody in")
    with fresh_link(world) as new:
        if "_auth_user_id" in _session_after(Client(), "GET", new.token):
            said.append("a GET redeems a link")
    with fresh_link(world) as new:
        client = Client()
        client.force_login(world.people["outsider_head"])
        key = client.session.session_key
        if _session_after(client, "POST", new.token).session_key == key:
            said.append("the session keeps its key")
    return said


def _session_after(client: Client, method: str, token: str) -> Any:
    client.get(LINK, {"token": token}) if method == "GET" else client.post(LINK, {"token": token})
    return client.session


def link_makers(world: World) -> list[str]:
    """For whom the head coach gets a link from the page and should not: whoever stands as high, or elsewhere too."""
    browsers, said = Browsers(world), []
    for name in ("head", "officer", "cross"):
        before = SignInLink.objects.count()
        with rolled_back():
            browsers.ask("head", "POST", f"/c/{world.club.slug}/people/{world.people[name].pk}/link/")
            if SignInLink.objects.count() != before:
                said.append(f"a link for {name}")
    return said


def limited(world: World) -> list[str]:
    """Twenty-one wrong codes within a minute, of which the last is to be refused."""
    with rolled_back():
        cache.clear()
        statuses = [Client().post(LINK, {"token": "wrong"}).status_code for _ in range(121)]
        # A new minute may have begun in between: then the count began anew, and a second round meets the limit.
        if 429 not in statuses:
            statuses = [Client().post(LINK, {"token": "wrong"}).status_code for _ in range(121)]
    return [] if 429 in statuses else [f"no limit: {set(statuses)}"]


HEADERS = {
    "Cache-Control": "no-store",
    "Content-Security-Policy": "default-src 'none'",
    "X-Content-Type-Options": "nosniff",
    "X-Frame-Options": "DENY",
    "Referrer-Policy": "same-origin",
    "Permissions-Policy": "camera=()",
}


def headers(world: World) -> list[str]:
    """Headers that a page, an API answer and a refusal lack."""
    browsers, club = Browsers(world), world.club.slug
    asked = [
        ("head", f"/c/{club}/week/"),
        ("nandi", f"/c/{club}/my/"),
        ("nandi", f"/c/{club}/week/"),
        ("head", f"/api/v1/clubs/{club}/schema/"),
        ("anonymous", "/sign-in/"),
        ("anonymous", "/nowhere/"),
    ]
    found = []
    for viewer, url in asked:
        answer = browsers.ask(viewer, "GET", url)
        found += [f"{url}: no {name}" for name, part in HEADERS.items() if part not in answer.headers.get(name, "")]
    return found
