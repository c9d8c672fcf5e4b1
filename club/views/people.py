"""People: the list, one person, ties, consents, links and invitations."""

from django.conf import settings
from django.contrib import messages
from django.core.paginator import Paginator
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.urls import reverse
from django.utils.translation import gettext as _

from club import actions, forms, queries, signin
from club.clock import club_now, club_today
from club.doors import page
from club.members import Member
from club.models import BarredContact, Consent, Guardianship, Person, SignInLink
from club.qr import qr_svg
from club.roles import Permission
from club.views.asking import ask


@page(Permission.PEOPLE_READ)
def people(request: HttpRequest, member: Member) -> HttpResponse:
    """``?q=``: words of a name."""
    wanted = request.GET.get("q", "").replace("\x00", "").strip()[:80]
    rows = Paginator(queries.people(member, wanted), 50).get_page(request.GET.get("page"))
    return render(request, "club/people.html", {"page": rows, "wanted": wanted})


@page(Permission.PEOPLE_READ, person=Person)
def person(request: HttpRequest, member: Member, person: Person) -> HttpResponse:
    context = {
        "file": queries.person_file(member, person),
        "person": person,
        "language": dict(settings.LANGUAGES).get(person.language, ""),
    }
    return render(request, "club/person.html", context)


def _to(member: Member, person: Person) -> str:
    return reverse("person", args=[member.club.slug, person.pk])


@page(Permission.PEOPLE_EDIT, "GET", "POST")
def new_person(request: HttpRequest, member: Member) -> HttpResponse:
    today = club_today(member.club)
    form = forms.NewPersonForm(request.POST or None, today=today)
    if form.is_valid():
        roles, level = form.cleaned_data["roles"], form.cleaned_data["adult_level"]
        made = actions.add_person(by=member, roles=roles, adult_level=level, joined_on=today, **form.values())
        if not queries.vaults(member, made):
            messages.success(request, _("%(name)s is in the club.") % {"name": made.full_name})
            return redirect(_to(member, made))
        said = _("%(name)s is in the club, entered as right-handed. Change hand and squads here if need be.")
        messages.success(request, said % {"name": made.full_name})
        return redirect("person_athlete", club=member.club.slug, person=made.pk)
    return ask(request, form, _("Add a person"), reverse("people", args=[member.club.slug]))


@page(Permission.PEOPLE_EDIT, "GET", "POST", person=Person)
def edit_person(request: HttpRequest, member: Member, person: Person) -> HttpResponse:
    form = forms.PersonForm(request.POST or None, initial=forms.person_initial(person), today=club_today(member.club))
    if queries.is_elsewhere(member, person) and person != member.person:
        messages.error(request, _("They are in another club too, so only they change this, on their own account."))
        return redirect(_to(member, person))
    if form.is_valid():
        actions.edit_person(by=member, person=person, **form.values())
        messages.success(request, _("Saved."))
        return redirect(_to(member, person))
    return ask(request, form, _("Change %(name)s") % {"name": person.full_name}, _to(member, person))


@page(Permission.PEOPLE_EDIT, "GET", "POST", person=Person)
def person_roles(request: HttpRequest, member: Member, person: Person) -> HttpResponse:
    held = queries.person_file(member, person).roles
    level = next((row.adult_level for row in held if row.adult_level), "")
    initial = {"roles": [row.role for row in held], "adult_level": level}
    form = forms.RolesForm(request.POST or None, initial=initial)
    if form.is_valid():
        try:
            actions.set_roles(by=member, person=person, today=club_today(member.club), **form.cleaned_data)
        except actions.LastHeadCoach:
            form.add_error("roles", _("A club keeps a head coach. Make somebody else head coach first."))
        else:
            messages.success(request, _("Saved."))
            return redirect(_to(member, person))
    return ask(request, form, _("What %(name)s is here") % {"name": person.given_name}, _to(member, person))


@page(Permission.PEOPLE_EDIT, "POST", person=Person)
def leave_club(request: HttpRequest, member: Member, person: Person) -> HttpResponse:
    try:
        actions.leave(by=member, person=person, today=club_today(member.club))
    except actions.LastHeadCoach:
        messages.error(request, _("A club keeps a head coach. Make somebody else head coach first."))
        return redirect(_to(member, person))
    said = _("%(name)s has left. What was recorded stays until it is erased.")
    messages.success(request, said % {"name": person.full_name})
    return redirect("people", club=member.club.slug)


# --- ties ----------------------------------------------------------------------------------------


@page(Permission.PEOPLE_EDIT, "GET", "POST", person=Person)
def add_tie(request: HttpRequest, member: Member, person: Person) -> HttpResponse:
    today = club_today(member.club)
    form = forms.TieForm(member, person, today, request.POST or None, initial={"rights": actions.RIGHTS})
    if form.is_valid():
        try:
            actions.tie_guardian(by=member, child=person, today=today, **form.cleaned_data)
        except actions.BarredFromChild:
            form.add_error(
                "guardian",
                _("%(name)s must not collect this child; nothing was tied.")
                % {"name": form.cleaned_data["guardian"].full_name},
            )
        else:
            messages.success(request, _("Saved."))
            return redirect(_to(member, person))
    lede = _("Whoever is not in the list yet: add them as a person first, as guardian.")
    return ask(request, form, _("A guardian of %(name)s") % {"name": person.given_name}, _to(member, person), lede)


