"""The question after a practice: which one is open, and what was answered."""

from datetime import datetime, timedelta

from athletes.models import Athlete
from club.members import Member
from sessions.boards.core import is_over
from sessions.boards.models import SelfCheck
from sessions.practices.models import Attendance, Practice

OPEN_DAYS = 7
SHOWN_ANSWERS = 4


def may_answer(practice: Practice, now: datetime) -> bool:
    """From its end for a week."""
    over = is_over(practice.day, practice.ends, practice.zone, now)
    recent = practice.day > now.date() - timedelta(days=OPEN_DAYS)
    return over and recent and practice.published_at is not None and practice.cancelled_at is None


def asked(member: Member, athlete: Athlete, now: datetime) -> Practice | None:
    """The latest practice that the athlete can answer about; none that they were noted as absent from. One query."""
    rows = Practice.objects.for_member(member).filter(
        published_at__isnull=False,
        cancelled_at__isnull=True,
        day__lte=now.date() + timedelta(days=1),
        day__gt=now.date() - timedelta(days=OPEN_DAYS),
    )
    missed = Attendance.objects.for_member(member).filter(athlete=athlete, state=Attendance.State.ABSENT)
    found = rows.exclude(pk__in=missed.values("practice")).distinct().order_by("-day", "-starts", "-pk")
    return next((row for row in found[:8] if may_answer(row, now)), None)


def self_check(member: Member, athlete: Athlete, practice: Practice) -> SelfCheck | None:
    return SelfCheck.objects.for_member(member).filter(athlete=athlete, practice=practice).first()


def self_checks(member: Member, athlete: Athlete) -> list[SelfCheck]:
    """What the athlete answered, newest first."""
    rows = SelfCheck.objects.for_member(member).filter(athlete=athlete).select_related("practice")
    return list(rows[:SHOWN_ANSWERS])
