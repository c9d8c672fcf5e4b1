"""What was decided and what the figures signalled: looked up, set aside."""

from django.core.paginator import Paginator
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render

from athletes.models import Athlete
from club.clock import club_now
from club.doors import page
from club.members import Member
from club.roles import Permission
from drills.models import Checkpoint
from sessions.boards.forms import DecisionsForm
from sessions.boards.queries import archive
from sessions.trends.actions import set_signal_aside

DECISIONS_A_PAGE = 30


@page(Permission.DECIDE, "POST", athlete=Athlete, checkpoint=Checkpoint)
def signal_seen(request: HttpRequest, member: Member, athlete: Athlete, checkpoint: Checkpoint) -> HttpResponse:
    """The head coach has seen what was worth a look."""
    set_signal_aside(by=member, athlete=athlete, checkpoint=checkpoint, now=club_now(member.club))
    return HttpResponse("") if request.htmx else redirect("week", club=member.club.slug)


@page(Permission.READINESS_READ)
def decisions(request: HttpRequest, member: Member) -> HttpResponse:
    """Every decision, newest first. ``?athlete=``, ``?drill=``, ``?kind=``, ``?side=`` narrow it down."""
    form = DecisionsForm(member, request.GET)
    chosen = form.cleaned_data if form.is_valid() else {}
    paged = Paginator(archive.decisions(member, **chosen), DECISIONS_A_PAGE).get_page(request.GET.get("page"))
    context = {
        "form": form,
        "page": paged,
        "lines": archive.lines(member, paged, club_now(member.club)),
        "narrowed": any(chosen.values()),
    }
    return render(request, "boards/decisions.html", context)
