"""The club's own settings and its venues."""

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.urls import reverse
from django.utils.translation import gettext as _

from club import actions, forms, queries
from club.doors import page
from club.members import Member
from club.models import Venue
from club.roles import Permission
from club.views.asking import ask


@page(Permission.CLUB_EDIT, "GET", "POST")
def edit_club(request: HttpRequest, member: Member) -> HttpResponse:
    club = member.club
    initial = {"name": club.name, "zone": club.zone, "units": club.units}
    form = forms.ClubForm(request.POST or None, initial=initial)
    if form.is_valid():
        actions.edit_club(by=member, **form.cleaned_data)
        messages.success(request, _("Saved."))
        return redirect("club_page", club=club.slug)
    return ask(request, form, _("The club's settings"), reverse("club_page", args=[club.slug]))


@page(Permission.PRACTICE_READ, venue=Venue)
def venue(request: HttpRequest, member: Member, venue: Venue) -> HttpResponse:
    """The emergency card of the place, and its areas."""
    context = {"venue": venue, "areas": queries.areas(member, venue), "may_edit": member.may(Permission.CLUB_EDIT)}
    return render(request, "club/venue.html", context)


@page(Permission.CLUB_EDIT, "GET", "POST")
def new_venue(request: HttpRequest, member: Member) -> HttpResponse:
    form = forms.VenueForm(member, None, request.POST or None)
    if form.is_valid():
        made = actions.add_venue(by=member, **form.cleaned_data)
        return redirect("venue", club=member.club.slug, venue=made.pk)
    return ask(request, form, _("Add a venue"), reverse("club_page", args=[member.club.slug]))


@page(Permission.CLUB_EDIT, "GET", "POST", venue=Venue)
def edit_venue(request: HttpRequest, member: Member, venue: Venue) -> HttpResponse:
    form = forms.VenueForm(member, venue, request.POST or None)
    back = reverse("venue", args=[member.club.slug, venue.pk])
    if form.is_valid():
        actions.edit_venue(by=member, venue=venue, **form.cleaned_data)
        messages.success(request, _("Saved."))
        return redirect(back)
    return ask(request, form, _("Change %(name)s") % {"name": venue.name}, back)


@page(Permission.CLUB_EDIT, "GET", "POST", venue=Venue)
def new_area(request: HttpRequest, member: Member, venue: Venue) -> HttpResponse:
    form = forms.AreaForm(member, venue, request.POST or None)
    back = reverse("venue", args=[member.club.slug, venue.pk])
    if form.is_valid():
        actions.add_area(by=member, venue=venue, **form.cleaned_data)
        return redirect(back)
    lede = _("A part of the venue in which one station fits.")
    return ask(request, form, _("Add an area to %(name)s") % {"name": venue.name}, back, lede)
