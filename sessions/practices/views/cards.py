"""Emergency cards for the adult in charge of a practice. Each is opened by itself, and each look is logged."""

from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import render

from athletes.actions.body import look_at_card
from athletes.queries.profile import card
from club.clock import club_now
from club.doors import page
from club.members import Member
from club.roles import Permission
from sessions.practices.models import Practice
from sessions.practices.queries.cards import card_athletes, in_charge


@page(Permission.CARD_READ, "GET", "POST", practice=Practice)
def cards(request: HttpRequest, member: Member, practice: Practice) -> HttpResponse:
    """Names and the venue's card; by POST with ``athlete`` that athlete's card, in the answer that logs the look."""
    now = club_now(member.club)
    if not in_charge(member, practice, now):
        raise Http404
    athletes = card_athletes(member, practice)
    chosen = next((one for one in athletes if str(one.pk) == request.POST.get("athlete")), None)
    context = {"practice": practice, "venue": practice.venue, "athletes": athletes, "one": None}
    if request.method == "POST" and chosen is None:
        return render(request, "practices/cards.html", context, status=422)
    if chosen is not None:
        look_at_card(by=member, athlete=chosen, now=now, practice_day=practice.day)
        context["one"] = card(member.club, chosen, now.date())
    return render(request, "practices/cards.html", context)
