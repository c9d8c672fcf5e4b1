"""Asks every address as everybody, and says where the answer differs from the hand-written policy.

The checks here are plain functions that return differences, so that tests can also show that each of them fails when
a guard of the code is taken away.
"""

import json
from collections import Counter
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from dataclasses import dataclass, field
from datetime import timedelta
from http.cookies import SimpleCookie
from itertools import product
from typing import Any

from django.apps import apps
from django.core.files.uploadedfile import SimpleUploadedFile
from django.db import connection, transaction
from django.http import HttpResponse
from django.test import Client
from django.urls import reverse
from django.utils import timezone

from tests.club import policy
from tests.club.catalogue_cases import BODIES as CATALOGUE_BODIES
from tests.club.day_cases import BODIES as DAY_BODIES
from tests.club.people_cases import BODIES as PEOPLE_BODIES
from tests.club.summary_cases import BODIES as SUMMARY_BODIES
from tests.club.summary_cases import foreign as foreign_summaries
from tests.club.world import PASSWORD, World, batch, event
from tests.laws.addresses import Address, addresses

METHODS = ("GET", "POST", "PUT", "PATCH", "DELETE", "OPTIONS", "TRACE")
KINDS = (
    "practice",
    "station",
    "block",
    "assignment",
    "fill",
    "template",
    "athlete",
    "drill",
    "person",
    "link",
    "duty",
    "mail",
    "calendar",
    "decision",
    "notice",
    "departure",
    "kit",
    "incident",
    "need",
    "rep_note",
    "checkpoint",
)
SAME_REFUSALS = 3
"""Objects of one address that are asked for by viewers whose roles alone refuse all of them, with the same roles;
each such viewer asks for one at least."""
NOBODY_S = "an-address-that-nobody-was-given"
UNOWNED = {"django_session", "shared_cache"}


# --- asking --------------------------------------------------------------------------------------


@dataclass(slots=True)
class Browsers:
    """One browser for each viewer, signed in anew for each request and forgetful of what the last one set."""

    world: World
    strict: bool = False
    _clients: dict[str, tuple[Client, SimpleCookie]] = field(default_factory=dict)

    def ask(self, viewer: str, method: str, url: str, body: "Body | None" = None, **headers: str) -> HttpResponse:
        client = self.client(viewer)
        sent: dict[str, Any] = {"data": body.data, **({"content_type": body.mime} if body.mime else {})} if body else {}
        send = getattr(client, method.lower())
        return send(url, headers=headers, **sent)

    def __post_init__(self) -> None:
        for viewer in policy.VIEWERS:  # before any case, so that undoing a case signs nobody out
            client = Client(raise_request_exception=False, enforce_csrf_checks=self.strict)
            if viewer != "anonymous":
                client.force_login(self.world.people[viewer])
            self._clients[viewer] = client, client.cookies

    def client(self, viewer: str) -> Client:
        client, cookies = self._clients[viewer]
        client.cookies = SimpleCookie({name: morsel.value for name, morsel in cookies.items()})
        return client


@dataclass(frozen=True, slots=True)
class Body:
    data: Any
    mime: str = ""


@contextmanager
def rolled_back() -> Iterator[set[str]]:
    """What is written inside is undone at the end; yields the first words of the statements that wrote."""
    written: set[str] = set()

    def watch(execute: Callable[..., Any], sql: str, params: Any, many: bool, context: Any) -> Any:
        first = sql.lstrip().split(None, 1)[0].upper()
        if first in {"INSERT", "UPDATE", "DELETE", "REPLACE"} and not any(name in sql for name in UNOWNED):
            written.add(sql[:120])
        return execute(sql, params, many, context)

    with transaction.atomic():
        with connection.execute_wrapper(watch):
            yield written
        transaction.set_rollback(True)


def dump() -> dict[str, list[tuple[Any, ...]]]:
    """Every row of ours, by table."""
    ours = [model for model in apps.get_models(include_auto_created=True) if model._meta.app_label != "sessions"]
    return {m._meta.db_table: sorted(map(repr, m._base_manager.values_list())) for m in ours if m._meta.managed}  # type: ignore[misc]


# --- bodies --------------------------------------------------------------------------------------


