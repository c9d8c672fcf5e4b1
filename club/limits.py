"""Rate limits, counted in the cache that all processes share."""

import hashlib
import time

from allauth.account.adapter import get_adapter
from django.core.cache import cache
from django.db import transaction
from django.http import HttpRequest


def allow(what: str, who: str, times: int, seconds: int) -> bool:
    """Whether ``who`` may do ``what`` once more in this window of so many seconds.

    Redis counts atomically. A cache in the database reads and then writes, so the counting holds SQLite's write lock.
    """
    window = int(time.time() // seconds)
    name = hashlib.sha256(who.encode()).hexdigest()[:32]
    key = f"limit:{what}:{window}:{name}"
    with transaction.atomic():
        cache.add(key, 0, timeout=seconds * 2)
        try:
            return cache.incr(key) <= times
        except ValueError:  # expired between the two calls: a new window has begun
            return True


def address(request: HttpRequest) -> str:
    """Where the request came from; behind a proxy, what the proxy saw, and nothing that the browser said itself."""
    return str(get_adapter(request).get_client_ip(request))
