"""Measurements and the emergency card."""

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.utils.translation import gettext as _

from athletes.actions import body as actions
from athletes.forms import profile as forms
from athletes.models import Athlete, Measurement
from athletes.queries import profile as queries
from athletes.views.profile import to_profile
from club.clock import club_now, club_today
from club.doors import page
from club.members import Member
from club.roles import Permission
from club.views.asking import ask


@page(Permission.BODY_READ, "GET", "POST", athlete=Athlete)
def add_measurement(request: HttpRequest, member: Member, athlete: Athlete) -> HttpResponse:
    form = forms.MeasurementsForm(member, club_today(member.club), request.POST or None)
    if form.is_valid():
        said = form.cleaned_data
        for kind in Measurement.Kind.values:
            if said[kind]:
                actions.measure(by=member, athlete=athlete, kind=kind, value=said[kind], on=said["on"])
        messages.success(request, _("Saved."))
        return redirect(to_profile(member, athlete))
    lede = _("Only head coaches read these. Instead of a mass you may record up to which rating they are cleared.")
    title = _("Measure %(name)s") % {"name": athlete.person.given_name}
    return ask(request, form, title, to_profile(member, athlete), lede)


@page(Permission.BODY_READ, "POST", measurement=Measurement)
def remove_measurement(request: HttpRequest, member: Member, measurement: Measurement) -> HttpResponse:
    actions.remove_measurement(by=member, measurement=measurement)
    messages.success(request, _("The measurement is gone."))
    return redirect(to_profile(member, measurement.athlete))


@page(Permission.CARD_READ, "POST", athlete=Athlete)
def open_card(request: HttpRequest, member: Member, athlete: Athlete) -> HttpResponse:
    """The head coach reads a card. By POST, because each look is logged and shown to the guardian."""
    now = club_now(member.club)
    actions.look_at_card(by=member, athlete=athlete, now=now)
    context = {"cards": [queries.card(member.club, athlete, now.date())], "back": to_profile(member, athlete)}
    return render(request, "athletes/cards.html", context)


@page(Permission.CARD_KEEP, "GET", "POST", athlete=Athlete)
def keep_card(request: HttpRequest, member: Member, athlete: Athlete) -> HttpResponse:
    """A guardian, or the athlete, writes the card and sees who looked at it."""
    own, card = athlete.person_id == member.person.pk, queries.own_card(member, athlete)
    form = forms.CardForm(card, own, request.POST if request.method == "POST" else None)
    if form.is_valid():
        actions.keep_card(by=member, athlete=athlete, now=club_now(member.club), **form.words())
        messages.success(request, _("Saved. Whoever is in charge of a practice finds it there."))
        return redirect("keep_card", club=member.club.slug, athlete=athlete.pk)
    context = {
        "form": form,
        "athlete": athlete,
        "own": own,
        "card": card,
        "changes": queries.card_changes(member, athlete),
        "unconfirmed": queries.unconfirmed(member.club, card),
        "looks": queries.looks(member, athlete),
    }
    return render(request, "athletes/keep_card.html", context, status=422 if form.is_bound else 200)
