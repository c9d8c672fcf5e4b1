"""Summaries: the head coach looks them over; the athlete and the guardians read them."""

from django.contrib import messages
from django.core.paginator import Paginator
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.utils.translation import gettext as _
from django.utils.translation import ngettext

from club.clock import club_now, club_today
from club.doors import page
from club.members import Member
from club.queries import safeguarding_contact
from club.roles import Permission
from sessions.summaries import actions, pdf
from sessions.summaries.forms import ChosenForm, EditForm
from sessions.summaries.models import Summary
from sessions.summaries.queries import reading

A_PAGE = 40


@page(Permission.SUMMARY_APPROVE)
def summaries(request: HttpRequest, member: Member) -> HttpResponse:
    """Drafts to look over, and what was approved just now, with the way back."""
    paged = Paginator(reading.waiting(member), A_PAGE).get_page(request.GET.get("page"))
    context = {
        "waiting_page": paged,
        "waiting": [reading.shown(row) for row in paged],
        "fresh": reading.approved_of_late(member, club_now(member.club)),
        "mail_minutes": int(actions.MAIL_AFTER.total_seconds() // 60),
    }
    return render(request, "summaries/summaries.html", context)


@page(Permission.SUMMARY_APPROVE, "POST")
def ask_summaries(request: HttpRequest, member: Member) -> HttpResponse:
    """New ones for everybody, without waiting for the four weeks."""
    count = actions.ask(by=member, today=club_today(member.club))
    said = ngettext(
        "It is being written for %(n)d vaulter. Load this page again in a minute.",
        "They are being written for %(n)d vaulters. Load this page again in a minute.",
        count,
    )
    messages.success(request, said % {"n": count})
    return redirect("summaries", club=member.club.slug)


@page(Permission.SUMMARY_APPROVE, "POST")
def approve_summaries(request: HttpRequest, member: Member) -> HttpResponse:
    form = ChosenForm(request.POST.getlist("summary"))
    if not form.is_valid():
        messages.error(request, _("No summary was chosen. Nothing was changed."))
        return redirect("summaries", club=member.club.slug)
    count = actions.approve(by=member, ids=form.ids, now=club_now(member.club))
    if count:
        said = ngettext("%(n)d summary is on its page now.", "%(n)d summaries are on their pages now.", count)
        messages.success(request, said % {"n": count})
    else:
        messages.error(request, _("They were approved already, or newer ones took their place."))
    return redirect("summaries", club=member.club.slug)


@page(Permission.SUMMARY_APPROVE, "POST")
def take_back_summaries(request: HttpRequest, member: Member) -> HttpResponse:
    form = ChosenForm(request.POST.getlist("summary"))
    count = actions.take_back(by=member, ids=form.ids) if form.is_valid() else 0
    if count:
        said = ngettext("%(n)d summary is a draft again, and off its page.", "%(n)d summaries are drafts again.", count)
        messages.success(request, said % {"n": count})
    else:
        messages.error(request, _("There was nothing to take back."))
    return redirect("summaries", club=member.club.slug)


@page(Permission.SUMMARY_APPROVE, "GET", "POST", summary=Summary)
def edit_summary(request: HttpRequest, member: Member, summary: Summary) -> HttpResponse:
    kept = [one.checkpoint for one in summary.value().better if one.checkpoint not in summary.left_out]
    names = reading.other_children(member, summary.athlete)
    initial = {"own_words": summary.own_words, "keep": kept}
    form = EditForm(summary, names, request.POST or None, initial=initial)
    if form.is_valid():
        values = {"own_words": form.cleaned_data["own_words"], "left_out": form.left_out}
        if actions.edit(by=member, summary=summary, **values):
            messages.success(request, _("Kept. It still waits for your approval."))
        else:
            messages.error(request, _("It is approved already. Take it back first; then it can be changed."))
        return redirect("summaries", club=member.club.slug)
    context = {"form": form, "shown": reading.shown(summary)}
    return render(request, "summaries/edit_summary.html", context, status=422 if form.is_bound else 200)


@page(Permission.SUMMARY_READ, summary=Summary)
def summary(request: HttpRequest, member: Member, summary: Summary) -> HttpResponse:
    return render(
        request,
        "summaries/summary.html",
        {"shown": reading.shown(summary), "safeguarding": safeguarding_contact(member)},
    )


@page(Permission.SUMMARY_READ, summary=Summary)
def summary_pdf(request: HttpRequest, member: Member, summary: Summary) -> HttpResponse:
    """The same on one sheet of paper."""
    answer = HttpResponse(pdf.sheet(reading.shown(summary)), content_type="application/pdf")
    answer["Content-Disposition"] = f'inline; filename="sixmark-{summary.until.isoformat()}.pdf"'
    return answer
