"""What athletes leave out of a club's archive, and what must hold of one that was loaded."""

from collections.abc import Iterator

from django.db.models import F, Q

from athletes.models import AthleteBook, BookDay, Decision, Readiness, ReadinessDay, RosterDraft, Standing
from club import archive
from club.models import Club

archive.leave_out("a file that somebody has not decided about yet", RosterDraft)
archive.leave_out("worked out again from reps and decisions", Readiness, ReadinessDay, Standing, AthleteBook, BookDay)


@archive.checks("decisions")
def taken_back_once(club: Club) -> Iterator[str]:
    """What takes back is not taken back itself, and is about the same athlete and drill."""
    rows = Decision.objects.for_club(club).filter(takes_back__isnull=False)
    same = Q(athlete=F("takes_back__athlete"), drill=F("takes_back__drill"))
    wrong = rows.exclude(same) | rows.filter(takes_back__kind=Decision.Kind.TAKEN_BACK)
    return (f"athletes.decision {pk}: takes back what it cannot" for pk in wrong.values_list("pk", flat=True))
