"""What the frame of every page needs: who is reading, in which club, and where they can go."""

from dataclasses import dataclass
from typing import Any

from django.http import HttpRequest
from django.urls import reverse
from django.utils.text import get_text_list
from django.utils.translation import gettext_lazy as _

from club import screen
from club.members import Member
from club.models import Membership
from club.roles import Permission, Role

# Order is the order of the page's head.
PLACES = (
    ("week", _("This week"), Permission.WEEK_READ),
    ("practices", _("Practices"), Permission.PRACTICE_READ),
    ("station_start", _("Today’s stations"), Permission.REPS_LOG),
    ("squad_board", _("Squad board"), Permission.READINESS_READ),
    ("drills", _("Drills"), Permission.CATALOGUE_READ),
    ("people", _("People"), Permission.PEOPLE_READ),
    ("club_page", _("Club"), Permission.CLUB_READ),
    ("my_practice", _("My practice"), Permission.MY_READ),
    ("children", _("My children"), Permission.CHILD_READ),
    ("minors_mail", _("Mail to minors"), Permission.MAIL_OVERSEE),
    ("audit", _("Record of changes"), Permission.AUDIT_READ),
)


@dataclass(frozen=True, slots=True)
class Place:
    name: str
    label: str
    url: str
    current: bool


def frame(request: HttpRequest) -> dict[str, Any]:
    """Template variables ``member`` and ``places``; empty outside a club."""
    member: Member | None = getattr(request, "member", None)
    if member is None:
        return {"member": None, "places": []}
    seen_by = screen.seen_by(request)
    return {
        "member": member,
        "places": places(request, member),
        "member_role": role_words(member),
        "may_hide": member.may(Permission.READINESS_READ),
        "children_see": seen_by is screen.SeenBy.CHILDREN,
        "own_screen": seen_by is screen.SeenBy.COACHES,
    }


def role_words(member: Member) -> str:
    """What the person is here, in words: "head coach and guardian"."""
    labels = dict(Membership.RoleChoice.choices)
    held = [str(labels[role]) for role in Role if role in member.roles]
    return get_text_list(held, _("and"))


def places(request: HttpRequest, member: Member) -> list[Place]:
    found = [
        (name, label, reverse(name, args=[member.club.slug])) for name, label, needed in PLACES if member.may(needed)
    ]
    if member.may(Permission.CLUB_READ):  # its page leads there, and the head of the page stays one line
        found = [place for place in found if place[0] != "audit"]
    under = [url for _, _, url in found if request.path.startswith(url)]
    here = max(under, key=len, default="")
    return [Place(name, label, url, url == here) for name, label, url in found]
