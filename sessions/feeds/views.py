"""The page on which one makes and revokes a calendar's address and chooses one's mails, and the calendar itself."""

from django.contrib import messages
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.utils import timezone, translation
from django.utils.translation import gettext as _

from club import limits
from club.doors import page, public
from club.mail.queries import kinds_wanted
from club.members import Member
from club.roles import Permission
from sessions.feeds import actions, core, queries
from sessions.feeds.models import CalendarAddress

READS, READS_IN_S = 60, 3600
TRIES, TRIES_IN_S = 240, 60


@page(Permission.CALENDAR_KEEP)
def calendar(request: HttpRequest, member: Member) -> HttpResponse:
    context = {"choices": queries.choices(member), "kinds": kinds_wanted(member), "to": member.person.email}
    return render(request, "feeds/calendar.html", context)


@page(Permission.CALENDAR_KEEP, "POST")
def make_calendar(request: HttpRequest, member: Member) -> HttpResponse:
    """Shows a new address, once."""
    try:
        new = actions.make(by=member, value=request.POST.get("of", ""), now=timezone.now())
    except actions.NoSuchCalendar:
        messages.error(request, _("There is no such calendar. Nothing was changed."))
        return redirect("calendar", club=member.club.slug)
    return render(request, "feeds/new_calendar.html", {"new": new})


@page(Permission.CALENDAR_KEEP, "POST", calendar=CalendarAddress)
def revoke_calendar(request: HttpRequest, member: Member, calendar: CalendarAddress) -> HttpResponse:
    actions.revoke(by=member, address=calendar, now=timezone.now())
    messages.success(request, _("That address works no more."))
    return redirect("calendar", club=member.club.slug)


@public("GET", secret="token")
def feed(request: HttpRequest, token: str) -> HttpResponse:
    """The calendar behind a secret address, in the language of its person."""
    if not limits.allow("calendars", limits.address(request), TRIES, TRIES_IN_S):
        return _wait()
    found = queries.feed(token, timezone.now())
    if found is None:
        raise Http404
    if not limits.allow("calendar", found.address.token_hash, READS, READS_IN_S):
        return _wait()
    with translation.override(found.address.person.language):
        body = core.calendar(queries.name(found), queries.entries(found), timezone.now())
    headers = {"Cache-Control": "private, no-store", "X-Robots-Tag": "noindex"}
    return HttpResponse(body, content_type="text/calendar; charset=utf-8", headers=headers)


def _wait() -> HttpResponse:
    return HttpResponse(status=429, headers={"Retry-After": "600"}, content_type="text/plain; charset=utf-8")
