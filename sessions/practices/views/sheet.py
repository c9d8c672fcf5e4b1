"""The plan on paper: the sheet for the wall as a page and as a PDF, and the running order."""

from django.contrib import messages
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.utils.translation import get_language
from django.utils.translation import gettext as _

from club.doors import page
from club.members import Member
from club.pdf import Paper
from club.roles import Permission
from sessions.practices import sheet_words
from sessions.practices.actions import order as actions
from sessions.practices.models import Assignment, Practice
from sessions.practices.queries.board import board
from sessions.practices.queries.sheet import Sheet, sheet
from sessions.practices.wall_pdf import wall_pdf as drawn


def _sheet(member: Member, practice: Practice) -> Sheet:
    return sheet(member, board(member, practice))


@page(Permission.PRACTICE_READ, practice=Practice)
def wall_sheet(request: HttpRequest, member: Member, practice: Practice) -> HttpResponse:
    """For the wall: who does what where. No reasons, no figures, nobody who is held."""
    found = _sheet(member, practice)
    context = {"practice": practice, "sheet": found, "key": sheet_words.key(found), "about": sheet_words.about(found)}
    return render(request, "practices/wall_sheet.html", context)


@page(Permission.PRACTICE_READ, practice=Practice)
def wall_pdf(request: HttpRequest, member: Member, practice: Practice) -> HttpResponse:
    """The same on one page of paper, ``?paper=letter`` or A4."""
    paper = Paper.LETTER if request.GET.get("paper") == Paper.LETTER else Paper.A4
    made = drawn(_sheet(member, practice), paper=paper, club=member.club.name, language=get_language() or "en")
    name = f"{practice.day}-{practice.starts:%H%M}-{paper}.pdf"
    headers = {"Content-Disposition": f'inline; filename="{name}"'}
    return HttpResponse(made, content_type="application/pdf", headers=headers)


@page(Permission.PRACTICE_READ, practice=Practice)
def running_order(request: HttpRequest, member: Member, practice: Practice) -> HttpResponse:
    """Who goes first at which station in which block, with hand and pole."""
    context = {
        "practice": practice,
        "sheet": _sheet(member, practice),
        "may_plan": member.may(Permission.PRACTICE_PLAN),
    }
    return render(request, "practices/running_order.html", context)


@page(Permission.PRACTICE_PLAN, "POST", practice=Practice, assignment=Assignment)
def move_up(request: HttpRequest, member: Member, practice: Practice, assignment: Assignment) -> HttpResponse:
    """One place further ahead; ``first=1``: to the head of the queue."""
    if assignment.block.practice_id != practice.pk:
        raise Http404
    first = request.POST.get("first") == "1"
    actions.move_up(by=member, practice=practice, assignment=assignment, first=first)
    return redirect("running_order", member.club.slug, practice.pk)


@page(Permission.PRACTICE_PLAN, "POST", practice=Practice)
def left_handers_together(request: HttpRequest, member: Member, practice: Practice) -> HttpResponse:
    actions.left_handers_together(by=member, practice=practice)
    messages.success(request, _("In each queue the left-handers now go one after another, at its end."))
    return redirect("running_order", member.club.slug, practice.pk)
