"""Stations are checked by name, and what is broken is written down."""

from collections.abc import Callable

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.utils.translation import gettext as _

from club.clock import club_now
from club.doors import page
from club.members import Member
from club.roles import Permission
from sessions.practices.actions import checks as actions
from sessions.practices.actions.errors import NotNow
from sessions.practices.check_words import item_words
from sessions.practices.forms.day import CheckForm, KitForm
from sessions.practices.models import KitFault, Practice, Station
from sessions.practices.queries import checks as queries


@page(Permission.PRACTICE_RUN, "GET", "POST", station=Station)
def check_station(request: HttpRequest, member: Member, station: Station) -> HttpResponse:
    line = queries.station_line(member, station)
    form = CheckForm(line, request.POST if request.method == "POST" else None)
    if form.is_valid():
        try:
            items, now = form.cleaned_data["items"], club_now(member.club)
            actions.check_station(by=member, station=station, items=items, now=now)
        except NotNow as refused:
            form.add_error(None, str(refused))
        else:
            messages.success(request, _("%(station)s is checked.") % {"station": station})
            return redirect("practice", club=member.club.slug, practice=station.practice_id)
    context = {"practice": station.practice, "line": line, "form": form}
    context["checked"] = [item_words(key) for key in line.check.items] if line.check else []
    return render(request, "practices/check_station.html", context, status=422 if form.is_bound else 200)


@page(Permission.PRACTICE_RUN, "POST", station=Station)
def set_up_changed(request: HttpRequest, member: Member, station: Station) -> HttpResponse:
    _try(request, lambda: actions.end_check(by=member, station=station, now=club_now(member.club)))
    return redirect("check_station", club=member.club.slug, station=station.pk)


@page(Permission.PRACTICE_RUN, "GET", "POST", practice=Practice)
def kit(request: HttpRequest, member: Member, practice: Practice) -> HttpResponse:
    form = KitForm(member, practice, request.POST if request.method == "POST" else None)
    if form.is_valid():
        actions.report_kit(by=member, practice=practice, now=club_now(member.club), **form.cleaned_data)
        messages.success(request, _("It is written down until somebody has mended it."))
        return redirect("kit", club=member.club.slug, practice=practice.pk)
    context = {"practice": practice, "form": form, "broken": queries.broken_kit(member, practice.venue)}
    return render(request, "practices/kit.html", context, status=422 if form.is_bound else 200)


@page(Permission.PRACTICE_RUN, "POST", kit=KitFault)
def mend_kit(request: HttpRequest, member: Member, kit: KitFault) -> HttpResponse:
    """Back to the practice at which it was written down: the page is the venue's all the same."""
    _try(request, lambda: actions.mend_kit(by=member, kit=kit, now=club_now(member.club)))
    if kit.practice_id is None:
        return redirect("practices", club=member.club.slug)
    return redirect("kit", club=member.club.slug, practice=kit.practice_id)


def _try(request: HttpRequest, act: Callable[[], None]) -> None:
    try:
        act()
    except NotNow as refused:
        messages.error(request, str(refused))
