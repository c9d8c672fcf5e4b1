"""Pages of the two who never log anything: the athlete's own, and the parent's."""

from datetime import datetime, timedelta
from typing import Any

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.utils.translation import gettext as _

from athletes.models import Athlete
from athletes.queries import profile
from club.clock import club_now
from club.doors import page
from club.members import Member
from club.queries import safeguarding_contact
from club.roles import Permission
from sessions.boards import actions, reader_words, words
from sessions.boards.forms import SelfCheckForm
from sessions.boards.models import SelfCheck
from sessions.boards.queries import answers, own, reader
from sessions.practices.core.clock import of_age
from sessions.practices.models import Practice
from sessions.practices.queries.incidents import plain_parts
from sessions.summaries.queries import reading as summaries


@page(Permission.MY_READ)
def my_practice(request: HttpRequest, member: Member) -> HttpResponse:
    """The athlete's own next practice, and what a coach released of the last one."""
    athlete = reader.own_athlete(member)
    if athlete is None:
        return render(request, "boards/my_practice.html", _contact(member))
    now = club_now(member.club)
    dates = reader.coming(member, athlete, now)
    coming = next((one for one in dates if not one.cancelled), None)
    context = {
        **_contact(member),
        "athlete": athlete,
        "later": [one for one in dates if one is not coming],
        "coming": coming,
        "coming_words": words.moment_words(coming.day, coming.starts, now.date()) if coming else "",
        "practises_today": coming is not None and coming.day == now.date(),  # then what to do comes before questions
        "cancelled": [one for one in dates if one.cancelled],
        "tasks": reader.tasks(member, athlete, coming.id, now.date()) if coming else [],
        "last": next(iter(reader.worked_on(member, athlete)), None),
        "notes": reader.notes(member, athlete, now.date() - timedelta(days=reader.WORKED_ON_DAYS)),
        "restrictions": reader.own_restrictions(member, athlete, now.date()),
        "lasting_notes": profile.notes(member, athlete),
        "marks": own.marks(member, athlete),
        "summaries": summaries.of_athlete(member, athlete),
        "gained": own.gained(member, athlete, now.date()),
        "may_say": of_age(now.date(), athlete.person.birth_date),
        **_question(member, athlete, now),
    }
    return render(request, "boards/my_practice.html", context)


def _question(member: Member, athlete: Athlete, now: datetime) -> dict[str, Any]:
    """The question after a practice, with what was answered already."""
    asked = answers.asked(member, athlete, now)
    answered = answers.self_check(member, athlete, asked) if asked else None
    return {"asked": asked, "answered": answered, "feels": SelfCheck.Feel.choices}


@page(Permission.SELF_CHECK, "POST", practice=Practice)
def self_check(request: HttpRequest, member: Member, practice: Practice) -> HttpResponse:
    """The athlete's answer about a practice; answered again, the new answer stands."""
    athlete, form = reader.own_athlete(member), SelfCheckForm(request.POST)
    if athlete is None or not form.is_valid():
        messages.error(request, _("Choose one of the three answers; your own words may have 200 letters."))
    else:
        try:
            now = club_now(member.club)
            actions.answer_self_check(by=member, athlete=athlete, practice=practice, now=now, **form.cleaned_data)
            messages.success(request, _("Kept. Your coaches read it before the next practice."))
        except actions.NotNow as refused:
            messages.error(request, str(refused))
    return redirect("my_practice", club=member.club.slug)


@page(Permission.CHILD_READ)
def children(request: HttpRequest, member: Member) -> HttpResponse:
    found = reader.children(member)
    if len(found) == 1:
        return redirect("child_page", club=member.club.slug, athlete=found[0].pk)
    return render(request, "boards/children.html", {**_contact(member), "children": found})


@page(Permission.CHILD_READ, athlete=Athlete)
def child_page(request: HttpRequest, member: Member, athlete: Athlete) -> HttpResponse:
    """Is it on, where, until when; did they come, what was worked on. No rate and no advice.

    A guardian who may not see progress reads dates, restrictions and looks at the card.
    """
    now = club_now(member.club)
    sees_progress = athlete.person_id in member.children
    since = now.date() - timedelta(days=reader.WORKED_ON_DAYS)
    worked = reader.worked_on(member, athlete, since) if sees_progress else []
    asked = reader.came_of_late(member, athlete) if sees_progress else ()
    came = [one for one in asked if one is not None]
    name = athlete.person.given_name
    dates = reader.coming(member, athlete, now)
    coming = next((one for one in dates if not one.cancelled), None)
    context: dict[str, Any] = {
        **_contact(member),
        "athlete": athlete,
        "name": name,
        "sees_progress": sees_progress,
        "coming": coming,
        "coming_words": words.moment_words(coming.day, coming.starts, now.date()) if coming else "",
        "cancelled": [one for one in dates if one.cancelled],
        "later": [one for one in dates if one is not coming],
        "may_say": True,
        "may_collect": reader.may_collect(member, athlete),
        "self_checks": answers.self_checks(member, athlete),
        "summaries": summaries.of_athlete(member, athlete) if sees_progress else [],
        "worked": worked,
        "meanings": reader_words.phase_meanings(phase for day in worked for phase in day.phases),
        "came": came,
        "came_words": reader_words.came_sentence(name, sum(came), len(came), len(asked) - len(came)) if came else "",
        "restrictions": reader.own_restrictions(member, athlete, now.date()),
        "incidents": plain_parts(member, athlete, since),
        "looks": profile.looks(member, athlete),
        "card_changed": profile.unconfirmed(member.club, profile.own_card(member, athlete)),
        "lasting_notes": profile.notes(member, athlete),
        "siblings": [child for child in reader.children(member) if child.pk != athlete.pk],
    }
    return render(request, "boards/child_page.html", context)


def _contact(member: Member) -> dict[str, str]:
    return {"safeguarding": safeguarding_contact(member)}
