"""What the boards offer after a change of the catalogue; ``drills.changes`` calls it by name."""

from django.urls import reverse

from club.clock import club_today
from club.members import Member
from club.roles import Permission
from drills.changes import offers_after
from drills.models import Drill
from sessions.boards.queries.in_drill import places


@offers_after("start over")
def start_over(member: Member, drill: Drill) -> str:
    """Only while somebody has figures there that a new gate or another run leaves behind."""
    if not member.may(Permission.DECIDE):
        return ""
    found = places(member.acting(Permission.READINESS_READ), drill, club_today(member.club))
    touched = any(place.counted for place in found)
    return reverse("drill_start_over", args=[member.club.slug, drill.key]) if touched else ""
