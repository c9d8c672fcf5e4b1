"""The list of practices, one practice, and the acts on it."""

from collections.abc import Callable

from django.contrib import messages
from django.core.paginator import Paginator
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.utils.translation import gettext as _
from django.utils.translation import ngettext

from club.clock import club_now, club_today
from club.doors import page
from club.members import Member
from club.roles import Permission
from sessions.practices.actions import calendar as actions
from sessions.practices.actions.errors import NotNow, PlanRefused
from sessions.practices.forms.calendar import NewPracticeForm, PracticeForm, practice_initial
from sessions.practices.models import Practice
from sessions.practices.queries import calendar
from sessions.practices.queries.attendance import attendances
from sessions.practices.queries.board import board
from sessions.practices.queries.cards import in_charge

PAGE = 20


@page(Permission.PRACTICE_READ)
def practices(request: HttpRequest, member: Member) -> HttpResponse:
    """Upcoming ones, or with ``?when=past`` those that were."""
    was = request.GET.get("when") == "past"
    rows = (calendar.past if was else calendar.upcoming)(member, club_today(member.club))
    found = Paginator(rows, PAGE).get_page(request.GET.get("page"))
    context = {
        "page": found,
        "lines": calendar.lines(found.object_list),
        "was": was,
        "may_plan": member.may(Permission.PRACTICE_PLAN),
    }
    return render(request, "practices/practices.html", context)


@page(Permission.PRACTICE_PLAN, "GET", "POST")
def new_practice(request: HttpRequest, member: Member) -> HttpResponse:
    form = NewPracticeForm(member, request.POST or None)
    if not form.is_valid():
        return render(request, "practices/new_practice.html", {"form": form}, status=422 if form.is_bound else 200)
    made = actions.add_practices(by=member, details=form.details(), until=form.cleaned_data["until"])
    said = ngettext("%(count)d practice is in the calendar, as a draft.",
                    "%(count)d practices are in the calendar, as drafts.", len(made))  # fmt: skip
    messages.success(request, said % {"count": len(made)})
    return redirect("practice", club=member.club.slug, practice=made[0].pk)


@page(Permission.PRACTICE_READ, practice=Practice)
def practice(request: HttpRequest, member: Member, practice: Practice) -> HttpResponse:
    context = {
        "practice": practice,
        "state": calendar.state(practice),
        "began": calendar.starts_at(practice) <= club_now(member.club),
        "over": calendar.ends_at(practice) <= club_now(member.club),
        "board": board(member, practice),
        "there": attendances(member, practice),
        "may_plan": member.may(Permission.PRACTICE_PLAN),
        "may_run": member.may(Permission.PRACTICE_RUN),
        "in_charge": in_charge(member.acting(Permission.CARD_READ), practice, club_now(member.club)),
    }
    return render(request, "practices/practice.html", context)


@page(Permission.PRACTICE_PLAN, "GET", "POST", practice=Practice)
def edit_practice(request: HttpRequest, member: Member, practice: Practice) -> HttpResponse:
    form = PracticeForm(member, request.POST or None, initial=practice_initial(practice), zone=practice.zone)
    if form.is_valid():
        try:
            actions.edit_practice(by=member, practice=practice, details=form.details())
        except (NotNow, PlanRefused) as refused:
            form.add_error(None, str(refused))
        else:
            messages.success(request, _("The practice is changed."))
            return redirect("practice", club=member.club.slug, practice=practice.pk)
    context = {"form": form, "practice": practice}
    return render(request, "practices/edit_practice.html", context, status=422 if form.is_bound else 200)


def _act(request: HttpRequest, member: Member, practice: Practice, act: Callable[[], None], done: str) -> HttpResponse:
    try:
        act()
    except (NotNow, PlanRefused) as refused:
        messages.error(request, str(refused))
    else:
        messages.success(request, done)
    return redirect("practice", club=member.club.slug, practice=practice.pk)


@page(Permission.PRACTICE_PLAN, "POST", practice=Practice)
def publish(request: HttpRequest, member: Member, practice: Practice) -> HttpResponse:
    done = _("Published. Athletes and parents see the practice now.")
    return _act(request, member, practice, lambda: actions.publish(by=member, practice=practice), done)


@page(Permission.PRACTICE_PLAN, "POST", practice=Practice)
def cancel(request: HttpRequest, member: Member, practice: Practice) -> HttpResponse:
    done = _("Cancelled. Every page says so from now on.")
    return _act(request, member, practice, lambda: actions.cancel(by=member, practice=practice), done)


@page(Permission.PRACTICE_PLAN, "POST", practice=Practice)
def uncancel(request: HttpRequest, member: Member, practice: Practice) -> HttpResponse:
    done = _("The practice takes place after all.")
    return _act(request, member, practice, lambda: actions.uncancel(by=member, practice=practice), done)


@page(Permission.PRACTICE_PLAN, "POST", practice=Practice)
def release(request: HttpRequest, member: Member, practice: Practice) -> HttpResponse:
    done = _("Released. Athletes see their turns, parents that their child came and what was worked on.")
    now = club_now(member.club)
    return _act(request, member, practice, lambda: actions.release(by=member, practice=practice, now=now), done)


@page(Permission.PRACTICE_PLAN, "POST", practice=Practice)
def unrelease(request: HttpRequest, member: Member, practice: Practice) -> HttpResponse:
    done = _("The release is taken back. Athletes and parents no longer see what was done.")
    return _act(request, member, practice, lambda: actions.unrelease(by=member, practice=practice), done)
