"""A roster in three steps, and out again: the file, what its columns mean, what would change."""

import csv
import io

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.utils.translation import gettext as _
from django.utils.translation import ngettext

from athletes import words
from athletes.actions import roster as actions
from athletes.forms.roster import ColumnsForm, RosterFileForm
from athletes.models import RosterDraft
from athletes.queries import roster as queries
from athletes.queries.roster_preview import preview as preview_of
from club.clock import club_now, club_today
from club.doors import page
from club.members import Member
from club.roles import Permission

ANSWER = "answer-"


@page(Permission.PEOPLE_EDIT, "GET", "POST")
def roster(request: HttpRequest, member: Member) -> HttpResponse:
    form = RosterFileForm(request.POST or None, request.FILES or None)
    if form.is_valid():
        name = form.cleaned_data["file"].name
        draft = actions.start_roster(by=member, name=name, rows=form.rows, now=club_now(member.club))
        return redirect("roster_columns", club=member.club.slug, roster=draft.pk)
    context = {"form": form, "drafts": queries.drafts(member)}
    return render(request, "athletes/roster.html", context, status=422 if form.is_bound else 200)


@page(Permission.PEOPLE_EDIT, "GET", "POST", roster=RosterDraft)
def roster_columns(request: HttpRequest, member: Member, roster: RosterDraft) -> HttpResponse:
    columns = queries.columns(roster, roster.choices["header"])
    form = ColumnsForm(columns, roster.choices, club_today(member.club), request.POST or None)
    if form.is_valid():
        choices = form.choices()
        if choices["header"] != roster.choices["header"]:  # other headings: guess anew and ask again
            choices["columns"] = queries.guessed(roster, choices["header"])
        actions.choose_columns(by=member, draft=roster, choices=choices)
        again = choices["header"] != roster.choices["header"]
        return redirect("roster_columns" if again else "roster_preview", club=member.club.slug, roster=roster.pk)
    context = {"form": form, "draft": roster}
    return render(request, "athletes/roster_columns.html", context, status=422 if form.is_bound else 200)


@page(Permission.PEOPLE_EDIT, "GET", "POST", roster=RosterDraft)
def roster_preview(request: HttpRequest, member: Member, roster: RosterDraft) -> HttpResponse:
    """What an import would change; by POST, the import of the rows that are ticked."""
    if not queries.is_mapped(roster):
        return redirect("roster_columns", club=member.club.slug, roster=roster.pk)
    today = club_today(member.club)
    answers = {name.removeprefix(ANSWER): value for name, value in request.POST.items() if name.startswith(ANSWER)}
    take = {int(number) for number in request.POST.getlist("take") if number.isdecimal()}
    if request.method == "POST":
        try:
            outcome = actions.import_roster(
                by=member, draft=roster, stamp=request.POST.get("stamp", ""), take=take, answers=answers, today=today
            )
        except actions.RosterStale:
            messages.error(request, _("The club has changed since. Nothing was imported; look at it once more."))
        except actions.RosterUnanswered:
            messages.error(request, _("Nothing was imported. Say first who is meant where a row asks."))
        except actions.RosterNothingTaken:
            messages.error(request, _("No row was ticked, so nothing was imported. The file is still here."))
        else:
            messages.success(request, outcome_words(outcome))
            return redirect("people", club=member.club.slug)
    return _preview(request, member, roster, answers, take)


def _preview(
    request: HttpRequest, member: Member, roster: RosterDraft, answers: dict[str, str], take: set[int]
) -> HttpResponse:
    today = club_today(member.club)
    reading = queries.reading(roster, today)
    bound = request.method == "POST"
    preview = preview_of(member, roster, today, answers)
    rows, settled = preview.rows, sum(row.settled for row in preview.rows)
    context = {
        "draft": roster,
        "rows": [(row, row.number in take if bound else not row.settled) for row in rows],
        "new_squads": preview.new_squads,
        "problems": [(one, words.problem_words(one)) for one in reading.problems],
        "bad_rows": len({one.row for one in reading.problems}),
        "asks_date_order": reading.asks_date_order,
        "stamp": preview.stamp,
        "settled": settled,
        "all_settled": settled == len(rows),
    }
    return render(request, "athletes/roster_preview.html", context, status=422 if bound else 200)


def outcome_words(outcome: actions.Outcome) -> str:
    if not (outcome.athletes or outcome.guardians or outcome.changed or outcome.barred):
        return _("Nothing changed: all of it was in the club already.")
    parts = [
        ngettext("%(n)d new athlete", "%(n)d new athletes", outcome.athletes) % {"n": outcome.athletes},
        ngettext("%(n)d new guardian", "%(n)d new guardians", outcome.guardians) % {"n": outcome.guardians},
        ngettext("%(n)d person changed", "%(n)d people changed", outcome.changed) % {"n": outcome.changed},
    ]
    if outcome.barred:
        parts.append(
            ngettext(
                "%(n)d guardian not tied, who must not collect the child",
                "%(n)d guardians not tied, who must not collect the child",
                outcome.barred,
            )
            % {"n": outcome.barred}
        )
    return _("Imported: %(parts)s.") % {"parts": ", ".join(parts)}


@page(Permission.PEOPLE_EDIT, "POST", roster=RosterDraft)
def drop_roster(request: HttpRequest, member: Member, roster: RosterDraft) -> HttpResponse:
    actions.drop_roster(by=member, draft=roster)
    messages.success(request, _("The file is thrown away. Nothing was imported."))
    return redirect("roster", club=member.club.slug)


@page(Permission.PEOPLE_EDIT, "POST")
def export_roster(request: HttpRequest, member: Member) -> HttpResponse:
    """By POST, because handing out the club's children is recorded."""
    lines = queries.export_lines(member, club_today(member.club))
    actions.note_export(by=member, rows=len(lines) - 1)
    text = io.StringIO(newline="")
    csv.writer(text).writerows(lines)
    answer = HttpResponse(("\ufeff" + text.getvalue()).encode(), content_type="text/csv; charset=utf-8")
    answer["Content-Disposition"] = f'attachment; filename="{member.club.slug}-roster.csv"'
    return answer
