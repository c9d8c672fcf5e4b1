"""Who can see this screen: kept on the device, whoever signs in on it.

Where children can see it, readiness, rates, advice and profiles are not shown. A station tablet is such a device from
the moment a station is opened on it or a practice is taken along, unless its owner said before that coaches alone look
at it. From hidden back to shown it takes the password of whoever is signed in.
"""

from enum import StrEnum

from django.conf import settings
from django.http import HttpRequest, HttpResponse

from club.roles import Permission

COOKIE = "sixmark_screen"
YEAR_S = 365 * 24 * 3600


class SeenBy(StrEnum):
    CHILDREN = "children"
    COACHES = "coaches"  # at a station too: somebody's own device
    UNSAID = "unsaid"  # shown, until a station is opened here


HIDDEN = frozenset(
    {
        Permission.READINESS_READ,
        Permission.ATHLETE_READ,
        Permission.BODY_READ,
        Permission.DECIDE,
        Permission.SUMMARY_APPROVE,
    }
)
"""Pages behind these say on such a screen that they are hidden. Other pages leave out what is behind these."""


def seen_by(request: HttpRequest) -> SeenBy:
    said = request.COOKIES.get(COOKIE, SeenBy.UNSAID)
    return SeenBy(said) if said in set(SeenBy) else SeenBy.CHILDREN


def children_see(request: HttpRequest) -> bool:
    return seen_by(request) is SeenBy.CHILDREN


def keep(response: HttpResponse, who: SeenBy) -> None:
    """On this device, for a year from its last use as such."""
    response.set_cookie(
        COOKIE, who.value, max_age=YEAR_S, httponly=True, samesite="Lax", secure=settings.SESSION_COOKIE_SECURE
    )


def at_a_station(request: HttpRequest, response: HttpResponse) -> None:
    """This device is used where athletes stand."""
    if seen_by(request) is not SeenBy.COACHES:
        keep(response, SeenBy.CHILDREN)