def _details(world: World, prefix: str, **more: Any) -> Body:
    day = world.today + timedelta(days=9)
    venue, squad = world.parts[f"{prefix}venue"], world.parts["others" if prefix else "terns"]
    adult = world.people["outsider_head" if prefix else "assistant"]
    return Body({"day": day, "starts": "17:00", "ends": "19:00", "venue": venue.pk, "squads": [squad.pk],
                 "adults": [adult.pk], "focus": "", "bring": "shoes", **more})  # fmt: skip


def _rep(world: World, prefix: str, target: tuple[str, ...]) -> Body:
    own = {"today": "today_floor", "released": "released_second", "elsewhere_today": "elsewhere_today_first"}
    place = own.get(target[0], f"{target[0]}_first")
    athlete = world.athletes["outsider_athlete" if prefix else "saoirse" if target[0] == "swifts" else "nandi"]
    sent = event(
        "rep",
        timezone.now(),
        1,
        athlete=str(athlete.pk),
        drill=f"{prefix or 'here_'}drop".replace("_", "-"),
        station=str(world.objects["station"][place].pk),
        watched=[f"{prefix or 'here_'}start".replace("_", "-")],
        faults=[],
    )
    return Body(batch(sent), "application/json")


def _assign(world: World, prefix: str, target: tuple[str, ...]) -> Body:
    vaulter = world.athletes["outsider_athlete" if prefix else "saoirse" if target[0] == "swifts" else "nandi"]
    block, station = world.objects["block"][f"{target[0]}_block"], _free_station(world, target[0])
    return Body(
        {
            "block": block.pk,
            "station": station.pk,
            "work": f"drill:{prefix or 'here_'}drop".replace("_", "-"),
            "moving": [vaulter.pk],
        }
    )


def _free_station(world: World, practice: str) -> Any:
    names = ("today_third",) if practice == "today" else ("released_second", f"{practice}_first")
    return next(world.objects["station"][n] for n in names if world.practice_of.get(f"station {n}") == practice)


def _saved_file(world: World, prefix: str, target: tuple[str, ...]) -> Body:
    """The rep of ``_rep``, as a tablet saves what it cannot send."""
    sent = _rep(world, prefix, target).data
    whose = {"practice": str(world.objects["practice"][target[0]].pk), "by": str(world.people["assistant"].pk)}
    saved = {
        "format": "sixmark-unsent",
        "version": 1,
        "club": world.club.slug,
        "device": sent["device"],
        "saved_at": sent["sent_at"],
        "parts": [{**whose, "version": 1, "events": sent["events"]}],
    }
    return Body({"file": SimpleUploadedFile("unsent.json", json.dumps(saved).encode())})


BodyOf = Callable[[World, str, tuple[str, ...]], Body]
NOTHING: BodyOf = lambda world, prefix, target: Body({})  # noqa: E731

