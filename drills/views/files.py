"""Files in and out, and new editions of the shipped catalogue."""

from collections.abc import Collection
from typing import Any

from django.contrib import messages
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.utils.translation import gettext as _

from club.doors import page
from club.members import Member
from club.roles import Permission
from drills import actions, comparing, queries
from drills.core.items import take_apart
from drills.core.problems import CatalogueProblems, Problem
from drills.core.reading import write_catalogue
from drills.forms import ImportForm
from drills.models import CatalogueDraft
from drills.shipped import edition_waiting
from drills.views.edit import CHANGED_MEANWHILE, REFUSED
from drills.words import changed_sentence, names_of, problem_words


@page(Permission.CATALOGUE_EDIT, "GET", "POST")
def import_catalogue(request: HttpRequest, member: Member) -> HttpResponse:
    """Reads a file whole or refuses it with every problem; what is good waits as a draft for its items to be chosen."""
    form = ImportForm(request.POST, request.FILES) if request.method == "POST" else ImportForm()
    problems: list[tuple[Problem, str]] = []
    if request.method == "POST" and form.is_valid():
        try:
            draft = actions.draft_import(by=member, data=form.data_read())
        except CatalogueProblems as refused:
            problems = [(problem, problem_words(problem)) for problem in refused.problems]
        else:
            return redirect("catalogue_draft", club=member.club.slug, draft=draft.pk)
    refused = bool(problems) or bool(form.is_bound and form.errors)
    context = {"form": form, "problems": problems}
    return render(request, "drills/import.html", context, status=REFUSED if refused else 200)


@page(Permission.CATALOGUE_EDIT, "GET", "POST", draft=CatalogueDraft)
def catalogue_draft(request: HttpRequest, member: Member, draft: CatalogueDraft) -> HttpResponse:
    comparison = actions.compare_draft(member, draft)
    if request.method == "GET":
        return _compared(request, comparison, comparison.proposed, "drills/draft.html")
    if request.POST.get("act") == "discard":
        actions.discard_draft(by=member, draft=draft)
        messages.success(request, _("The file is forgotten. Nothing was changed."))
        return redirect("catalogue", club=member.club.slug)
    taken = comparing.known_choices(comparison, request.POST.getlist("take"))
    try:
        _as_read(request, comparison)
        changed = actions.apply_draft(by=member, draft=draft, taken=taken, read=comparison.read)
    except (actions.CatalogueRefused, actions.CatalogueChanged) as refused:
        return _compared(request, comparison, taken, "drills/draft.html", refused)
    return _stored(request, member, comparison, changed)


@page(Permission.CATALOGUE_EDIT, "GET", "POST")
def catalogue_edition(request: HttpRequest, member: Member) -> HttpResponse:
    """A newer shipped edition: what it offers, what the club changed as well, and what stays."""
    waiting = edition_waiting(member)
    if waiting is None:
        return render(request, "drills/edition.html", {"edition": queries.edition(member.club)})
    new = waiting.new
    comparison = actions.compare_edition(member, waiting.base.source, take_apart(new.catalogue))
    versions = {"from_version": waiting.base.version, "to_version": new.catalogue.version}
    if request.method == "GET":
        return _compared(request, comparison, comparison.proposed, "drills/edition.html", None, **versions)
    taken = comparing.known_choices(comparison, request.POST.getlist("take"))
    chosen: dict[str, Any] = {"taken": taken, "read": comparison.read}
    try:
        _as_read(request, comparison)
        changed = actions.adopt_edition(
            by=member, base=waiting.base.source, version=new.catalogue.version, source=new.source, **chosen
        )
    except (actions.CatalogueRefused, actions.CatalogueChanged) as refused:
        return _compared(request, comparison, taken, "drills/edition.html", refused, **versions)
    return _stored(request, member, comparison, changed)


def _as_read(request: HttpRequest, comparison: actions.Comparison) -> None:
    """Raises CatalogueChanged where the choices were made on another catalogue than the one that stands now."""
    if request.POST.get("read") != comparison.read:
        raise actions.CatalogueChanged


def _compared(
    request: HttpRequest,
    comparison: actions.Comparison,
    taken: Collection[str],
    template: str,
    refused: Exception | None = None,
    **more: Any,
) -> HttpResponse:
    reasons: list[str] = []
    if isinstance(refused, actions.CatalogueRefused):
        reasons = comparing.refusals(refused, comparison)
    elif refused:
        reasons = [CHANGED_MEANWHILE()]
    context = {
        "kinds": comparing.lines(comparison, taken),
        "count": len(comparison.asked),
        "disputed": comparing.count_disputed(comparison),
        "read": comparison.read,
        "reasons": reasons,
        **more,
    }
    return render(request, template, context, status=REFUSED if refused else 200)


def _stored(
    request: HttpRequest, member: Member, comparison: actions.Comparison, changed: Collection[Any]
) -> HttpResponse:
    names = names_of(comparison.theirs, comparison.ours)
    messages.success(request, changed_sentence((one.item for one in changed), names))
    return redirect("catalogue", club=member.club.slug)


@page(Permission.CATALOGUE_READ)
def export_catalogue(request: HttpRequest, member: Member) -> HttpResponse:
    """The whole catalogue as a file that reads back the same."""
    catalogue = queries.catalogue(member)
    if not catalogue.drills:
        raise Http404
    answer = HttpResponse(write_catalogue(catalogue), content_type="application/yaml; charset=utf-8")
    name = f"catalogue-{member.club.slug}-{catalogue.version}.yaml"
    answer["Content-Disposition"] = f'attachment; filename="{name}"'
    return answer
