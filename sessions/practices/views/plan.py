"""The plan by hand: a grid of stations by blocks, and beside it what belongs to the thing that was chosen.

Every answer is the fragment ``plan_board`` for htmx and the whole page otherwise.
"""

from collections.abc import Callable
from typing import Any

from django.contrib import messages
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.urls import reverse
from django.utils.translation import gettext as _

from club import screen
from club.clock import club_now
from club.doors import page
from club.members import Member
from club.roles import Permission
from sessions.practices.actions import plan as actions
from sessions.practices.actions.errors import NotNow, PlanRefused
from sessions.practices.actions.exchange import pin as pin_place
from sessions.practices.core.clock import PastMidnight, SkippedTime
from sessions.practices.forms.assign import AssignForm, find_cell
from sessions.practices.forms.plan import BlockForm, StationAdultForm, StationForm
from sessions.practices.forms.templates import template_forms
from sessions.practices.helps import Asked, helps
from sessions.practices.models import Assignment, Block, Practice, Station
from sessions.practices.queries import calendar
from sessions.practices.queries.board import Board, board, chosen_chip, misfits


@page(Permission.PRACTICE_PLAN, practice=Practice)
def plan(request: HttpRequest, member: Member, practice: Practice) -> HttpResponse:
    """``?block=&station=`` opens a cell (``&work=&who=`` with a wish), ``?pick=`` a place, ``?at=`` a station."""
    shown = board(member, practice)
    return _render(request, member, shown, **_chosen(request, member, shown))


def _chosen(request: HttpRequest, member: Member, shown: Board) -> dict[str, Any]:
    asked = request.GET
    cell = find_cell(shown, asked.get("block"), asked.get("station"))
    if cell:
        wish = {"work": asked.get("work"), "athletes": asked.getlist("who"), "steps": asked.get("steps")}
        wish = wish if asked.get("work") else {}
        return _cell(shown, cell, AssignForm.for_cell(shown, cell, wish=wish))
    station = next((row.station for row in shown.rows if str(row.station.pk) == asked.get("at")), None)
    if station:
        return {"at": station, "adult_form": StationAdultForm(member, initial={"run_by": station.run_by_id})}
    return {"pick": chosen_chip(shown, asked.get("pick"))}


def _cell(shown: Board, cell: Any, form: AssignForm) -> dict[str, Any]:
    return {"chosen_cell": cell, "assign_form": form, "misfits": misfits(shown, cell.station)}


def _render(request: HttpRequest, member: Member, shown: Board, status: int = 200, **context: Any) -> HttpResponse:
    context.setdefault("block_form", BlockForm())
    context.setdefault("template_forms", template_forms(member, shown))
    context.setdefault("station_form", StationForm(member, shown.practice))
    context |= {"board": shown, "practice": shown.practice, "state": calendar.state(shown.practice)}
    asked = Asked(member, shown, context.get("chosen_cell"), context.get("pick"))
    context["helps"] = helps(asked, hidden=screen.children_see(request))
    name = "practices/parts/plan_board.html" if request.htmx else "practices/plan.html"
    return render(request, name, {**context, "fragment": bool(request.htmx)}, status=status)


def _done(request: HttpRequest, member: Member, practice: Practice, asked: str = "") -> HttpResponse:
    """Back to the plan: by a redirect, or the fragment at once for htmx."""
    address = reverse("plan", kwargs={"club": member.club.slug, "practice": practice.pk}) + asked
    if not request.htmx:
        return redirect(address)
    shown = board(member, practice)
    response = _render(request, member, shown)
    response["HX-Push-Url"] = address
    return response


def _try(request: HttpRequest, act: Callable[[], object]) -> None:
    """Does it, or says why not."""
    try:
        act()
    except NotNow as refused:
        messages.error(request, str(refused))


