"""What a change of a drill means for the athletes who practise it."""

from django.utils.translation import ngettext

from athletes.models import Readiness
from club.members import Member
from drills.changes import says_effects
from drills.models import Drill


@says_effects("readiness")
def figures_made_anew(member: Member, drill: Drill) -> str:
    """One query."""
    count = Readiness.objects.for_member(member).filter(drill=drill, reps__gt=0).count()
    if not count:
        return ""
    return ngettext(
        "%(count)d athlete has figures here. All their reps are judged anew by the new gate; where it was not watched, "
        "a rep counts as done, not as seen.",
        "%(count)d athletes have figures here. All their reps are judged anew by the new gate; where it was not "
        "watched, a rep counts as done, not as seen.",
        count,
    ) % {"count": count}
