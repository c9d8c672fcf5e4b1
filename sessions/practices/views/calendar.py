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
from sessions.practices.calendar_words import changed_words
from sessions.practices.forms.calendar import EditPracticeForm, MoveForm, NewPracticeForm, SlotForm
from sessions.practices.models import Practice
from sessions.practices.queries import calendar
from sessions.practices.queries.attendance import attendances
from sessions.practices.queries.board import board
from sessions.practices.queries.cards import in_charge
from sessions.practices.queries.checks import broken_kit, station_lines

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
    form, made = NewPracticeForm(member, request.POST or None), []
    if form.is_valid():
        try:
            made = actions.add_practices(by=member, details=form.details(), until=form.cleaned_data["until"])
        except NotNow as refused:
            form.add_error(None, str(refused))
    if not made:
        return render(request, "practices/new_practice.html", {"form": form}, status=422 if form.is_bound else 200)
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
        "lines": station_lines(member, practice),
        "broken": broken_kit(member, practice.venue),
        "may_plan": member.may(Permission.PRACTICE_PLAN),
        "may_run": member.may(Permission.PRACTICE_RUN),
        "later": calendar.later_of_series(member, practice).filter(cancelled_at__isnull=True).count(),
        "together": calendar.cancelled_with(member, practice).count(),
        "in_charge": in_charge(member.acting(Permission.CARD_READ), practice, club_now(member.club)),
    }
    return render(request, "practices/practice.html", context)


@page(Permission.PRACTICE_PLAN, "GET", "POST", practice=Practice)
def edit_practice(request: HttpRequest, member: Member, practice: Practice) -> HttpResponse:
    form = EditPracticeForm(member, practice, request.POST or None)

    def act() -> actions.Changed:
        return actions.edit_practice(by=member, practice=practice, details=form.details(), later=form.later)

    return _change(request, member, practice, form, act, "practices/edit_practice.html")


@page(Permission.PRACTICE_PLAN, "GET", "POST", practice=Practice)
def move_practice(request: HttpRequest, member: Member, practice: Practice) -> HttpResponse:
    form = MoveForm(member, practice, request.POST or None)

    def act() -> actions.Changed:
        return actions.move(by=member, practice=practice, to=form.slot(), later=form.later)

    return _change(request, member, practice, form, act, "practices/move_practice.html")


def _change(
    request: HttpRequest,
    member: Member,
    practice: Practice,
    form: SlotForm,
    act: Callable[[], actions.Changed],
    template: str,
) -> HttpResponse:
    refused: PlanRefused | None = None
    if form.is_valid():
        try:
            changed = act()
        except NotNow as error:
            form.add_error(None, str(error))
        except PlanRefused as error:
            refused = error
        else:
            messages.success(request, changed_words(changed))
            return redirect("practice", club=member.club.slug, practice=practice.pk)
    context = {"form": form, "practice": practice, "refused": refused}
    return render(request, template, context, status=422 if form.is_bound else 200)


def _act(
    request: HttpRequest, member: Member, practice: Practice, act: Callable[[], object], done: str
) -> HttpResponse:
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
    """``later=1``: those of its series that come after it too."""
    later = request.POST.get("later") == "1"
    done = _("Cancelled. Every page says so from now on.")
    return _act(request, member, practice, lambda: actions.cancel(by=member, practice=practice, later=later), done)


@page(Permission.PRACTICE_PLAN, "POST", practice=Practice)
def uncancel(request: HttpRequest, member: Member, practice: Practice) -> HttpResponse:
    """``together=1``: those that were cancelled in the same act too."""
    together = request.POST.get("together") == "1"
    done = _("The practice takes place after all.")
    return _act(
        request, member, practice, lambda: actions.uncancel(by=member, practice=practice, together=together), done
    )


@page(Permission.PRACTICE_READ, practice=Practice)
def practice_banner(request: HttpRequest, member: Member, practice: Practice) -> HttpResponse:
    """What pages that stay open ask for: whether it is still on."""
    return render(request, "practices/parts/state_banner.html", {"practice": practice})


@page(Permission.PRACTICE_PLAN, "POST", practice=Practice)
def release(request: HttpRequest, member: Member, practice: Practice) -> HttpResponse:
    done = _("Released. Athletes see their turns, parents that their child came and what was worked on.")
    now = club_now(member.club)
    return _act(request, member, practice, lambda: actions.release(by=member, practice=practice, now=now), done)


@page(Permission.PRACTICE_PLAN, "POST", practice=Practice)
def unrelease(request: HttpRequest, member: Member, practice: Practice) -> HttpResponse:
    done = _("The release is taken back. Athletes and parents no longer see what was done.")
    return _act(request, member, practice, lambda: actions.unrelease(by=member, practice=practice), done)