@page(Permission.PRACTICE_PLAN, "POST", practice=Practice)
def add_block(request: HttpRequest, member: Member, practice: Practice) -> HttpResponse:
    form = BlockForm(request.POST)
    if form.is_valid():
        try:
            actions.add_block(by=member, practice=practice, **form.cleaned_data)
        except NotNow as refused:
            form.add_error(None, str(refused))
        except (SkippedTime, PastMidnight):
            form.add_error("starts", _("The day does not have this time, because the clocks change."))
    if form.errors:
        return _render(request, member, board(member, practice), status=422, block_form=form)
    return _done(request, member, practice)


@page(Permission.PRACTICE_PLAN, "POST", practice=Practice, block=Block)
def remove_block(request: HttpRequest, member: Member, practice: Practice, block: Block) -> HttpResponse:
    _belongs(block.practice_id, practice)
    actions.remove_block(by=member, practice=practice, block=block)
    return _done(request, member, practice)


@page(Permission.PRACTICE_PLAN, "POST", practice=Practice)
def add_station(request: HttpRequest, member: Member, practice: Practice) -> HttpResponse:
    form = StationForm(member, practice, request.POST)
    if form.is_valid():
        try:
            actions.add_station(by=member, practice=practice, **form.cleaned_data)
        except NotNow as refused:
            form.add_error("area", str(refused))
    if form.errors:
        return _render(request, member, board(member, practice), status=422, station_form=form)
    return _done(request, member, practice)


@page(Permission.PRACTICE_PLAN, "POST", practice=Practice, station=Station)
def station_adult(request: HttpRequest, member: Member, practice: Practice, station: Station) -> HttpResponse:
    _belongs(station.practice_id, practice)
    form = StationAdultForm(member, request.POST)
    if form.is_valid():
        try:
            actions.set_station_adult(by=member, practice=practice, station=station, **form.cleaned_data)
        except PlanRefused as refused:
            context = {"at": station, "adult_form": form, "refused": refused}
            return _render(request, member, board(member, practice), status=422, **context)
    if form.errors:
        return _render(request, member, board(member, practice), status=422, at=station, adult_form=form)
    return _done(request, member, practice)


@page(Permission.PRACTICE_PLAN, "POST", practice=Practice, station=Station)
def remove_station(request: HttpRequest, member: Member, practice: Practice, station: Station) -> HttpResponse:
    _belongs(station.practice_id, practice)
    now = club_now(member.club)
    _try(request, lambda: actions.remove_station(by=member, practice=practice, station=station, now=now))
    return _done(request, member, practice)


@page(Permission.PRACTICE_PLAN, "POST", practice=Practice)
def assign(request: HttpRequest, member: Member, practice: Practice) -> HttpResponse:
    shown = board(member, practice)
    form, refusal = AssignForm(shown, request.POST), None
    if form.is_valid():
        try:
            told = actions.assign(by=member, practice=practice, put=form.put())
        except PlanRefused as refused:
            refusal = refused
        else:
            for sentence in told:
                messages.warning(request, sentence)
            return _done(request, member, practice)
    if form.cell is None:
        return _render(request, member, shown, status=422)
    form.offer_again()
    return _render(request, member, shown, status=422, refused=refusal, **_cell(shown, form.cell, form))


@page(Permission.PRACTICE_PLAN, "POST", practice=Practice, assignment=Assignment)
def unassign(request: HttpRequest, member: Member, practice: Practice, assignment: Assignment) -> HttpResponse:
    """Leaves the cell open, so that the athlete can be put back or elsewhere at once."""
    _belongs(assignment.block.practice_id, practice)
    actions.unassign(by=member, practice=practice, assignment=assignment)
    return _done(request, member, practice)


@page(Permission.PRACTICE_PLAN, "POST", practice=Practice, assignment=Assignment)
def pin(request: HttpRequest, member: Member, practice: Practice, assignment: Assignment) -> HttpResponse:
    """``pinned=1``: the place stays when the plan is filled anew; otherwise no longer."""
    _belongs(assignment.block.practice_id, practice)
    pin_place(by=member, practice=practice, assignment=assignment, pinned=request.POST.get("pinned") == "1")
    return _done(request, member, practice)


def _belongs(owner: object, practice: Practice) -> None:
    if owner != practice.pk:
        raise Http404
