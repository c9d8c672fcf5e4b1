"""Pages of one drill that name athletes: who is in it, and whom to start over after it was changed."""

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render

from athletes.actions import decisions
from club.clock import club_now, club_today
from club.doors import page
from club.members import Member
from club.roles import Permission
from drills.models import Drill
from sessions.boards.forms import StartOverForm
from sessions.boards.queries import in_drill
from sessions.boards.queries.squad import athletes

REFUSED = 422


@page(Permission.READINESS_READ, drill=Drill)
def drill_who(request: HttpRequest, member: Member, drill: Drill) -> HttpResponse:
    """A fragment of the drill's page, fetched when it is asked for, or a page of its own."""
    context = {
        "drill": drill,
        "groups": in_drill.who_is_in(member, drill, club_today(member.club)),
        "may_start_over": member.may(Permission.DECIDE),
    }
    return render(request, "boards/parts/drill_who.html" if request.htmx else "boards/drill_who.html", context)


@page(Permission.DECIDE, "GET", "POST", drill=Drill)
def drill_start_over(request: HttpRequest, member: Member, drill: Drill) -> HttpResponse:
    """Whom of those in the drill to start over, all ticked ones at one touch, with its undo."""
    now = club_now(member.club)
    found = in_drill.start_over_list(member, drill, now)
    form = StartOverForm(request.POST or None, [place.athlete for place in found.offered])
    if request.method == "POST" and form.is_valid():
        try:
            _start_or_undo(member, drill, form.cleaned_data)
        except decisions.CannotDecide as error:
            messages.error(request, str(error))
        return redirect("drill_start_over", club=member.club.slug, drill=drill.key)
    context = {"drill": drill, "found": found, "form": form, "ticked": request.POST.getlist("athlete")}
    refused = request.method == "POST"
    return render(request, "boards/drill_start_over.html", context, status=REFUSED if refused else 200)


def _start_or_undo(member: Member, drill: Drill, said: dict[str, object]) -> None:
    now = club_now(member.club)
    if said["act"] == "undo":
        decisions.take_all_back(by=member, decisions=in_drill.fresh_starts(member, drill, now), now=now)
    else:
        wanted = [one for one in athletes(member) if one.pk in said["athlete"]]  # type: ignore[operator]
        decisions.start_over(by=member, athletes=wanted, drill=drill, now=now)
