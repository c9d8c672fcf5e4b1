"""The coach's pages that read: the week, the squad board, one athlete."""

from datetime import date, timedelta
from typing import Any

from django.contrib import messages
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.urls import reverse
from django.utils.translation import get_language
from django.utils.translation import gettext as _

from athletes.actions import decisions
from athletes.models import Athlete, Decision, Notice, Squad
from athletes.queries import SETTINGS, profile
from club.clock import club_now, club_today
from club.doors import page
from club.members import Member
from club.paging import LongPaginator
from club.roles import Permission
from drills.models import Drill
from sessions.boards import board_words, core, words
from sessions.boards.forms import DecideForm
from sessions.boards.queries import along, answers, deciding, progression_map, squad
from sessions.boards.queries import athlete as athlete_queries
from sessions.boards.queries import told as told_queries
from sessions.boards.queries import week as week_queries
from sessions.practices.models import Practice
from sessions.summaries.queries import reading as summaries

UNCHANGED = 204
REPS_A_PAGE = 25
SHOWN_DECISIONS = 8
SHOWN_ENTRIES = 3


@page(Permission.WEEK_READ)
def week(request: HttpRequest, member: Member) -> HttpResponse:
    """``?week=``: any day of the week wanted. ``?notices=all``: all that must be heard, not the first few."""
    now = club_now(member.club)
    today = now.date()
    days = core.week_of(_day(request.GET.get("week"), today))
    shown = week_queries.week(member, days[0], today, now)
    most = None if request.GET.get("notices") == "all" else core.SHOWN_NOTICES
    told, notices = shown.told[:most], shown.advice.told[:most]
    context = {
        "week": shown,
        "told": told,
        "told_more": len(shown.told) - len(told),
        "notices": notices,
        "notices_more": len(shown.advice.told) - len(notices),
        "title": words.week_words(days),
        "practices_words": words.practices_sentence(shown.figures),
        "waiting_words": words.waiting_sentence(shown.figures),
        "before": days[0] - timedelta(days=7),
        "after": days[0] + timedelta(days=7),
        "this_week": today in days,
        "may_plan": member.may(Permission.PRACTICE_PLAN),
        "may_approve": member.may(Permission.SUMMARY_APPROVE),
        "summaries_waiting": summaries.waiting(member).count() if member.may(Permission.SUMMARY_APPROVE) else 0,
        "settings": SETTINGS,
    }
    return render(request, "boards/week.html", context)


def _day(text: str | None, today: date) -> date:
    """The day that an address names. Raises Http404."""
    try:
        day = date.fromisoformat(text) if text else today
        return day if date(2000, 1, 10) < day < date(2100, 1, 1) else today
    except ValueError as error:
        raise Http404 from error


@page(Permission.PRACTICE_READ, practice=Practice)
def practice_told(request: HttpRequest, member: Member, practice: Practice) -> HttpResponse:
    """Unsafe reps and who was taken out: a fragment of the practice's page, or a page of its own."""
    context = {"practice": practice, "told": told_queries.told(member, {practice.pk: practice.zone}, with_day=False)}
    return render(request, "boards/parts/told.html" if request.htmx else "boards/practice_told.html", context)


@page(Permission.READINESS_READ)
def squad_board(request: HttpRequest, member: Member) -> HttpResponse:
    """``?squad=`` shows one squad. With the stamp of what the page shows it answers 204 while nothing has changed."""
    all_squads = squad.squads(member)
    chosen = _squad(all_squads, request.GET.get("squad"))
    board = squad.squad_board(member, club_today(member.club), chosen)
    stamp = core.board_stamp(board, chosen and chosen.pk, get_language())
    if request.GET.get("stamp") == stamp:
        return HttpResponse(status=UNCHANGED)
    context = {
        "board": board,
        "stamp": stamp,
        "squads": all_squads,
        "chosen": chosen,
        "lede": board_words.board_sentence(len(board.rows), len(board.columns)),
        "settings": SETTINGS,
        "key": board_words.key_entries(board.counts),
    }
    return render(request, "boards/parts/squad_board.html" if request.htmx else "boards/squad_board.html", context)


def _squad(all_squads: list[Squad], wanted: str | None) -> Squad | None:
    """The squad that an address names, None for all. Raises Http404."""
    if not wanted:
        return None
    for found in all_squads:
        if str(found.pk) == wanted:
            return found
    raise Http404


@page(Permission.READINESS_READ, athlete=Athlete, drill=Drill)
def board_cell(request: HttpRequest, member: Member, athlete: Athlete, drill: Drill) -> HttpResponse:
    """One cell in full: a fragment beside the board, or a page of its own. Stamped like the board."""
    shown = _cell(member, athlete, drill)
    if request.GET.get("stamp") == shown["stamp"]:
        return HttpResponse(status=UNCHANGED)
    context = {**shown, "refreshed": "stamp" in request.GET}
    return render(request, "boards/parts/board_cell.html" if request.htmx else "boards/board_cell.html", context)


def _cell(member: Member, athlete: Athlete, drill: Drill) -> dict[str, Any]:
    cell = squad.drill_stand(member, athlete, drill, club_now(member.club))
    stamp = core.stamp(cell, athlete.pk, get_language())
    may_place = member.may(Permission.DECIDE) and member.may(Permission.ATHLETE_EDIT)
    return {"cell": cell, "stand": cell.stand, "athlete": athlete, "drill": drill, "stamp": stamp,
            "settings": SETTINGS, "may_place": may_place}  # fmt: skip


