"""Reps, attendance and decisions as tables for a spreadsheet."""

import csv
from collections.abc import Iterator

from django.http import HttpRequest, HttpResponseBase, StreamingHttpResponse
from django.shortcuts import render

from club.doors import page
from club.members import Member
from club.roles import Permission
from sessions.boards import actions
from sessions.boards.forms import TableForm
from sessions.boards.queries import tables


class _Echo:
    """A file that hands on what is written to it."""

    def write(self, text: str) -> str:
        return text


@page(Permission.ARCHIVE_TAKE, "GET", "POST")
def club_tables(request: HttpRequest, member: Member) -> HttpResponseBase:
    """Which table and of which days; by POST the table, because handing out what is about children is recorded."""
    form = TableForm(request.POST if request.method == "POST" else None, initial={"table": "reps"})
    if request.method != "POST" or not form.is_valid():
        return render(request, "boards/tables.html", {"form": form}, status=422 if form.is_bound else 200)
    table, since, until = (form.cleaned_data[name] for name in ("table", "since", "until"))
    actions.note_table(by=member, table=table, since=since, until=until)
    answer = StreamingHttpResponse(_text(tables.TABLES[table](member, since, until)), content_type="text/csv")
    answer["Content-Disposition"] = f'attachment; filename="{member.club.slug}-{table}.csv"'
    return answer


def _text(lines: Iterator[tables.Line]) -> Iterator[bytes]:
    writer = csv.writer(_Echo())
    yield b"\xef\xbb\xbf"  # says UTF-8 to spreadsheets
    for line in lines:
        yield writer.writerow(line).encode()