# A valid body for every address that takes one; an address that is missing here fails a test.
BODIES: dict[str, BodyOf] = {
    "account_login": lambda w, p, t: Body({"login": w.people["assistant"].sign_in_name, "password": PASSWORD}),
    "account_logout": NOTHING,
    "sign_in_by_link": lambda w, p, t: Body({"token": w.tokens["nandi"]}),
    "retry_duty": NOTHING,
    "club_archive": NOTHING,
    "club_tables": lambda w, p, t: Body({"table": "reps"}),
    "resend_mail": NOTHING,
    "mail_came_back": NOTHING,
    "choose_mail": lambda w, p, t: Body({"kinds": ["changes"]}),
    "stop_mail": NOTHING,
    "cannot_come": NOTHING,
    "can_come": NOTHING,
    "self_check": lambda w, p, t: Body({"feel": "together", "words": "It flew."}),
    "make_calendar": lambda w, p, t: Body({"of": "all"}),
    "revoke_calendar": NOTHING,
    "drill_start_over": lambda w, p, t: Body(
        {"act": "start", "athlete": [str(w.athletes["outsider_athlete" if p else "nandi"].pk)]}
    ),
    "decide": lambda w, p, t: Body({"kind": "keep on", "back": "week"}),
    "take_back": NOTHING,
    "set_aside": NOTHING,
    "signal_seen": NOTHING,
    "make_sign_in_link": NOTHING,
    "revoke_sign_in_link": NOTHING,
    "new_practice": lambda w, p, t: _details(w, p, until=""),
    "edit_practice": lambda w, p, t: _details(w, p),
    "move_practice": lambda w, p, t: _details(w, p),
    "publish_practice": NOTHING,
    "cancel_practice": NOTHING,
    "uncancel_practice": NOTHING,
    "release_practice": NOTHING,
    "unrelease_practice": NOTHING,
    "attendance": lambda w, p, t: Body({"person": w.people["outsider_head" if p else "coach_parent"].pk, "act": "in"}),
    "add_block": lambda w, p, t: Body({"minutes": "10", "starts": ""}),
    "remove_block": NOTHING,
    "add_station": lambda w, p, t: Body({"area": w.parts[f"{p}free"].pk, "run_by": ""}),
    "station_adult": lambda w, p, t: Body({"run_by": w.people["outsider_head" if p else "head"].pk}),
    "remove_station": NOTHING,
    "assign": _assign,
    "unassign": NOTHING,
    "guests": lambda w, p, t: Body({"athlete": w.athletes["outsider_athlete" if p else "saoirse"].pk}),
    "drop_guest": NOTHING,
    "rename_template": lambda w, p, t: Body({"name": "Thursdays"}),
    "delete_template": NOTHING,
    "restore_template": NOTHING,
    "save_template": lambda w, p, t: Body({"name": "Wednesdays"}),
    "apply_template": lambda w, p, t: Body({"template": w.parts[f"{p}template"].pk}),
    "move_up": NOTHING,
    "left_handers_together": NOTHING,
    "pin": lambda w, p, t: Body({"pinned": "1"}),
    "fill_plan": lambda w, p, t: Body({"anew": "1"}),
    "take_back_fill": NOTHING,
    "api_events": _rep,
    "api_bundle_cards": NOTHING,
    "take_in_file": _saved_file,
    **{name: lambda w, p, t, make=make: Body(make(w, p, t)) for name, make in CATALOGUE_BODIES.items()},
    **{name: lambda w, p, t, make=make: Body(make(w, p, t)) for name, make in PEOPLE_BODIES.items()},
    **{name: lambda w, p, t, make=make: Body(make(w, p, t)) for name, make in DAY_BODIES.items()},
    **{name: lambda w, p, t, make=make: Body(make(w, p, t)) for name, make in SUMMARY_BODIES.items()},
}


# --- cases ---------------------------------------------------------------------------------------


@dataclass(frozen=True, slots=True)
class Place:
    """An address with its objects filled in."""

    address: Address
    url: str
    in_other_club: bool = False
    targets: tuple[str, ...] = ()
    consistent: bool = True

    @property
    def prefix(self) -> str:
        return "elsewhere_" if self.in_other_club else ""


def places(world: World, names: set[str] | None = None) -> Iterator[Place]:
    """Every address with every object of its kinds, below both clubs."""
    for address in addresses():
        if names is not None and address.name not in names:
            continue
        if "club" not in address.arguments:
            secret = [NOBODY_S] if address.arguments else []
            yield Place(address, reverse(address.name, args=secret))
            continue
        for other, targets in product((False, True), _targets(world, address)):
            if other and targets and not _worth_asking(targets):
                continue
            url = _url(world, address, (world.other if other else world.club).slug, targets)
            yield Place(address, url, other, targets, _consistent(world, address, targets))


def _targets(world: World, address: Address) -> list[tuple[str, ...]]:
    kinds = [name for name in address.arguments if name != "club"]
    if kinds == ["practice", "athlete"]:  # any athlete of the club
        guest = ("draft", "saoirse")
        pairs = (("today", "nandi"), ("swifts", "saoirse"), guest, ("elsewhere_today", "elsewhere_athlete"))
        return [*pairs, ("today", "elsewhere_athlete"), ("elsewhere_today", "nandi")]
    if kinds and kinds[0] == "practice" and len(kinds) == 2:  # with the practice it belongs to, and with another
        own = [(world.practice_of[f"{kinds[1]} {name}"], name) for name in world.objects[kinds[1]]]
        foreign = [("released", f"today_{_LAST[kinds[1]]}"), ("today", f"elsewhere_today_{_FIRST[kinds[1]]}")]
        return [*foreign, *sorted(own, key=_order)]
    return sorted(product(*(world.objects[kind] for kind in kinds)), key=_order)


def _order(targets: tuple[str, ...]) -> int:
    """One's own, another's and the other club's first, so that they are asked also where the role alone refuses."""
    telling = ("today", "swifts", "elsewhere")
    return next((place for place, name in enumerate(telling) if targets and targets[0].startswith(name)), len(telling))


