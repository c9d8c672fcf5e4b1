"""What is left of a practice once it is over: in the order in which a coach goes through it in two minutes."""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime

from django.db.models import Count

from athletes.models import Athlete
from club.members import Member
from club.roles import Permission
from sessions.boards.queries.advice import Advised, Asked, advice_list
from sessions.boards.queries.squad import restrictions
from sessions.boards.words import listed
from sessions.practices.models import Departure, Incident, KitFault, Practice
from sessions.practices.queries.checks import broken_kit
from sessions.practices.queries.incidents import of_practice
from sessions.practices.queries.pick_up import athletes_there
from sessions.reps.models import Look, Rep, RepNote
from sessions.reps.queries import needs_a_look


@dataclass(frozen=True, slots=True)
class Unseen:
    """Somebody who was there and of whom nobody watched a rep. done: reps all the same."""

    athlete: Athlete
    done: int


@dataclass(frozen=True, slots=True)
class DrillDone:
    """Who came for a drill, and how many reps they did together."""

    name: str
    who: str
    reps: int


@dataclass(frozen=True, slots=True)
class WrapUp:
    """asked, undecided: what the member may decide at one touch."""

    here: int
    came: int
    drills: tuple[DrillDone, ...]
    unseen: tuple[Unseen, ...]
    asked: tuple[Asked, ...]
    undecided: tuple[Advised, ...]
    looks: int
    incidents: tuple[Incident, ...]
    broken: tuple[KitFault, ...]
    notes: tuple[RepNote, ...]


def wrap_up(member: Member, practice: Practice, now: datetime) -> WrapUp:
    """The number of queries is fixed, whatever was done before this practice."""
    there = athletes_there(member, practice)
    today = now.date()
    advice = advice_list(member, there, today, restrictions(member, today), now)
    return WrapUp(
        here=_still_here(member, practice, there),
        came=len(there),
        drills=_drills(member, practice, there),
        unseen=_unseen(member, practice, there),
        asked=tuple(one for one in advice.asked if one.acts),
        undecided=tuple(one for one in (*advice.ahead, *advice.settled, *advice.easier) if one.stand.acts),
        looks=needs_a_look(member.acting(Permission.REPS_CORRECT), practice).count(),
        incidents=tuple(of_practice(member.acting(Permission.INCIDENT_READ), practice, now)),
        broken=tuple(broken_kit(member, practice.venue)),
        notes=_notes(member, practice),
    )


def _still_here(member: Member, practice: Practice, there: Sequence[Athlete]) -> int:
    rows = Departure.objects.for_member(member).filter(practice=practice, taken_back_at__isnull=True)
    gone = set(rows.values_list("athlete", flat=True))
    return sum(athlete.pk not in gone for athlete in there)


def _unseen(member: Member, practice: Practice, there: Sequence[Athlete]) -> tuple[Unseen, ...]:
    looks = Look.objects.for_member(member).filter(rep__practice=practice, watch_set__watched__isnull=False)
    seen = set(looks.exclude(rep__state=Rep.State.VOID).order_by().values_list("rep__athlete", flat=True).distinct())
    reps = Rep.objects.for_member(member).filter(practice=practice).exclude(state=Rep.State.VOID).order_by()
    done = dict(reps.values_list("athlete").annotate(Count("pk")))
    return tuple(Unseen(athlete, done.get(athlete.pk, 0)) for athlete in there if athlete.pk not in seen)


def _drills(member: Member, practice: Practice, there: Sequence[Athlete]) -> tuple[DrillDone, ...]:
    reps = Rep.objects.for_member(member).filter(practice=practice).exclude(state=Rep.State.VOID).order_by()
    names = {athlete.pk: str(athlete) for athlete in there}
    found: dict[str, dict[str, int]] = {}
    rows = reps.values_list("drill__name", "athlete").annotate(Count("pk"))
    for drill, athlete, count in rows.order_by("drill__stage__number", "drill__order", "drill__name"):
        found.setdefault(drill, {})[names.get(athlete, "")] = count
    return tuple(DrillDone(drill, listed(sorted(who)), sum(who.values())) for drill, who in found.items())


def _notes(member: Member, practice: Practice) -> tuple[RepNote, ...]:
    """Those that the athlete will read once the practice is released."""
    rows = RepNote.objects.for_member(member).filter(practice=practice, reader=RepNote.Reader.ATHLETE)
    return tuple(rows.select_related("athlete__person", "by").order_by("at", "pk"))
