"""The head coach clears an athlete for jumping."""

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect
from django.utils.translation import gettext as _

from athletes.actions import CannotDecide
from athletes.actions import jumping as actions
from athletes.forms import poles as forms
from athletes.models import Athlete, Clearance
from athletes.views.profile import to_profile
from club.clock import club_now
from club.doors import page
from club.members import Member
from club.roles import Permission
from club.views.asking import ask


@page(Permission.DECIDE, "GET", "POST", athlete=Athlete)
def clear_athlete(request: HttpRequest, member: Member, athlete: Athlete) -> HttpResponse:
    form = forms.ClearanceForm(member, request.POST or None)
    if form.is_valid():
        try:
            actions.clear(by=member, athlete=athlete, now=club_now(member.club), **form.cleaned_data)
        except CannotDecide as problem:
            form.add_error(None, str(problem))
        else:
            messages.success(request, _("Cleared, with your name and today’s date."))
            return redirect(to_profile(member, athlete))
    lede = _("One pole, one grip, one run: what you saw and allow. Another pole or a longer run is cleared anew.")
    title = _("Clear %(name)s for jumping") % {"name": athlete.person.given_name}
    return ask(request, form, title, to_profile(member, athlete), lede, act=_("Clear"))


@page(Permission.DECIDE, "POST", clearance=Clearance)
def end_clearance(request: HttpRequest, member: Member, clearance: Clearance) -> HttpResponse:
    actions.end(by=member, clearance=clearance, now=club_now(member.club))
    messages.success(request, _("Ended. Plans put them into no jumping with this pole."))
    return redirect(to_profile(member, clearance.athlete))
