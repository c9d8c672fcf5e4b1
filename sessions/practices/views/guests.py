"""Who comes to one practice from another squad."""

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render

from athletes.models import Athlete
from club.doors import page
from club.members import Member
from club.roles import Permission
from sessions.practices.actions.errors import NotNow
from sessions.practices.actions.guests import add_guest, remove_guest
from sessions.practices.forms.plan import GuestForm
from sessions.practices.models import Practice
from sessions.practices.queries.plan import guests as guests_of


@page(Permission.PRACTICE_PLAN, "GET", "POST", practice=Practice)
def guests(request: HttpRequest, member: Member, practice: Practice) -> HttpResponse:
    form = GuestForm(member, practice, request.POST or None)
    if form.is_valid():
        add_guest(by=member, practice=practice, athlete=form.cleaned_data["athlete"])
        return redirect("guests", member.club.slug, practice.pk)
    context = {"practice": practice, "form": form, "guests": guests_of(member, practice)}
    return render(request, "practices/guests.html", context, status=422 if form.is_bound else 200)


@page(Permission.PRACTICE_PLAN, "POST", practice=Practice, athlete=Athlete)
def drop_guest(request: HttpRequest, member: Member, practice: Practice, athlete: Athlete) -> HttpResponse:
    try:
        remove_guest(by=member, practice=practice, athlete=athlete)
    except NotNow as refused:
        messages.error(request, str(refused))
    return redirect("guests", member.club.slug, practice.pk)
