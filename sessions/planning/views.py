"""The buttons that fill a plan and take that back. Both answer with the plan."""

from django.contrib import messages
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import redirect
from django.utils.translation import gettext as _

from club.doors import page
from club.members import Member
from club.roles import Permission
from sessions.planning import actions, words
from sessions.planning.models import Fill
from sessions.practices.actions.errors import NotNow, PlanRefused
from sessions.practices.models import Practice


@page(Permission.PRACTICE_PLAN, "POST", practice=Practice)
def fill_plan(request: HttpRequest, member: Member, practice: Practice) -> HttpResponse:
    """``anew=1``: places that are not pinned are sought again; otherwise only what is empty is filled."""
    try:
        filled = actions.fill(by=member, practice=practice, anew=request.POST.get("anew") == "1")
    except PlanRefused as refused:
        messages.error(request, _("The plan was changed meanwhile, so nothing was filled. %(why)s") % {"why": refused})
    else:
        _tell(request, filled)
    return redirect("plan", member.club.slug, practice.pk)


def _tell(request: HttpRequest, filled: actions.Filled) -> None:
    answer, plan = filled.answer, filled.posed.problem.plan
    if filled.fill:
        least = words.least_sentence(answer.least, plan) if answer.least else ""
        messages.success(request, f"{words.filled_sentence(answer)} {least}".strip())
    elif not answer.collisions:
        messages.info(request, _("Everybody has a place already."))
    for collision in answer.collisions:
        messages.warning(request, words.collision_sentence(collision, plan))


@page(Permission.PRACTICE_PLAN, "POST", practice=Practice, fill=Fill)
def take_back_fill(request: HttpRequest, member: Member, practice: Practice, fill: Fill) -> HttpResponse:
    if fill.practice_id != practice.pk:
        raise Http404
    try:
        actions.take_back(by=member, practice=practice, fill=fill)
    except (NotNow, PlanRefused) as refused:
        messages.error(request, str(refused))
    else:
        messages.success(request, _("Taken back. What was pinned or moved since stays."))
    return redirect("plan", member.club.slug, practice.pk)
