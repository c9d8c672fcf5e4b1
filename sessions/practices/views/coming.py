"""One tap on the athlete's or the parent's page: cannot come, and can after all."""

from collections.abc import Callable

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect

from athletes.models import Athlete
from club.clock import club_now
from club.doors import page
from club.members import Member
from club.roles import Permission
from sessions.practices.actions import coming as actions
from sessions.practices.actions.errors import NotNow
from sessions.practices.models import Practice


@page(Permission.ABSENCE_SAY, "POST", athlete=Athlete, practice=Practice)
def cannot_come(request: HttpRequest, member: Member, athlete: Athlete, practice: Practice) -> HttpResponse:
    return _said(request, member, athlete, practice, actions.say_cannot_come)


@page(Permission.ABSENCE_SAY, "POST", athlete=Athlete, practice=Practice)
def can_come(request: HttpRequest, member: Member, athlete: Athlete, practice: Practice) -> HttpResponse:
    return _said(request, member, athlete, practice, actions.say_can_come)


def _said(
    request: HttpRequest, member: Member, athlete: Athlete, practice: Practice, say: Callable[..., None]
) -> HttpResponse:
    """Back to the page the button stood on, which shows what holds now, with the way back."""
    try:
        say(by=member, athlete=athlete, practice=practice, now=club_now(member.club))
    except NotNow as refused:
        messages.error(request, str(refused))
    if athlete.person_id == member.person.pk:
        return redirect("my_practice", club=member.club.slug)
    return redirect("child_page", club=member.club.slug, athlete=athlete.pk)
