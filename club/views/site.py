"""Sign-in, the way home, the club page, the record of changes, and pages of errors."""

from allauth.account.views import LoginView, LogoutView
from django.contrib.auth import login
from django.core.paginator import Paginator
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import redirect, render

from club import duties, limits, queries, signin
from club.doors import page, public, signed_in
from club.look_forms import parts_context
from club.members import Member
from club.models import Duty
from club.roles import HOME, Permission

LINK_BACKEND = "allauth.account.auth_backends.AuthenticationBackend"

sign_in = public("GET", "POST")(LoginView.as_view())
sign_out = signed_in("GET", "POST")(LogoutView.as_view())


@public("GET", "POST")
def sign_in_by_link(request: HttpRequest) -> HttpResponse:
    """The token comes from the fragment of the address by POST, so that no log holds it."""
    if request.method == "GET":
        return render(request, "club/sign_in_by_link.html")
    if not limits.allow("link", limits.address(request), times=120, seconds=60):
        return render(request, "club/sign_in_by_link.html", {"too_many": True}, status=429)
    person = signin.redeem(request.POST.get("token", "").strip())
    if person is None:
        return render(request, "club/sign_in_by_link.html", {"refused": True}, status=400)
    request.session.flush()
    login(request, person, backend=LINK_BACKEND)
    return redirect("home")


@signed_in("GET")
def home(request: HttpRequest) -> HttpResponse:
    """To the person's club, or a choice when there are several."""
    clubs = queries.clubs_of(request.user)
    if len(clubs) == 1:
        return redirect("club_home", club=clubs[0].slug)
    return render(request, "club/clubs.html", {"clubs": clubs})


@page(Permission.SCHEMA_READ)
def club_home(request: HttpRequest, member: Member) -> HttpResponse:
    """To the first page this member may open."""
    for permission, name in HOME:
        if member.may(permission):
            return redirect(name, club=member.club.slug)
    raise Http404


@page(Permission.CLUB_READ)
def club_page(request: HttpRequest, member: Member) -> HttpResponse:
    context = {"duties": queries.open_duties(member)[:50], "venues": queries.venues(member)}
    return render(request, "club/club_page.html", context)


@page(Permission.CLUB_EDIT, "POST", duty=Duty)
def retry_duty(request: HttpRequest, member: Member, duty: Duty) -> HttpResponse:
    duties.retry(duty)
    return redirect("club_page", club=member.club.slug)


@page(Permission.AUDIT_READ)
def audit(request: HttpRequest, member: Member) -> HttpResponse:
    entries = Paginator(queries.changes(member), 50).get_page(request.GET.get("page"))
    changes = queries.with_subjects(member, entries)
    return render(request, "club/audit.html", {"page": entries, "changes": changes})


@page(Permission.CLUB_READ)
def parts(request: HttpRequest, member: Member) -> HttpResponse:
    """Every component at work, with invented values."""
    return render(request, "club/parts_page.html", parts_context())


def bad_request(request: HttpRequest, exception: Exception) -> HttpResponse:
    return render(request, "400.html", status=400)


def forbidden(request: HttpRequest, exception: Exception) -> HttpResponse:
    return render(request, "403.html", status=403)


def not_found(request: HttpRequest, exception: Exception) -> HttpResponse:
    return render(request, "404.html", status=404)
