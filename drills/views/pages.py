"""Pages that read the catalogue."""

from django.http import HttpRequest, HttpResponse
from django.shortcuts import render

from club.doors import page
from club.members import Member
from club.roles import Permission
from drills import queries
from drills.models import Drill
from drills.shipped import edition_waiting


@page(Permission.CATALOGUE_READ)
def drills(request: HttpRequest, member: Member) -> HttpResponse:
    """The progression as a map and as a list, and the activities."""
    may_edit = member.may(Permission.CATALOGUE_EDIT)
    context = {
        "map": queries.progress_map(member),
        "activities": queries.activities(member),
        "may_edit": may_edit,
        "edition": queries.edition(member.club),
        "waiting": edition_waiting(member) if may_edit else None,
    }
    return render(request, "drills/drills.html", context)


@page(Permission.CATALOGUE_READ, drill=Drill)
def drill(request: HttpRequest, member: Member, drill: Drill) -> HttpResponse:
    """One drill, complete enough to run a station from. ``?hand=left`` mirrors it, ``?steps=`` chooses the run."""
    hand = "left" if request.GET.get("hand") == "left" else "right"
    sheet = queries.drill_sheet(member, drill, hand, request.GET.get("steps", ""))
    context = {
        "sheet": sheet,
        "hand": hand,
        "may_edit": member.may(Permission.CATALOGUE_EDIT),
        "may_see_athletes": member.may(Permission.READINESS_READ),
    }
    return render(request, "drills/drill.html", context)


@page(Permission.CATALOGUE_EDIT)
def catalogue(request: HttpRequest, member: Member) -> HttpResponse:
    """Everything that can be changed, by kind."""
    context = {"parts": queries.parts(member), "cover": queries.cover(member.club), "waiting": edition_waiting(member)}
    return render(request, "drills/catalogue.html", context)
