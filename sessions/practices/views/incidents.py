"""Incidents: a record opened by any coach, read by few, and only added to."""

from django.contrib import messages
from django.core.paginator import Paginator
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.utils.translation import gettext as _

from club.clock import club_now
from club.doors import page
from club.members import Member
from club.roles import Permission
from sessions.practices.actions import incidents as actions
from sessions.practices.forms.day import EntryForm, IncidentForm
from sessions.practices.models import Incident, Practice
from sessions.practices.queries import incidents as queries

PAGE = 30


@page(Permission.PRACTICE_RUN, "GET", "POST", practice=Practice)
def new_incident(request: HttpRequest, member: Member, practice: Practice) -> HttpResponse:
    """``?athlete=`` chooses one."""
    now = club_now(member.club)
    initial = {"athlete": request.GET.get("athlete"), "when": now.time() if practice.day == now.date() else None}
    form = IncidentForm(member, practice, request.POST if request.method == "POST" else None, initial=initial)
    reading = queries.may_read(member.acting(Permission.INCIDENT_READ), practice, now)
    if form.is_valid():
        said = form.cleaned_data
        made = actions.open_incident(by=member, practice=practice, athlete=said["athlete"], at=said["when"], now=now,
                                     head=said["head"], **form.words())  # fmt: skip
        messages.success(request, _("The record is open. Nothing in it is changed any more; add what comes later."))
        if reading:
            return redirect("incident", club=member.club.slug, incident=made.pk)
        return redirect("practice", club=member.club.slug, practice=practice.pk)
    context = {"practice": practice, "form": form, "venue": practice.venue, "in_charge": reading}
    return render(request, "practices/new_incident.html", context, status=422 if form.is_bound else 200)


@page(Permission.INCIDENT_READ)
def incidents(request: HttpRequest, member: Member) -> HttpResponse:
    """All of the club for the head coach and the safeguarding officer; an assistant has no list."""
    rows = queries.incidents(member) if member.sees_club else queries.incidents(member).none()
    found = Paginator(rows, PAGE).get_page(request.GET.get("page"))
    return render(request, "practices/incidents.html", {"page": found})


@page(Permission.INCIDENT_READ, "GET", "POST", incident=Incident)
def incident(request: HttpRequest, member: Member, incident: Incident) -> HttpResponse:
    now = club_now(member.club)
    if not queries.may_read(member, incident.practice, now):
        raise Http404
    writes = member.may(Permission.PRACTICE_RUN)
    form = EntryForm(request.POST if request.method == "POST" and writes else None)
    if form.is_valid():
        actions.add_entry(by=member, incident=incident, now=now, head=form.cleaned_data["head"], **form.words())
        messages.success(request, _("It is added."))
        return redirect("incident", club=member.club.slug, incident=incident.pk)
    context = {"incident": queries.incidents(member).get(pk=incident.pk), "form": form, "writes": writes}
    return render(request, "practices/incident.html", context, status=422 if form.is_bound else 200)
