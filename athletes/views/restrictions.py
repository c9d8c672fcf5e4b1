"""Restrictions: laid by coaches, reported by guardians, answered and lifted by the head coach."""

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.urls import reverse
from django.utils.translation import gettext as _

from athletes.actions import restrictions as actions
from athletes.forms import profile as forms
from athletes.models import Athlete, Restriction
from athletes.views.profile import to_profile
from club.clock import club_now, club_today
from club.doors import page
from club.members import Member
from club.roles import Permission
from club.views.asking import ask


@page(Permission.RESTRICTION_LAY, "GET", "POST", athlete=Athlete)
def restrict_athlete(request: HttpRequest, member: Member, athlete: Athlete) -> HttpResponse:
    """Any coach's. Who lays it tells why; only whoever may read reasons reads that again, and lifts it."""
    form = forms.RestrictForm(request.POST or None, initial={"starts_on": club_today(member.club)})
    if form.is_valid():
        actions.restrict(by=member, athlete=athlete, **form.cleaned_data)
        messages.success(request, _("It binds from its first day on, on every page and tablet."))
        return redirect(to_profile(member, athlete))
    title = _("A restriction for %(name)s") % {"name": athlete.person.given_name}
    return ask(request, form, title, to_profile(member, athlete))


@page(Permission.RESTRICTION_REPORT, "GET", "POST", athlete=Athlete)
def report_restriction(request: HttpRequest, member: Member, athlete: Athlete) -> HttpResponse:
    """A guardian's, or an athlete's own who is of age. It binds at once, and until a coach has answered."""
    form, today = forms.ReportForm(request.POST or None), club_today(member.club)
    own = athlete.person_id == member.person.pk
    back = reverse("my_practice", args=[member.club.slug])
    if not own:
        back = reverse("child_page", args=[member.club.slug, athlete.pk])
    if not actions.may_report(member, athlete, today):
        messages.error(request, _("Under 18 a parent or guardian says it. Ask one of them, or ring your coach."))
        return redirect(back)
    if form.is_valid():
        actions.report(by=member, athlete=athlete, **form.values(today))
        messages.success(request, _("It holds from now on, until a coach has spoken to you."))
        return redirect(back)
    context = {"form": form, "own": own, "name": athlete.person.given_name, "back": back}
    return render(request, "athletes/report.html", context, status=422 if form.is_bound else 200)


@page(Permission.RESTRICTION_REASON, "GET", "POST", restriction=Restriction)
def answer_restriction(request: HttpRequest, member: Member, restriction: Restriction) -> HttpResponse:
    """The head coach has spoken to whoever reported it: it binds by its dates from now on."""
    head, initial = restriction.needs_clearance, {"ends_on": restriction.ends_on}
    posted = request.POST if request.method == "POST" else None
    form = forms.AnswerForm(restriction.starts_on, head, posted, initial=initial)
    if form.is_valid():
        actions.answer(by=member, restriction=restriction, ends_on=form.cleaned_data.get("ends_on"))
        said = _("Answered. Only a recorded clearance lifts it.") if head else _("Answered. It binds by its dates now.")
        messages.success(request, said)
        return redirect(to_profile(member, restriction.athlete))
    lede = _("Speak to whoever reported it first. Until you answer, it binds whatever its last day.")
    if head:
        lede = _("Speak to whoever reported it first. After a head injury only a recorded clearance lifts it.")
    return ask(request, form, restriction.what, to_profile(member, restriction.athlete), lede, _("I have answered"))


@page(Permission.RESTRICTION_REASON, "GET", "POST", restriction=Restriction)
def lift_restriction(request: HttpRequest, member: Member, restriction: Restriction) -> HttpResponse:
    now = club_now(member.club)
    form = forms.LiftForm(restriction.needs_clearance, now.date(), request.POST if request.method == "POST" else None)
    if form.is_valid():
        try:
            actions.lift(by=member, restriction=restriction, now=now, **form.cleaned_data)
        except actions.ClearanceMissing:
            form.add_error(None, _("Only a written clearance lifts this. Say who wrote it, and when."))
        else:
            messages.success(request, _("Lifted."))
            return redirect(to_profile(member, restriction.athlete))
    lede = _("Hold the written clearance in your hand before you lift this.") if restriction.needs_clearance else ""
    return ask(request, form, restriction.what, to_profile(member, restriction.athlete), lede, _("Lift it"))
