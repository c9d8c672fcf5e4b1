"""The whole club as one file."""

from django.http import FileResponse, HttpRequest, HttpResponse, HttpResponseBase
from django.shortcuts import render

from club import archive
from club.doors import page
from club.members import Member
from club.roles import Permission


@page(Permission.ARCHIVE_TAKE, "GET", "POST")
def club_archive(request: HttpRequest, member: Member) -> HttpResponseBase:
    """What is in it; by POST the file, because handing out the whole club is recorded."""
    if request.method != "POST":
        return _about(request)
    name = f"{member.club.slug}-archive.jsonl"
    return FileResponse(
        archive.take_out(by=member), as_attachment=True, filename=name, content_type="application/jsonl"
    )


def _about(request: HttpRequest) -> HttpResponse:
    return render(request, "club/archive.html")
