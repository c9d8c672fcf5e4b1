"""The end of a practice: the wrap-up, and what waits for a coach's look."""

from collections.abc import Callable
from typing import Any

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.utils.translation import gettext as _

from athletes.queries import SETTINGS
from club.clock import club_now
from club.doors import page
from club.members import Member
from club.roles import Permission
from sessions.boards.forms import SettleForm
from sessions.boards.queries import looks as look_queries
from sessions.boards.queries import wrap_up as queries
from sessions.practices.actions import wrap_up as actions
from sessions.practices.actions.errors import NotNow
from sessions.practices.models import Practice
from sessions.practices.queries import calendar
from sessions.reps import actions as reps
from sessions.reps.models import NeedsLook, RepNote


@page(Permission.PRACTICE_RUN, practice=Practice)
def wrap_up(request: HttpRequest, member: Member, practice: Practice) -> HttpResponse:
    now = club_now(member.club)
    context = {
        "practice": practice,
        "state": calendar.state(practice),
        "began": calendar.starts_at(practice) <= now,
        "left": queries.wrap_up(member, practice, now),
        "may_release": member.may(Permission.PRACTICE_PLAN),
        "settings": SETTINGS,
    }
    return render(request, "boards/wrap_up.html", context)


@page(Permission.PRACTICE_RUN, "POST", practice=Practice)
def wrapped(request: HttpRequest, member: Member, practice: Practice) -> HttpResponse:
    try:
        actions.wrap_up(by=member, practice=practice, now=club_now(member.club))
    except NotNow as refused:
        messages.error(request, str(refused))
        return redirect("wrap_up", club=member.club.slug, practice=practice.pk)
    messages.success(request, _("The practice is wrapped up."))
    return redirect("practice", club=member.club.slug, practice=practice.pk)


@page(Permission.REPS_CORRECT, practice=Practice)
def needs_look(request: HttpRequest, member: Member, practice: Practice) -> HttpResponse:
    waiting, total = look_queries.waiting(member, practice)
    context = {"practice": practice, "waiting": waiting, "total": total}
    return render(request, "boards/needs_look.html", context)


_SETTLE: dict[str, Callable[..., None]] = {
    look_queries.ACCEPT: reps.accept,
    look_queries.DROP: reps.drop,
    look_queries.ONE: reps.one_attempt,
    look_queries.TWO: reps.two_attempts,
    look_queries.ATTACH: reps.attach,
    look_queries.OWN: reps.rep_of_its_own,
}


@page(Permission.REPS_CORRECT, "POST", need=NeedsLook)
def settle_look(request: HttpRequest, member: Member, need: NeedsLook) -> HttpResponse:
    form = SettleForm(request.POST)
    if form.is_valid():
        said: dict[str, Any] = {"rep": form.cleaned_data["rep"]} if form.cleaned_data["rep"] else {}
        try:
            _SETTLE[form.cleaned_data["act"]](by=member, need=need, **said)
        except NotNow as refused:
            messages.error(request, str(refused))
    else:
        messages.error(request, " ".join(error for errors in form.errors.values() for error in errors))
    return redirect("needs_look", club=member.club.slug, practice=need.practice_id)


@page(Permission.REPS_CORRECT, "POST", rep_note=RepNote)
def take_back_note(request: HttpRequest, member: Member, rep_note: RepNote) -> HttpResponse:
    """Nobody reads it any more."""
    result = reps.take_back(by=member, practice=rep_note.practice, target=rep_note.uuid)
    if result.state == "rejected":
        messages.error(request, result.message)
    return redirect("wrap_up", club=member.club.slug, practice=rep_note.practice_id)
