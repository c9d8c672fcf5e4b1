"""One's own account, whatever one's clubs."""

from django.contrib import messages
from django.contrib.auth import update_session_auth_hash
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.utils import translation
from django.utils.translation import gettext as _

from club import actions, forms, limits
from club.doors import signed_in

TRIES, WINDOW_S = 10, 300


@signed_in("GET", "POST")
def account(request: HttpRequest) -> HttpResponse:
    """Sign-in name, language, password. Who has a password says it before either of the first two changes."""
    person = request.user
    form = forms.AccountForm(person, request.POST or None)
    if form.is_bound and not limits.allow("account", str(person.pk), times=TRIES, seconds=WINDOW_S):
        form.add_error(None, _("Too many tries. Nothing was changed; wait five minutes, then try again."))
    if form.is_valid():
        said = form.cleaned_data
        try:
            actions.set_own_account(
                person=person,
                sign_in_name=said["sign_in_name"],
                language=said["language"],
                password=said["password"],
            )
        except actions.NameTaken:
            form.add_error("sign_in_name", _("Somebody else signs in by this name. Choose another."))
        else:
            update_session_auth_hash(request, person)
            with translation.override(person.language):
                messages.success(request, _("Saved."))
            return redirect("account")
    return render(request, "club/account.html", {"form": form}, status=422 if form.is_bound else 200)
