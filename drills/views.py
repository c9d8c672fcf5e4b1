"""Pages of the catalogue."""

from django.http import HttpRequest, HttpResponse
from django.shortcuts import render

from club.doors import page
from club.members import Member
from club.roles import Permission
from drills import queries
from drills.models import Drill


@page(Permission.CATALOGUE_READ)
def drills(request: HttpRequest, member: Member) -> HttpResponse:
    """Every drill by stage, with what each needs."""
    shown = {"stages": queries.stages(member), "activities": queries.activities(member)}
    return render(request, "drills/drills.html", shown)


@page(Permission.CATALOGUE_READ, drill=Drill)
def drill(request: HttpRequest, member: Member, drill: Drill) -> HttpResponse:
    """One drill, complete enough to run a station from. ``?hand=left`` mirrors the strip."""
    hand = "left" if request.GET.get("hand") == "left" else "right"
    return render(request, "drills/drill.html", {"sheet": queries.drill_sheet(member, drill), "hand": hand})
