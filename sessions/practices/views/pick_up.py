"""Who is still here, and with whom each athlete leaves. A name the club was warned of takes a second act."""

from django.contrib import messages
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.utils.translation import gettext as _

from athletes.models import Athlete
from club.clock import club_now
from club.doors import page
from club.members import Member
from club.roles import Permission
from sessions.practices.actions import pick_up as actions
from sessions.practices.actions.errors import NotNow
from sessions.practices.forms.day import HandOverForm
from sessions.practices.models import Departure, Practice
from sessions.practices.queries import pick_up as queries

How = Departure.How


@page(Permission.PRACTICE_RUN, practice=Practice)
def pick_up(request: HttpRequest, member: Member, practice: Practice) -> HttpResponse:
    now = club_now(member.club)
    context = {"practice": practice, "pick_up": queries.pick_up(member, practice, now)}
    return render(request, "practices/pick_up.html", {**context, "today": practice.day == now.date()})


@page(Permission.PRACTICE_RUN, "GET", "POST", practice=Practice, athlete=Athlete)
def hand_over(request: HttpRequest, member: Member, practice: Practice, athlete: Athlete) -> HttpResponse:
    line = queries.collecting(member, practice, athlete, club_now(member.club))
    form = HandOverForm(line, request.POST if request.method == "POST" else None, initial={"how": How.OTHER})
    context = {"practice": practice, "line": line, "form": form, "warned": ()}
    if form.is_valid():
        try:
            _leave(member, practice, athlete, form.cleaned_data)
        except actions.NameIsBarred as barred:
            context["warned"] = barred.warned
            form.fields["despite"].required = True
        except NotNow as refused:
            form.add_error(None, str(refused))
        else:
            messages.success(request, _("%(name)s has left.") % {"name": line.label})
            return redirect("pick_up", club=member.club.slug, practice=practice.pk)
    return render(request, "practices/hand_over.html", context, status=422 if form.is_bound else 200)


def _leave(member: Member, practice: Practice, athlete: Athlete, said: dict[str, str]) -> None:
    who = {"by": member, "practice": practice, "athlete": athlete, "now": club_now(member.club)}
    if said["how"] == How.FAMILY:
        actions.leave_with_guardian(**who, guardian=said["guardian"])
    elif said["how"] == How.OTHER:
        actions.leave_with_other(**who, name=said["name"], despite=said["despite"])
    else:
        actions.leave_alone(**who)


@page(Permission.PRACTICE_RUN, "POST", practice=Practice, departure=Departure)
def still_here(request: HttpRequest, member: Member, practice: Practice, departure: Departure) -> HttpResponse:
    if departure.practice_id != practice.pk:
        raise Http404
    try:
        actions.take_back(by=member, departure=departure, now=club_now(member.club))
    except NotNow as refused:
        messages.error(request, str(refused))
    return redirect("pick_up", club=member.club.slug, practice=practice.pk)
