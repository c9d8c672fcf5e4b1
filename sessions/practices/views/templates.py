"""Plans kept under a name: keep, put into a practice, rename, delete, undo."""

from collections.abc import Callable

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.utils.translation import gettext as _

from club.doors import page
from club.members import Member
from club.roles import Permission
from sessions.practices.actions import templates as actions
from sessions.practices.actions.errors import NotNow
from sessions.practices.forms.templates import ApplyTemplateForm, TemplateNameForm, rename_form
from sessions.practices.models import PlanTemplate, Practice
from sessions.practices.queries import templates as queries


@page(Permission.PRACTICE_PLAN)
def plan_templates(request: HttpRequest, member: Member) -> HttpResponse:
    return _page(request, member)


def _page(
    request: HttpRequest, member: Member, wrong: tuple[PlanTemplate, TemplateNameForm] | None = None
) -> HttpResponse:
    lines = [
        (one, wrong[1] if wrong and wrong[0].pk == one.pk else rename_form(one)) for one in queries.templates(member)
    ]
    context = {"lines": lines, "deleted": queries.deleted(member), "wrong": wrong and wrong[0]}
    return render(request, "practices/plan_templates.html", context, status=422 if wrong else 200)


@page(Permission.PRACTICE_PLAN, "POST", practice=Practice)
def save_template(request: HttpRequest, member: Member, practice: Practice) -> HttpResponse:
    form = TemplateNameForm(request.POST)
    if not form.is_valid():
        messages.error(request, _("Nothing was kept. Give the template a name of at most 60 letters."))
    else:
        name = form.cleaned_data["name"]
        done = _("Kept as “%(name)s”: blocks, stations and drills, without names.") % {"name": name}
        _try(request, lambda: actions.save_template(by=member, practice=practice, name=name), done)
    return redirect("plan", member.club.slug, practice.pk)


@page(Permission.PRACTICE_PLAN, "POST", practice=Practice)
def apply_template(request: HttpRequest, member: Member, practice: Practice) -> HttpResponse:
    form = ApplyTemplateForm(member, request.POST)
    if not form.is_valid():
        messages.error(request, _("Choose one of the club’s templates. Nothing was changed."))
        return redirect("plan", member.club.slug, practice.pk)
    template = form.cleaned_data["template"]
    try:
        applied = actions.apply_template(by=member, practice=practice, template=template)
    except NotNow as refused:
        messages.error(request, str(refused))
    else:
        messages.success(request, _("Laid out. Say who runs each station, then who does what."))
        for sentence in applied.left_out:
            messages.warning(request, sentence)
    return redirect("plan", member.club.slug, practice.pk)


@page(Permission.PRACTICE_PLAN, "POST", template=PlanTemplate)
def rename_template(request: HttpRequest, member: Member, template: PlanTemplate) -> HttpResponse:
    form = rename_form(template, request.POST)
    if form.is_valid():
        try:
            actions.rename_template(by=member, template=template, name=form.cleaned_data["name"])
        except NotNow as refused:
            form.add_error("name", str(refused))
        else:
            messages.success(request, _("Renamed."))
            return redirect("plan_templates", member.club.slug)
    return _page(request, member, (template, form))


@page(Permission.PRACTICE_PLAN, "POST", template=PlanTemplate)
def delete_template(request: HttpRequest, member: Member, template: PlanTemplate) -> HttpResponse:
    done = _("“%(name)s” is deleted. It can be brought back below.") % {"name": template.name}
    _try(request, lambda: actions.delete_template(by=member, template=template), done)
    return redirect("plan_templates", member.club.slug)


@page(Permission.PRACTICE_PLAN, "POST", template=PlanTemplate)
def restore_template(request: HttpRequest, member: Member, template: PlanTemplate) -> HttpResponse:
    done = _("“%(name)s” is back.") % {"name": template.name}
    _try(request, lambda: actions.restore_template(by=member, template=template), done)
    return redirect("plan_templates", member.club.slug)


def _try(request: HttpRequest, act: Callable[[], object], done: str) -> None:
    try:
        act()
    except NotNow as refused:
        messages.error(request, str(refused))
    else:
        messages.success(request, done)
