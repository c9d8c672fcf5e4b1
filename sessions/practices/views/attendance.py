"""Who is there. Adults by a plain form; athletes by events, which a small script sends."""

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.urls import reverse
from django.utils.translation import gettext as _
from django.utils.translation import ngettext

from club.clock import club_now
from club.doors import page
from club.members import Member
from club.roles import Permission
from sessions.practices.actions import attendance as actions
from sessions.practices.actions.errors import NotNow
from sessions.practices.core.rules import ADULTS_ON_SITE
from sessions.practices.forms.attendance import AdultForm
from sessions.practices.models import Attendance, Practice
from sessions.practices.queries.attendance import adults_here, attendances
from sessions.practices.queries.pick_up import still_here

# What a coach taps; "out of practice" is recorded at the station, with its reason.
TAPS = [(state.value, state.label) for state in Attendance.State if state is not Attendance.State.OUT]


@page(Permission.PRACTICE_RUN, "GET", "POST", practice=Practice)
def attendance(request: HttpRequest, member: Member, practice: Practice) -> HttpResponse:
    if request.method == "POST":
        _check(request, member, practice)
        return redirect("attendance", club=member.club.slug, practice=practice.pk)
    context = {
        "practice": practice,
        "there": attendances(member, practice),
        "states": TAPS,
        "may_bring_back": member.may(Permission.PRACTICE_PLAN),
        "events_url": reverse("api_events", kwargs={"club": member.club.slug, "practice": practice.pk}),
    }
    return render(request, "practices/attendance.html", context)


def _check(request: HttpRequest, member: Member, practice: Practice) -> None:
    form = AdultForm(member, request.POST)
    if not form.is_valid():
        messages.error(request, _("Choose an adult of this club, and whether they came or left."))
        return
    person = form.cleaned_data["person"]
    act = actions.check_in if form.cleaned_data["act"] == AdultForm.IN else actions.check_out
    try:
        act(by=member, practice=practice, person=person, now=club_now(member.club))
    except NotNow as refused:
        messages.error(request, str(refused))
        return
    if act is actions.check_out:
        _warn(request, member, practice)


def _warn(request: HttpRequest, member: Member, practice: Practice) -> None:
    """What it means that an adult has left, while athletes are still here."""
    here = still_here(member, practice)
    if here and adults_here(member, practice) < ADULTS_ON_SITE:
        said = ngettext("Floor drills only from now on, at every station: %(count)d athlete is still here.",
                        "Floor drills only from now on, at every station: %(count)d athletes are still here.",
                        here)  # fmt: skip
        messages.warning(request, said % {"count": here})