@page(Permission.DECIDE, "POST", athlete=Athlete, drill=Drill)
def decide(request: HttpRequest, member: Member, athlete: Athlete, drill: Drill) -> HttpResponse:
    """One touch: the head coach decides, with or against the advice. Answers what was done, with its undo."""
    form, now = DecideForm(request.POST), club_now(member.club)
    back = form.cleaned_data.get("back", "") if form.is_valid() else ""
    made, refused = None, _("That is no decision that can be made here. Nothing was kept.")
    if form.is_valid():
        recent = squad.recent_figures(member, athlete, drill)
        try:
            kind = form.cleaned_data["kind"]
            made = decisions.decide(
                by=member, athlete=athlete, drill=drill, kind=kind, today=now.date(), now=now, recent=recent
            )
        except decisions.CannotDecide as error:
            refused = str(error)
    if made is None and not request.htmx:
        messages.error(request, refused)
    return _decided(request, member, athlete, drill, back, made and deciding.done(member, made, now), refused)


@page(Permission.DECIDE, "POST", decision=Decision)
def take_back(request: HttpRequest, member: Member, decision: Decision) -> HttpResponse:
    """As if it had not been decided, while it is fresh."""
    now, back = club_now(member.club), request.POST.get("back", "")
    try:
        decisions.take_back(by=member, decision=decision, today=now.date(), now=now)
    except decisions.CannotDecide as error:
        messages.error(request, str(error))
    if request.htmx and back == "cell":
        return _decided(request, member, decision.athlete, decision.drill, back, None, "")
    if request.htmx:
        return HttpResponse(status=UNCHANGED, headers={"HX-Refresh": "true"})
    return redirect(_place(member, decision.athlete, decision.drill, back))


@page(Permission.DECIDE, "POST", notice=Notice)
def set_aside(request: HttpRequest, member: Member, notice: Notice) -> HttpResponse:
    """The head coach has read it."""
    decisions.set_aside(by=member, notice=notice, now=club_now(member.club))
    return HttpResponse("") if request.htmx else redirect("week", club=member.club.slug)


def _decided(
    request: HttpRequest,
    member: Member,
    athlete: Athlete,
    drill: Drill,
    back: str,
    done: deciding.Done | None,
    refused: str,
) -> HttpResponse:
    """The fragment in whose place the button stood, or the page it stood on."""
    if not request.htmx or back == "athlete":
        return redirect(_place(member, athlete, drill, back))
    if back == "cell":
        context = {**_cell(member, athlete, drill), "refused": refused if done is None else ""}
        return render(request, "boards/parts/board_cell.html", context)
    context = {"done": done, "athlete": athlete, "drill": drill, "refused": refused}
    return render(request, "boards/parts/decided_row.html", context)


def _place(member: Member, athlete: Athlete, drill: Drill, back: str) -> str:
    club = member.club.slug
    if back == "start over":
        return reverse("drill_start_over", kwargs={"club": club, "drill": drill.key})
    if back == "cell":
        return reverse("board_cell", kwargs={"club": club, "athlete": athlete.pk, "drill": drill.key})
    if back == "athlete":
        return reverse("athlete_page", kwargs={"club": club, "athlete": athlete.pk}) + "#decisions"
    return reverse("week", kwargs={"club": club}) + "#advice"


@page(Permission.ATHLETE_READ, athlete=Athlete)
def athlete_page(request: HttpRequest, member: Member, athlete: Athlete) -> HttpResponse:
    today = club_today(member.club)
    decided, decided_total = deciding.timeline(member, athlete, club_now(member.club), SHOWN_DECISIONS)
    paged = LongPaginator(athlete_queries.reps(member, athlete), REPS_A_PAGE).get_page(request.GET.get("page"))
    context = {
        "athlete": athlete,
        "squads": words.listed([one.name for one in athlete.squads.all()]),
        "hand_words": words.hand_sentence(athlete.hand),
        "held_back": athlete_queries.held_back(member, athlete, today),
        "standings": squad.athlete_standings(member, athlete, today),
        "decisions": decided,
        "decisions_total": decided_total,
        "may_place": member.may(Permission.DECIDE) and member.may(Permission.ATHLETE_EDIT),
        "run": along.run(member, athlete, today),
        "notes": athlete_queries.notes_of_late(member, athlete),
        "entries": profile.entries(member, athlete)[:SHOWN_ENTRIES],
        "faults": athlete_queries.faults_of_late(member, athlete, today),
        "look_back": athlete_queries.LOOK_BACK_DAYS,
        "reps_page": paged,
        "reps": [athlete_queries.rep_line(rep) for rep in paged],
        "settings": SETTINGS,
        "self_checks": answers.self_checks(member, athlete),
    }
    return render(request, "boards/athlete_page.html", context)


@page(Permission.READINESS_READ, athlete=Athlete)
def athlete_map(request: HttpRequest, member: Member, athlete: Athlete) -> HttpResponse:
    """The progression, with where this athlete's figures stand at each drill."""
    found = progression_map.athlete_map(member, athlete, club_today(member.club))
    return render(request, "boards/athlete_map.html", {"athlete": athlete, "map": found})
