"""Settings that only look right: said at start, before anybody relies on them."""

from django.conf import settings
from django.core.checks import CheckMessage, Warning, register


@register(deploy=True)
def https_is_said(app_configs: object, **kwargs: object) -> list[CheckMessage]:
    if settings.HTTPS or set(settings.ALLOWED_HOSTS) <= {"localhost", "127.0.0.1", "[::1]"}:
        return []
    return [Warning("Hosts beyond this machine are allowed, but SIXMARK_HTTPS is not 1.", id="sixmark.W001")]