_LAST = {"station": "floor", "block": "block", "assignment": "place", "fill": "fill", "departure": "departure"}
_FIRST = {"station": "first", "block": "block", "assignment": "place", "fill": "fill", "departure": "departure"}


OURS = {
    "decision",
    "notice",
    "today",
    "today_floor",
    "today_block",
    "today_place",
    "today_fill",
    "today_departure",
    "kit",
    "incident",
    "need",
    "rep_note",
    "told_nandi",
    "nandi",
    "nandi_calendar",
    "parent",
    "drill",
    "assistant_link",
} | {
    "duty",
    "ours",  # each kind of item of the catalogue
}


def _worth_asking(targets: tuple[str, ...]) -> bool:
    """Below the other club: its own objects, and one of ours of each kind, which must not be found there."""
    return all(target in OURS or policy.stands_in(target, True) for target in targets)


def _url(world: World, address: Address, slug: str, targets: tuple[str, ...]) -> str:
    kinds = [name for name in address.arguments if name != "club"]
    rows = {kind: world.objects[kind][target] for kind, target in zip(kinds, targets, strict=True)}
    ids = {kind: getattr(row, getattr(row, "public_key", "pk")) for kind, row in rows.items()}
    return reverse(address.name, kwargs={"club": slug, **ids})


def _consistent(world: World, address: Address, targets: tuple[str, ...]) -> bool:
    kinds = [name for name in address.arguments if name != "club"]
    if kinds == ["practice", "athlete"]:
        return True
    if len(kinds) == 2 and kinds[0] == "practice":
        return world.practice_of[f"{kinds[1]} {targets[1]}"] == targets[0]
    return True


# --- the check -----------------------------------------------------------------------------------


@dataclass(slots=True)
class Findings:
    """differences: sentences. cases: how many, by method. wrote: unsafe addresses that changed something, let in."""

    differences: list[str] = field(default_factory=list)
    cases: Counter[str] = field(default_factory=Counter)
    wrote: set[str] = field(default_factory=set)
    clean: bool = True


Seen = Callable[[str, Place, str, HttpResponse], None]


def access(
    world: World,
    names: set[str] | None = None,
    viewers: set[str] | None = None,
    seen: Seen | None = None,
) -> Findings:
    """Asks each place as each viewer by each declared method. ``seen`` gets every answer."""
    found, browsers, before = Findings(), Browsers(world), dump()
    refused: Counter[tuple[Any, ...]] = Counter()
    bodies: dict[str, Body] = {}  # each case is undone, so that a place's body stays valid for the next viewer
    for place, viewer in product(places(world, names), viewers or policy.VIEWERS):
        wanted = policy.expected(viewer, place.address.name, place.in_other_club, place.targets, place.consistent)
        if not policy.holds(viewer, place.address.name, place.in_other_club):
            roles = frozenset(policy.VIEWERS[viewer][place.in_other_club])
            alike = (place.address.name, place.in_other_club, viewer == "anonymous", roles)
            first = (place.address.name, place.in_other_club, viewer)
            refused.update((alike, first))
            if refused[alike] > SAME_REFUSALS and refused[first] > 1:
                continue
        for method in place.address.door.methods:  # type: ignore[union-attr]
            body = None if method == "GET" else _body(bodies, world, place)
            _one(found, browsers, place, viewer, method, body, wanted, before, seen)
    found.clean = dump() == before
    return found


def _body(made: dict[str, Body], world: World, place: Place) -> Body:
    if place.url not in made:
        made[place.url] = BODIES[place.address.name](world, place.prefix, place.targets)
    data = made[place.url].data
    for value in data.values() if isinstance(data, dict) else ():
        if isinstance(value, SimpleUploadedFile):
            value.seek(0)
    return made[place.url]


def _one(
    found: Findings, browsers: Browsers, place: Place, viewer: str, method: str, body: Body | None, wanted: str,
    before: Any, seen: Seen | None,
) -> None:  # fmt: skip
    with rolled_back() as written:
        answer = browsers.ask(viewer, method, place.url, body)
        got = kind_of(answer)
        changed = bool(written) and (got != policy.IN or method == "GET") and dump() != before
    found.cases[method] += 1
    if method != "GET" and written and got == policy.IN:
        found.wrote.add(place.address.name)
    said = f"{viewer} {method} {place.url} {place.targets}"
    if got != wanted:
        found.differences.append(f"{said}: {got} ({answer.status_code}), the policy says {wanted}")
    if changed:
        found.differences.append(f"{said}: changed rows: {sorted(written)}")
    if seen:
        seen(viewer, place, method, answer)


