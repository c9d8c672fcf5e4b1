"""The coach's page of an athlete's profile, and what is changed from it."""

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.urls import reverse
from django.utils.translation import gettext as _

from athletes import words
from athletes.actions import profile as actions
from athletes.forms import profile as forms
from athletes.models import Athlete, AthleteNote, Restriction, Squad
from athletes.queries import jumping
from athletes.queries import profile as queries
from club.clock import club_now, club_today
from club.doors import page
from club.members import Member
from club.models import Person
from club.roles import Permission
from club.views.asking import ask


def to_profile(member: Member, athlete: Athlete) -> str:
    return reverse("athlete_profile", args=[member.club.slug, athlete.pk])


@page(Permission.ATHLETE_READ, athlete=Athlete)
def athlete_profile(request: HttpRequest, member: Member, athlete: Athlete) -> HttpResponse:
    today = club_today(member.club)
    tells_why = member.may(Permission.RESTRICTION_REASON)
    context = {
        "athlete": athlete,
        "squads": athlete.squads.all(),
        "notes": queries.notes(member, athlete),
        "restrictions": [
            (line, words.risks_words(line.row.excluded), _until(line.row, tells_why))
            for line in queries.restrictions(member, athlete, today)
        ],
        "fits": [
            (one.tag, words.fit_words(one.answer.fit), words.why_words(one.answer.why))
            for one in queries.pole_fits(member, athlete, today)
        ],
        "entries": queries.entries(member, athlete),
        "cleared": [
            (one, words.fit_words(one.answer.fit))
            for one in jumping.cleared(member, [athlete], today).get(athlete.pk, [])
        ],
        "may_clear": member.may(Permission.DECIDE),
        "may_edit": member.may(Permission.ATHLETE_EDIT),
        "may_run": member.may(Permission.PRACTICE_RUN),
        "may_restrict": member.may(Permission.RESTRICTION_LAY),
        "tells_why": tells_why,
        "body": _body(member, athlete),
    }
    return render(request, "athletes/profile.html", context)


def _until(row: Restriction, tells_why: bool) -> str:
    return words.until_words(row.ends_on, row.needs_clearance, tells_why, _("j F Y"))


def _body(member: Member, athlete: Athlete) -> dict[str, object] | None:
    """What the head coach alone reads; None for everybody else."""
    if not member.may(Permission.BODY_READ):
        return None
    today = club_today(member.club)
    return {
        "measurements": queries.measurements(member, athlete),
        "check_due": queries.check_is_due(member, athlete, today),
        "placements": queries.placements(member, athlete),
        "looks": queries.looks(member, athlete),
    }


@page(Permission.ATHLETE_EDIT, "GET", "POST", person=Person)
def person_athlete(request: HttpRequest, member: Member, person: Person) -> HttpResponse:
    """To the person's profile; a form that makes one where there is none."""
    athlete = queries.profile_of(member, person)
    if athlete is not None:
        return redirect(to_profile(member, athlete))
    form = forms.AthleteForm(member, request.POST or None)
    if form.is_valid():
        made = actions.add_athlete(by=member, person=person, joined_on=club_today(member.club), **form.cleaned_data)
        return redirect(to_profile(member, made))
    back = reverse("person", args=[member.club.slug, person.pk])
    return ask(request, form, _("%(name)s as a vaulter") % {"name": person.given_name}, back)


@page(Permission.ATHLETE_EDIT, "GET", "POST", athlete=Athlete)
def edit_athlete(request: HttpRequest, member: Member, athlete: Athlete) -> HttpResponse:
    form = forms.AthleteForm(member, request.POST or None, initial=forms.athlete_initial(athlete))
    if form.is_valid():
        actions.edit_athlete(by=member, athlete=athlete, **form.cleaned_data)
        messages.success(request, _("Saved."))
        return redirect(to_profile(member, athlete))
    title = _("Change %(name)s") % {"name": athlete.person.full_name}
    return ask(request, form, title, to_profile(member, athlete))


@page(Permission.ATHLETE_EDIT, "GET", "POST", athlete=Athlete)
def add_note(request: HttpRequest, member: Member, athlete: Athlete) -> HttpResponse:
    form = forms.NoteForm(request.POST or None)
    if form.is_valid():
        actions.add_note(by=member, athlete=athlete, now=club_now(member.club), **form.cleaned_data)
        messages.success(request, _("Saved."))
        return redirect(to_profile(member, athlete))
    title = _("A note on %(name)s") % {"name": athlete.person.given_name}
    return ask(request, form, title, to_profile(member, athlete))


@page(Permission.ATHLETE_EDIT, "POST", note=AthleteNote)
def remove_note(request: HttpRequest, member: Member, note: AthleteNote) -> HttpResponse:
    actions.remove_note(by=member, note=note)
    messages.success(request, _("The note is gone."))
    return redirect(to_profile(member, note.athlete))


@page(Permission.DECIDE, "GET", "POST", athlete=Athlete)
def place_athlete(request: HttpRequest, member: Member, athlete: Athlete) -> HttpResponse:
    """ "Placed here by … on …"."""
    form = forms.PlaceForm(member, request.POST or None)
    if form.is_valid():
        now = club_now(member.club)
        actions.place(by=member, athlete=athlete, day=now.date(), now=now, **form.cleaned_data)
        messages.success(request, _("On record, with your name and today’s date."))
        return redirect(to_profile(member, athlete))
    lede = _("For somebody who comes with experience: you have seen that they may do this drill, contact drills too.")
    title = _("Place %(name)s at a drill") % {"name": athlete.person.given_name}
    return ask(request, form, title, to_profile(member, athlete), lede)


# --- squads --------------------------------------------------------------------------------------


@page(Permission.ATHLETE_EDIT, "GET", "POST")
def squads(request: HttpRequest, member: Member) -> HttpResponse:
    form = forms.SquadForm(member, None, request.POST or None)
    if form.is_valid():
        actions.add_squad(by=member, name=form.cleaned_data["name"])
        return redirect("squads", club=member.club.slug)
    context = {"squads": queries.squads(member).prefetch_related("athletes__person"), "form": form}
    return render(request, "athletes/squads.html", context, status=422 if form.is_bound else 200)


@page(Permission.ATHLETE_EDIT, "GET", "POST", squad=Squad)
def edit_squad(request: HttpRequest, member: Member, squad: Squad) -> HttpResponse:
    form = forms.SquadForm(member, squad, request.POST or None, initial={"name": squad.name})
    back = reverse("squads", args=[member.club.slug])
    if form.is_valid():
        actions.rename_squad(by=member, squad=squad, name=form.cleaned_data["name"])
        return redirect(back)
    return ask(request, form, _("Rename %(name)s") % {"name": squad.name}, back)
