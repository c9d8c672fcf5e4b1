"""Pages for whoever logs at a station."""

from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import render
from django.views.decorators.gzip import gzip_page

from club import screen
from club.clock import club_now, club_today
from club.doors import page
from club.members import Member
from club.roles import Permission
from sessions.practices.models import Practice, Station
from sessions.station import serializers
from sessions.station.forms import WithoutPlanForm
from sessions.station.queries import sheet as sheets
from sessions.station.queries import today as todays
from sessions.station.queries.safety import safety
from sessions.station.words import setup


@gzip_page
@page(Permission.REPS_LOG)
def station_start(request: HttpRequest, member: Member) -> HttpResponse:
    """Today's practices and their stations, one's own first."""
    today = club_today(member.club)
    practices = todays.todays_practices(member, today)
    shown = {"today": today, "practices": practices, "setup": setup(member.club.slug, str(member.person.pk))}
    return render(request, "station/start.html", shown)


@gzip_page
@page(Permission.REPS_LOG, station=Station)
def station(request: HttpRequest, member: Member, station: Station) -> HttpResponse:
    """One station in one block: ``?block=`` by number, else the one that runs now."""
    asked = request.GET.get("block", "")
    number = int(asked) if asked.isascii() and asked.isdigit() else None
    sheet = sheets.station_sheet(member, station, club_now(member.club), number)
    if sheet is None:
        raise Http404
    return _logging(request, member, sheet)


@page(Permission.REPS_LOG, station=Station)
def station_safety(request: HttpRequest, member: Member, station: Station) -> HttpResponse:
    """A fragment that the page of the station asks for again and again."""
    return render(request, "station/safety_now.html", {"safety": safety(member, station)})


@gzip_page
@page(Permission.PRACTICE_RUN, practice=Practice)
def station_without_plan(request: HttpRequest, member: Member, practice: Practice) -> HttpResponse:
    """Choose a drill and who is there; with both in the address, log."""
    form = WithoutPlanForm(member, practice, request.GET or None)
    if practice.cancelled_at is None and form.is_valid():
        chosen = form.cleaned_data
        return _logging(request, member, sheets.free_sheet(member, practice, chosen["drill"], chosen["athlete"]))
    return render(request, "station/without_plan.html", {"practice": practice, "form": form})


def _logging(request: HttpRequest, member: Member, sheet: sheets.Sheet) -> HttpResponse:
    data = serializers.station_data(member, sheet, club_now(member.club))
    now = safety(member, sheet.station) if sheet.station else None
    shown = {"sheet": sheet, "safety": now, "data": data, "setup": setup(member.club.slug, str(member.person.pk))}
    response = render(request, "station/station.html", shown)
    screen.at_a_station(request, response)
    return response
