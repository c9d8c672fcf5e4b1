"""The head coach's page of the mails, the safeguarding officer's of those to minors, what one wants mail about, and
the page behind each mail's "no more of this".
"""

from django.conf import settings
from django.contrib import messages
from django.core.paginator import Paginator
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.utils import timezone, translation
from django.utils.translation import gettext as _
from django.views.decorators.csrf import csrf_exempt

from club import limits
from club.doors import page, public
from club.mail import actions, queries, stopping, words
from club.members import Member
from club.models import Mail
from club.roles import Permission

PAGE = 50


@page(Permission.MAIL_KEEP)
def mails(request: HttpRequest, member: Member) -> HttpResponse:
    """All, or with ``?only=trouble`` those that did not surely arrive."""
    now, trouble = timezone.now(), request.GET.get("only") == "trouble"
    rows = queries.troubled(member, now) if trouble else queries.mails(member)
    found = Paginator(rows, PAGE).get_page(request.GET.get("page"))
    context = {
        "on": bool(settings.MAIL.host),
        "page": found,
        "lines": [words.line(mail, now) for mail in found],
        "trouble": trouble,
        "troubled": queries.troubled(member, now).count(),
        "server": queries.server(member),
    }
    return render(request, "club/mails.html", context)


@page(Permission.MAIL_KEEP, mail=Mail)
def mail(request: HttpRequest, member: Member, mail: Mail) -> HttpResponse:
    return render(request, "club/mail_page.html", {"line": words.line(mail, timezone.now())})


@page(Permission.MAIL_KEEP, "POST", mail=Mail)
def resend_mail(request: HttpRequest, member: Member, mail: Mail) -> HttpResponse:
    if actions.resend(by=member, mail=mail, now=timezone.now()):
        messages.success(request, _("It is on its way once more."))
    else:
        messages.error(request, _("It is on its way, or has arrived. Nothing was sent twice."))
    return redirect("mails", club=member.club.slug)


@page(Permission.MAIL_KEEP, "POST", mail=Mail)
def mail_came_back(request: HttpRequest, member: Member, mail: Mail) -> HttpResponse:
    """Somebody read in the club's mailbox that it did not reach its reader."""
    if actions.came_back(by=member, mail=mail):
        messages.success(request, _("Noted. Nothing more goes to that address until it is changed."))
    else:
        messages.error(request, _("It has not left, so it cannot have come back. Nothing was changed."))
    return redirect("mail", club=member.club.slug, mail=mail.pk)


@page(Permission.MAIL_OVERSEE)
def minors_mail(request: HttpRequest, member: Member) -> HttpResponse:
    """Every mail to a minor: of what kind, by whom, when, and which adults read along."""
    found = Paginator(queries.to_minors(member), PAGE).get_page(request.GET.get("page"))
    lines = [words.overseen(one) for one in queries.with_readers(member, found)]
    return render(request, "club/minors_mail.html", {"page": found, "lines": lines})


@page(Permission.MAIL_OVERSEE, mail=Mail)
def minor_mail(request: HttpRequest, member: Member, mail: Mail) -> HttpResponse:
    """Its words. A mail to an adult is not the officer's to read."""
    if not mail.minor:
        raise Http404
    (one,) = queries.with_readers(member, [mail])
    return render(request, "club/minor_mail.html", {"line": words.overseen(one)})


@page(Permission.CALENDAR_KEEP, "POST")
def choose_mail(request: HttpRequest, member: Member) -> HttpResponse:
    """Which kinds of mail one wants."""
    actions.set_kinds(by=member, wanted=request.POST.getlist("kinds"), now=timezone.now())
    messages.success(request, _("Saved."))
    return redirect("calendar", club=member.club.slug)


# A mail program posts here without having opened any page (RFC 8058), so there is no token against forgery to ask for:
# the signed address itself is the right to stop this one kind for this one person.
@csrf_exempt
@public("GET", "POST", secret="token")
def stop_mail(request: HttpRequest, token: str) -> HttpResponse:
    """GET asks, as programs that follow links must stop nothing; POST stops, or with ``again`` takes that back."""
    if not limits.allow("stop-mail", limits.address(request), times=60, seconds=60):
        return render(request, "club/stop_mail.html", {"too_many": True}, status=429)
    stop = stopping.read(token)
    if stop is None:
        raise Http404
    stopped = None
    if request.method == "POST":
        stopped = "again" not in request.POST
        actions.set_stopped(person=stop.person, club=stop.club, kind=stop.kind, stopped=stopped, now=timezone.now())
    with translation.override(stop.person.language):
        return render(request, "club/stop_mail.html", {"stop": stop, "stopped": stopped})