@page(Permission.PEOPLE_EDIT, "GET", "POST", tie=Guardianship)
def edit_tie(request: HttpRequest, member: Member, tie: Guardianship) -> HttpResponse:
    today, initial = club_today(member.club), forms.tie_initial(tie)
    form = forms.TieForm(member, None, today, request.POST or None, initial=initial, barred=tie.barred)
    if form.is_valid() and _edited(member, tie, form):
        messages.success(request, _("Saved."))
        return redirect(_to(member, tie.child))
    names = {"guardian": tie.guardian.full_name, "child": tie.child.given_name}
    context = {
        "form": form,
        "title": _("%(guardian)s for %(child)s") % names,
        "back": _to(member, tie.child),
        "act": _("Save"),
        "tie": tie,
    }
    return render(request, "club/edit_tie.html", context, status=422 if form.is_bound else 200)


def _edited(member: Member, tie: Guardianship, form: forms.TieForm) -> bool:
    name = tie.guardian.full_name
    try:
        actions.edit_tie(by=member, tie=tie, **form.cleaned_data)
    except actions.StillBarred:
        form.add_error("barred", _("%(name)s is barred. Tick below that you lift the bar on purpose.") % {"name": name})
    except actions.BarredFromChild:
        said = _("%(name)s stands among those who must not collect this child. Take the name off there first.")
        form.add_error("barred", said % {"name": name})
    return form.is_valid()


@page(Permission.PEOPLE_EDIT, "POST", tie=Guardianship)
def remove_tie(request: HttpRequest, member: Member, tie: Guardianship) -> HttpResponse:
    actions.untie(by=member, tie=tie)
    messages.success(request, _("%(name)s is not tied to this child any more.") % {"name": tie.guardian.full_name})
    return redirect(_to(member, tie.child))


@page(Permission.PEOPLE_EDIT, "GET", "POST", person=Person)
def bar_contact(request: HttpRequest, member: Member, person: Person) -> HttpResponse:
    form = forms.BarForm(member, person, request.POST or None)
    if form.is_valid():
        actions.bar_contact(by=member, child=person, **form.cleaned_data)
        messages.success(request, _("Saved."))
        return redirect(_to(member, person))
    lede = _("For somebody who is not in the club. A guardian in the club is barred on the tie itself.")
    title = _("Who must not collect %(name)s") % {"name": person.given_name}
    return ask(request, form, title, _to(member, person), lede)


@page(Permission.PEOPLE_EDIT, "POST", barred=BarredContact)
def unbar_contact(request: HttpRequest, member: Member, barred: BarredContact) -> HttpResponse:
    actions.unbar_contact(by=member, barred=barred)
    return redirect(_to(member, barred.child))


# --- consents ------------------------------------------------------------------------------------


@page(Permission.PEOPLE_EDIT, "GET", "POST", person=Person)
def give_consent(request: HttpRequest, member: Member, person: Person) -> HttpResponse:
    form = forms.ConsentForm(member, person, club_today(member.club), request.POST or None)
    if form.is_valid():
        actions.give_consent(by=member, person=person, **form.cleaned_data)
        messages.success(request, _("Saved."))
        return redirect(_to(member, person))
    lede = _("Record what was given on paper or in person. Guardians who may consent, and the person, can give it.")
    return ask(request, form, _("A consent for %(name)s") % {"name": person.given_name}, _to(member, person), lede)


@page(Permission.PEOPLE_EDIT, "POST", consent=Consent)
def withdraw_consent(request: HttpRequest, member: Member, consent: Consent) -> HttpResponse:
    actions.withdraw_consent(by=member, consent=consent, on=club_today(member.club))
    return redirect(_to(member, consent.person))


# --- links ---------------------------------------------------------------------------------------


@page(Permission.LINK_MAKE, "POST", person=Person)
def make_sign_in_link(request: HttpRequest, member: Member, person: Person) -> HttpResponse:
    """Shows a new one-time link and its QR code, once."""
    try:
        new = signin.make_link(by=member, person=person)
    except signin.ConsentMissing:
        messages.error(request, _("Under 13: record a parent’s consent to an account first. No link was made."))
        return redirect(_to(member, person))
    except signin.LinkRefused:
        messages.error(request, _("Only the command line makes a sign-in link for this person. Nothing was changed."))
        return redirect("people", club=member.club.slug)
    url = new.url(request.build_absolute_uri("/"))
    return render(
        request, "club/sign_in_link.html", {"person": person, "url": url, "qr": qr_svg(url), "link": new.link}
    )


@page(Permission.LINK_MAKE, "POST", link=SignInLink)
def revoke_sign_in_link(request: HttpRequest, member: Member, link: SignInLink) -> HttpResponse:
    try:
        signin.revoke(by=member, link=link)
    except signin.LinkRefused:
        messages.error(request, _("Only the command line makes and takes back links for this person."))
    else:
        messages.success(request, _("The link is taken back and works no more."))
    return redirect("people", club=member.club.slug)


@page(Permission.LINK_MAKE, "GET", "POST")
def invitations(request: HttpRequest, member: Member) -> HttpResponse:
    """Whoever never signed in, to tick; then a sheet to print, one person a page. Its links are made at that moment."""
    found = queries.never_signed_in(member, club_now(member.club))
    wanted = set(request.POST.getlist("person"))
    chosen = [one.person for one in found if str(one.person.pk) in wanted and not one.needs_consent]
    if not chosen:
        if request.method == "POST":
            messages.error(request, _("Tick at least one person."))
        context = {"found": found}
        return render(request, "club/invitations.html", context, status=422 if request.method == "POST" else 200)
    base = request.build_absolute_uri("/")
    made = [(new.link, new.url(base)) for new in signin.make_links(by=member, people=chosen)]
    sheets = [{"link": link, "url": url, "qr": qr_svg(url)} for link, url in made]
    return render(request, "club/invitation_sheet.html", {"sheets": sheets})
