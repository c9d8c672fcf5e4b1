"""What makes the pages of logging an app that opens without a network: its shell, its worker and its manifest.

None of the three holds a name: the shell is the page of logging without its data, which the device keeps apart.
"""

import hashlib
import json
from functools import lru_cache
from pathlib import Path

from django.contrib.staticfiles import finders
from django.http import HttpRequest, HttpResponse, JsonResponse
from django.shortcuts import render
from django.templatetags.static import static
from django.urls import reverse
from django.utils.translation import gettext as _
from django.views.decorators.gzip import gzip_page

from club.doors import page
from club.members import Member
from club.roles import Permission
from sessions.station.assets import HERE, WORKER, assets
from sessions.station.words import setup

ICONS = {"192x192": "station/icon-192.png", "512x512": "station/icon-512.png"}


@gzip_page
@page(Permission.REPS_LOG)
def station_app(request: HttpRequest, member: Member) -> HttpResponse:
    """The shell. It stays on the device, so it carries no token of this session."""
    return render(request, "station/app.html", {"setup": setup(member.club.slug), "csrf_token": ""})


@page(Permission.REPS_LOG)
def station_worker(request: HttpRequest, member: Member) -> HttpResponse:
    """The service worker of one club's stations. A changed file anywhere in the app is a changed worker."""
    urls = [static(name) for name in assets()]
    club = member.club.slug
    told = {"club": club, "version": _version(), "shell": reverse("station_app", args=[club]), "assets": urls}
    script = f"const SETUP = {json.dumps(told)};\n{WORKER.read_text(encoding='utf-8')}"
    return HttpResponse(script, content_type="text/javascript", headers={"Cache-Control": "no-cache"})


@page(Permission.REPS_LOG)
def station_manifest(request: HttpRequest, member: Member) -> HttpResponse:
    start = reverse("station_start", args=[member.club.slug])
    told = {
        "id": start,
        "name": _("Sixmark stations"),
        "short_name": _("Stations"),
        "start_url": start,
        "scope": start,
        "display": "standalone",
        "background_color": "#f1f4f2",
        "theme_color": "#12201e",
        "icons": [{"src": static(icon), "sizes": size, "type": "image/png"} for size, icon in ICONS.items()],
    }
    return JsonResponse(told, content_type="application/manifest+json", headers={"Cache-Control": "no-cache"})


@lru_cache(maxsize=1)
def _version() -> str:
    """Of what stands in the files and in the pages' own templates."""
    files = [Path(str(finders.find(name))) for name in assets()]
    pages = sorted((HERE / "templates" / "station").glob("*.html"))
    found = hashlib.sha256()
    for file in [*files, WORKER, *pages, HERE / "words.py"]:
        found.update(file.read_bytes())
    return found.hexdigest()[:16]
