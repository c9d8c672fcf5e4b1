"""Rate limits, counted in the cache that all processes share."""

import hashlib
import time

from django.core.cache import cache
from django.http import HttpRequest


def allow(what: str, who: str, times: int, seconds: int) -> bool:
    """Whether ``who`` may do ``what`` once more in this window of so many seconds."""
    window = int(time.time() // seconds)
    name = hashlib.sha256(who.encode()).hexdigest()[:32]
    key = f"limit:{what}:{window}:{name}"
    cache.add(key, 0, timeout=seconds * 2)
    try:
        return cache.incr(key) <= times
    except ValueError:  # expired between the two calls: a new window has begun
        return True


def address(request: HttpRequest) -> str:
    return str(request.META.get("REMOTE_ADDR", ""))
