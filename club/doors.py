"""The one door to pages.

Every view is wrapped by one of these, which write a ``Door`` on it: who may come in, with which
permission, and which model each id of the address names. A URL without a Door fails a test.

Not signed in: to the sign-in page. Not a member of the club: 404. A member without the permission: 403.
An id that the member may not see with that permission: 404.
"""

from collections.abc import Callable
from dataclasses import dataclass, field
from functools import wraps
from typing import Any

from django.contrib.auth.decorators import login_required
from django.core.exceptions import PermissionDenied
from django.db import models
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import render
from django.utils import timezone
from django.views.decorators.http import require_http_methods

from club import screen
from club.members import Member, find_member
from club.roles import Permission

View = Callable[..., HttpResponse]
Kinds = dict[str, type[models.Model]]


@dataclass(frozen=True, slots=True)
class Door:
    """What a URL asks for. permission None: any signed-in person (``public`` False) or anybody (True).

    secret: the argument of the address that is itself the right to what is behind it; a wrong one is not found.
    """

    permission: Permission | None
    kinds: Kinds = field(default_factory=dict)
    methods: tuple[str, ...] = ("GET",)
    public: bool = False
    secret: str = ""


def public(*methods: str, secret: str = "") -> Callable[[View], View]:
    """A page for anybody: sign-in, health; or for whoever holds the address."""

    def wrap(view: View) -> View:
        door = Door(None, {}, methods or ("GET",), True, secret)
        return _marked(require_http_methods(door.methods)(view), door)

    return wrap


def signed_in(*methods: str) -> Callable[[View], View]:
    """A page for whoever is signed in, whatever their clubs."""

    def wrap(view: View) -> View:
        guarded = require_http_methods(methods or ("GET",))(login_required(view))
        return _marked(guarded, Door(None, {}, methods or ("GET",)))

    return wrap


def page(permission: Permission, *methods: str, **kinds: type[models.Model]) -> Callable[[View], View]:
    """A club's page. The view is called as ``view(request, member, **objects)``; its clock times are the club's."""
    door = Door(permission, kinds, methods or ("GET",))

    def wrap(view: View) -> View:
        @wraps(view)
        def enter(request: HttpRequest, club: str, **ids: Any) -> HttpResponse:
            member = admit(request, club, permission)
            request.member = member  # type: ignore[attr-defined]  # the frame of the page names its member
            if permission in screen.HIDDEN and screen.children_see(request):
                return hidden_here(request)
            with timezone.override(member.club.zone):
                return view(request, member, **find_objects(member, kinds, ids))

        return _marked(require_http_methods(door.methods)(login_required(enter)), door)

    return wrap


def hidden_here(request: HttpRequest) -> HttpResponse:
    """In the place of a page that children must not see. A fragment is answered with a fragment; nothing is done."""
    fragment = bool(getattr(request, "htmx", False)) and request.method == "GET"
    name = "club/parts/hidden_here.html" if fragment else "club/hidden_page.html"
    return render(request, name, status=200 if request.method == "GET" else 409)


def admit(request: HttpRequest, club: str, permission: Permission) -> Member:
    """The member of that club, acting with that permission. Raises Http404, PermissionDenied."""
    member = find_member(request.user, club)
    if member is None:
        raise Http404
    acting = member.acting(permission)
    if not acting.relations:
        raise PermissionDenied
    return acting


def find_objects(member: Member, kinds: Kinds, ids: dict[str, Any]) -> dict[str, models.Model]:
    """The rows that the address names, as the member may see them. Raises Http404."""
    return {name: find_object(member, kinds[name], value) for name, value in ids.items()}


def find_object(member: Member, model: type[models.Model], public_id: Any) -> models.Model:
    key = getattr(model, "public_key", "pk")
    row = model._default_manager.for_member(member).filter(**{key: public_id}).first()  # type: ignore[attr-defined]
    if row is None:
        raise Http404
    return row


def _marked(view: View, door: Door) -> View:
    view.door = door  # type: ignore[attr-defined]
    return view
