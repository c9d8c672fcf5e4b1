from collections.abc import Callable

from django.http import HttpRequest, HttpResponse
from django.utils import translation

GetResponse = Callable[[HttpRequest], HttpResponse]

PERMISSIONS_POLICY = ", ".join(
    f"{feature}=()"
    for feature in ("camera", "geolocation", "gyroscope", "magnetometer", "microphone", "payment", "usb")
)


def privacy_headers(get_response: GetResponse) -> GetResponse:
    """No page is kept in a cache unless it says so itself, and none may use the device's senses."""

    def middleware(request: HttpRequest) -> HttpResponse:
        response = get_response(request)
        response.headers.setdefault("Cache-Control", "no-store")
        response.headers.setdefault("Permissions-Policy", PERMISSIONS_POLICY)
        return response

    return middleware


def language_by_person(get_response: GetResponse) -> GetResponse:
    """A signed-in person reads the language they chose, whatever the browser prefers."""

    def middleware(request: HttpRequest) -> HttpResponse:
        if request.user.is_authenticated:
            translation.activate(request.user.language)
            request.LANGUAGE_CODE = translation.get_language()
        return get_response(request)

    return middleware
