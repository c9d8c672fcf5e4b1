"""The club's poles, and the athletes' notebooks."""

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.urls import reverse
from django.utils.translation import gettext as _

from athletes.actions import poles as actions
from athletes.forms import poles as forms
from athletes.models import Athlete, NotebookEntry, Pole
from athletes.queries import profile as queries
from athletes.views.profile import to_profile
from club.clock import club_today
from club.doors import page
from club.members import Member
from club.roles import Permission
from club.views.asking import ask


def _to_poles(member: Member) -> str:
    return reverse("poles", args=[member.club.slug])


@page(Permission.POLE_READ)
def poles(request: HttpRequest, member: Member) -> HttpResponse:
    """All poles. Only whoever edits them reads lengths, ratings and bands; everybody else reads tags."""
    context = {"poles": queries.poles(member), "may_edit": member.may(Permission.POLE_EDIT)}
    return render(request, "athletes/poles.html", context)


@page(Permission.POLE_EDIT, "GET", "POST")
def new_pole(request: HttpRequest, member: Member) -> HttpResponse:
    form = forms.PoleForm(member, None, request.POST or None)
    if form.is_valid():
        actions.add_pole(by=member, **form.cleaned_data)
        messages.success(request, _("Saved."))
        return redirect(_to_poles(member))
    return ask(request, form, _("Add a pole"), _to_poles(member))


@page(Permission.POLE_EDIT, "GET", "POST", pole=Pole)
def edit_pole(request: HttpRequest, member: Member, pole: Pole) -> HttpResponse:
    form = forms.PoleForm(member, pole, request.POST or None)
    if form.is_valid():
        actions.edit_pole(by=member, pole=pole, **form.cleaned_data)
        messages.success(request, _("Saved."))
        return redirect(_to_poles(member))
    return ask(request, form, _("Change pole %(tag)s") % {"tag": pole.tag}, _to_poles(member))


@page(Permission.POLE_READ, "GET", "POST", pole=Pole)
def withdraw_pole(request: HttpRequest, member: Member, pole: Pole) -> HttpResponse:
    """Whoever sees the crack takes the pole away; only the head coach gives it back."""
    form = forms.WithdrawForm(request.POST or None)
    if form.is_valid():
        actions.withdraw_pole(by=member, pole=pole, why=form.cleaned_data["why"], today=club_today(member.club))
        messages.success(request, _("Withdrawn. Put the pole where nobody takes it."))
        return redirect(_to_poles(member))
    return ask(request, form, _("Withdraw pole %(tag)s") % {"tag": pole.tag}, _to_poles(member), act=_("Withdraw it"))


@page(Permission.POLE_EDIT, "POST", pole=Pole)
def return_pole(request: HttpRequest, member: Member, pole: Pole) -> HttpResponse:
    actions.return_pole(by=member, pole=pole)
    return redirect(_to_poles(member))


# --- the notebook --------------------------------------------------------------------------------


@page(Permission.PRACTICE_RUN, "GET", "POST", athlete=Athlete)
def add_entry(request: HttpRequest, member: Member, athlete: Athlete) -> HttpResponse:
    form = forms.EntryForm(member, club_today(member.club), request.POST or None)
    if form.is_valid():
        actions.note_marks(by=member, athlete=athlete, **form.cleaned_data)
        messages.success(request, _("Saved."))
        return redirect(to_profile(member, athlete))
    lede = _("They read it themselves; poles by tag.")
    title = _("Into the notebook of %(name)s") % {"name": athlete.person.given_name}
    return ask(request, form, title, to_profile(member, athlete), lede)


@page(Permission.PRACTICE_RUN, "POST", entry=NotebookEntry)
def remove_entry(request: HttpRequest, member: Member, entry: NotebookEntry) -> HttpResponse:
    actions.remove_entry(by=member, entry=entry)
    messages.success(request, _("The entry is gone."))
    return redirect(to_profile(member, entry.athlete))


@page(Permission.MY_READ)
def my_notebook(request: HttpRequest, member: Member) -> HttpResponse:
    athlete = queries.profile_of(member, member.person)
    entries = queries.entries(member, athlete) if athlete else []
    return render(request, "athletes/my_notebook.html", {"entries": entries, "athlete": athlete})
