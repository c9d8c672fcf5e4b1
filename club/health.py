"""GET /healthz: is the web up, does the database answer, did the workers drain their queues lately?"""

from datetime import timedelta

from django.db import Error, connection
from django.http import HttpRequest, HttpResponse, JsonResponse
from django.utils import timezone

from club import queries
from club.doors import public
from club.duties import LONG, QUICK

# The schedule rings every 2 s. The long queue may be busy with one piece of work.
SILENCE = {QUICK: timedelta(seconds=20), LONG: timedelta(minutes=15)}


@public("GET")
def healthz(request: HttpRequest) -> HttpResponse:
    parts = {"web": "ok", "database": _database(), "worker": "unknown"}
    if parts["database"] == "ok":
        parts["worker"] = _worker()
    well = all(state == "ok" for state in parts.values())
    return JsonResponse(parts, status=200 if well else 503)


def _database() -> str:
    try:
        with connection.cursor() as cursor:
            cursor.execute("SELECT 1")
    except Error:
        return "no answer"
    return "ok"


def _worker() -> str:
    now = timezone.now()
    beats = queries.heartbeats()
    silent = [queue for queue, limit in SILENCE.items() if queue not in beats or now - beats[queue] > limit]
    return "ok" if not silent else "silent: " + ", ".join(silent)
