"""Who can see this screen: said in one tap; taken back with the password."""

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.utils.http import url_has_allowed_host_and_scheme
from django.utils.translation import gettext as _

from club import forms, limits, screen
from club.doors import signed_in

TRIES, WINDOW_S = 10, 300


@signed_in("GET", "POST")
def this_screen(request: HttpRequest) -> HttpResponse:
    """``?next=`` where to go back to. To hide asks for nothing; to show where it was hidden asks for the password."""
    person, hidden = request.user, screen.children_see(request)
    form = forms.ScreenForm(person, hidden, request.POST or None, initial={"who": screen.seen_by(request).value})
    tries = form.is_bound and form.asks and form.data.get("who") != screen.SeenBy.CHILDREN
    if tries and not limits.allow("screen", str(person.pk), times=TRIES, seconds=WINDOW_S):
        form.add_error(None, _("Too many tries. It stays hidden; wait five minutes, then try again."))
    if form.is_valid():
        who = screen.SeenBy(form.cleaned_data["who"])
        response = redirect(_back(request))
        screen.keep(response, who)
        if who is screen.SeenBy.CHILDREN:
            messages.success(request, _("Hidden on this device: readiness, rates, advice and profiles."))
        return response
    context = {"form": form, "hidden": hidden, "next": _back(request)}
    return render(request, "club/this_screen.html", context, status=422 if form.is_bound else 200)


def _back(request: HttpRequest) -> str:
    """An address of this site, whatever was sent."""
    wanted = request.POST.get("next") or request.GET.get("next") or "/"
    return wanted if url_has_allowed_host_and_scheme(wanted, allowed_hosts=None) else "/"