def kind_of(answer: HttpResponse) -> str:
    if answer.status_code == 302 and answer["Location"].startswith("/sign-in/?next="):
        return policy.SIGN_IN
    known = {200: policy.IN, 204: policy.IN, 302: policy.IN, 422: policy.IN, 403: policy.NO, 404: policy.NOT_FOUND}
    return known.get(answer.status_code, f"answer {answer.status_code}")


def undeclared_methods(world: World, names: set[str] | None = None) -> list[str]:
    """Methods that an address does not declare and that get anything but 405, asked by whoever may do most."""
    differences, browsers, asked = [], Browsers(world), set()
    for place in places(world, names):
        viewer = next((v for v in ("head", "nandi", "parent", "officer") if _is_in(v, place)), None)
        if viewer is None or place.address.name in asked or place.in_other_club:
            continue
        asked.add(place.address.name)
        for method in METHODS:
            if method not in place.address.door.methods:  # type: ignore[union-attr]
                with rolled_back() as written:
                    status = browsers.ask(viewer, method, place.url).status_code
                if status != 405 or written:
                    differences.append(f"{method} {place.url}: {status} {written or ''}")
    missed = {place.address.name for place in places(world, names)} - asked - policy.BY_SECRET
    return [*differences, *(f"{name}: nobody to ask it" for name in missed)]


def _is_in(viewer: str, place: Place) -> bool:
    answer = policy.expected(viewer, place.address.name, False, place.targets, place.consistent)
    return answer == policy.IN


def forged(world: World, names: set[str] | None = None) -> list[str]:
    """Unsafe requests without the token against forgery that get anything but 403, or write."""
    differences, browsers = [], Browsers(world, strict=True)
    for place in places(world, names):
        for method in set(place.address.door.methods) - {"GET"}:  # type: ignore[union-attr]
            viewer = next((v for v in ("head", "nandi", "parent", "officer") if _is_in(v, place)), None)
            if viewer is None or place.in_other_club:
                continue
            body = BODIES[place.address.name](world, place.prefix, place.targets)
            with rolled_back() as written:
                status = browsers.ask(viewer, method, place.url, body).status_code
            if status != 403 or written:
                differences.append(f"{method} {place.url}: {status} {written or ''}")
    return differences


# --- ids inside what is posted -------------------------------------------------------------------


@dataclass(frozen=True, slots=True)
class Foreign:
    """A request that the viewer may make, with an id in it that is not theirs to name."""

    viewer: str
    address: str
    targets: tuple[str, ...]
    said: str
    body: Body


def _forms(world: World) -> Iterator[Foreign]:
    athlete, outsider = world.athletes["outsider_athlete"], world.people["outsider_head"]
    there = {"venue": world.parts["elsewhere_venue"].pk, "squads": [world.parts["others"].pk],
             "adults": [outsider.pk], "focus": world.parts["elsewhere_checkpoint"].pk}  # fmt: skip
    for name, value in there.items():
        yield Foreign("head", "new_practice", (), name, _details(world, "", until="", **{name: value}))
        yield Foreign("head", "edit_practice", ("draft",), name, _details(world, "", **{name: value}))
    yield Foreign("head", "move_practice", ("draft",), "venue", _details(world, "", venue=there["venue"]))
    for viewer, person in (("head", "outsider_head"), ("assistant", "outsider_athlete"), ("assistant", "nandi")):
        posted = Body({"person": world.people[person].pk, "act": "in"})
        yield Foreign(viewer, "attendance", ("today",), person, posted)
    free, elsewhere = world.parts["free"].pk, world.parts["elsewhere_free"].pk
    yield Foreign("head", "add_station", ("today",), "area", Body({"area": elsewhere, "run_by": ""}))
    yield Foreign("head", "add_station", ("today",), "run_by", Body({"area": free, "run_by": outsider.pk}))
    for person in ("outsider_head", "nandi", "left_assistant"):
        posted = Body({"run_by": world.people[person].pk})
        yield Foreign("head", "station_adult", ("today", "today_third"), person, posted)
    good = _assign(world, "", ("today",)).data
    for name, value in (
        ("block", world.objects["block"]["elsewhere_today_block"].pk),
        ("block", world.objects["block"]["draft_block"].pk),
        ("station", world.objects["station"]["elsewhere_today_first"].pk),
        ("station", world.objects["station"]["draft_first"].pk),
        ("work", "drill:elsewhere-drop"),
        ("moving", [athlete.pk]),
        ("athletes", [athlete.pk]),
    ):
        yield Foreign("head", "assign", ("today",), f"{name} {value}", Body({**good, name: value}))
    for address, data in foreign_summaries(world):
        yield Foreign("head", address, (), "summary", Body(data))


