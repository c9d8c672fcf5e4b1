"""The desk's page of a practice's tablets: what each was last heard of, and the file of one that cannot send."""

from django.http import HttpRequest, HttpResponse
from django.shortcuts import render

from club.clock import club_now
from club.doors import page
from club.members import Member
from club.roles import Permission
from sessions.practices.models import Practice
from sessions.reps.actions.files import take_file
from sessions.reps.core.files import MOST_BYTES, read_file
from sessions.reps.core.reading import Refused
from sessions.reps.words import message
from sessions.station.queries.devices import devices


@page(Permission.PRACTICE_RUN, practice=Practice)
def tablets(request: HttpRequest, member: Member, practice: Practice) -> HttpResponse:
    """Every device of the practice; the list comes again by itself."""
    fragment = request.headers.get("HX-Request") and "station/parts/devices.html"
    return render(request, fragment or "station/tablets.html", _shown(member, practice))


@page(Permission.REPS_CORRECT, "POST", practice=Practice)
def take_in_file(request: HttpRequest, member: Member, practice: Practice) -> HttpResponse:
    """Takes in a file that a tablet saved. A bad file is refused with the reason, and nothing of it is stored."""
    sent = request.FILES.get("file")
    shown = _shown(member, practice)
    try:
        saved = read_file(sent.read(MOST_BYTES + 1) if sent else b"")
    except Refused as refused:
        return render(request, "station/tablets.html", {**shown, "refused": message(refused.problem)}, status=422)
    taken = take_file(by=member, saved=saved)
    counts = {state: taken.count(state) for state in ("accepted", "duplicate", "kept", "rejected")}
    return render(request, "station/tablets.html", {**_shown(member, practice), "taken": taken, "counts": counts})


def _shown(member: Member, practice: Practice) -> dict[str, object]:
    return {"practice": practice, "devices": devices(member, practice, club_now(member.club))}