def _sent(world: World) -> Iterator[Foreign]:
    """Events, one in each batch."""
    here, there = world.athletes["nandi"].pk, world.athletes["outsider_athlete"].pk
    stations = {name: str(row.pk) for name, row in world.objects["station"].items()}
    rep = {"athlete": here, "drill": "here-drop", "station": stations["today_floor"], "watched": [], "faults": []}
    ours, theirs = world.parts["rep"], world.parts["elsewhere_rep"]
    for viewer, kind, content in (
        ("head", "rep", {**rep, "athlete": there}),
        ("head", "rep", {**rep, "drill": "elsewhere-drop"}),
        ("head", "rep", {**rep, "station": stations["elsewhere_today_first"]}),
        ("head", "rep", {**rep, "station": stations["draft_first"]}),
        ("head", "rep", {**rep, "watched": ["elsewhere-start"]}),
        ("head", "rep", {**rep, "faults": ["elsewhere-start-late"]}),
        ("head", "note", {"athlete": there, "text": "seen", "reader": "coaches"}),
        ("head", "attendance", {"athlete": there, "state": "here"}),
        ("head", "out_of_practice", {"athlete": there, "reason": "unwell"}),
        ("head", "hold", {"station": stations["elsewhere_today_first"]}),
        ("helper", "rep", {**rep, "station": stations["today_second"]}),
        ("helper", "rep", {name: value for name, value in rep.items() if name != "station"}),
        ("helper", "hold", {"station": stations["today_third"]}),
        ("helper", "note", {"athlete": here, "text": "seen", "reader": "coaches"}),
        ("helper", "attendance", {"athlete": here, "state": "here"}),
        ("helper", "void", {"target": ours}),
        ("helper", "correction", {"target": ours, "unsafe": False}),
        ("helper", "look", {"target": ours, "watched": [], "faults": []}),
    ):
        content = {name: value if isinstance(value, list | bool) else str(value) for name, value in content.items()}
        posted = Body(batch(event(kind, timezone.now(), 1, **content)), "application/json")
        yield Foreign(viewer, "api_events", ("today",), f"{kind} {content}", posted)
    for kind, content in (("void", {"target": theirs}), ("correction", {"target": theirs, "unsafe": True})):
        posted = Body(batch(event(kind, timezone.now(), 1, **content)), "application/json")
        yield Foreign("head", "api_events", ("today",), f"target {kind}", posted)


def foreign_ids(world: World, names: set[str] | None = None) -> tuple[list[str], int]:
    """Posted ids of another club, practice or station that are taken: differences, and how many were tried."""
    differences, browsers, before, count = [], Browsers(world), dump(), 0
    by_name = {address.name: address for address in addresses()}
    for foreign in (*_forms(world), *_sent(world)):
        if names is not None and foreign.address not in names:
            continue
        count += 1
        url = _url(world, by_name[foreign.address], world.club.slug, foreign.targets)
        with rolled_back():
            answer = browsers.ask(foreign.viewer, "POST", url, foreign.body)
            changed = _changed(before, dump(), ours_may_change=foreign.said.startswith("target"))
        said = f"{foreign.viewer} {foreign.address} {foreign.said}: {answer.status_code}"
        if answer.status_code not in {200, 302, 422}:
            differences.append(f"{said}: neither taken nor refused in words")
        if foreign.address == "api_events" and b'"accepted"' in answer.content and "target" not in foreign.said:
            differences.append(f"{said}: accepted")
        if changed:
            differences.append(f"{said}: changed {changed}")
    return differences, count


def _changed(before: dict[str, Any], after: dict[str, Any], ours_may_change: bool) -> list[str]:
    """Tables that changed. A device introduces itself with whatever it sends. What speaks of a target that is not
    (yet) here is kept as said, and changes no row that counts."""
    kept = {"reps_device", "reps_deviceatpractice"} | ({"reps_event", "reps_needslook"} if ours_may_change else set())
    return [name for name in before if before[name] != after[name] and name not in kept]
