"""Summaries as their readers see them: the head coach before they go out, the athlete and the guardians after."""

from dataclasses import dataclass
from datetime import datetime, timedelta

from django.db.models import QuerySet

from athletes.models import Athlete
from club.members import Member
from club.models import Person
from sessions.summaries import words
from sessions.summaries.models import Summary

MAY_TAKE_BACK_FOR = timedelta(minutes=30)


@dataclass(frozen=True, slots=True)
class Shown:
    """A summary in the reader's language."""

    row: Summary
    title: str
    parts: tuple[words.Part, ...]


def shown(row: Summary) -> Shown:
    """Needs the athlete's person; no query where that is selected."""
    name = row.athlete.person.given_name
    facts = row.value()
    parts = words.parts(
        facts,
        words.Names.from_row(row.names),
        words.About(name, row.athlete.hand),
        own_words=row.own_words,
        left_out=frozenset(row.left_out),
    )
    return Shown(row, words.title(facts, name), tuple(parts))


def _rows(member: Member) -> QuerySet[Summary]:
    return Summary.objects.for_member(member).select_related("athlete__person", "approved_by", "club")


def waiting(member: Member) -> QuerySet[Summary]:
    """Drafts, by name."""
    rows = _rows(member).filter(approved_at__isnull=True, athlete__left_on__isnull=True)
    return rows.order_by("athlete__person__given_name", "athlete__person__family_name", "pk")


def approved_of_late(member: Member, now: datetime) -> list[Summary]:
    """Those that can be taken back in one touch, newest first."""
    rows = _rows(member).filter(approved_at__gt=now - MAY_TAKE_BACK_FOR)
    return list(rows.order_by("-approved_at", "athlete__person__given_name"))


def of_athlete(member: Member, athlete: Athlete) -> list[Summary]:
    """Approved ones, newest first."""
    return list(_rows(member).filter(athlete=athlete, approved_at__isnull=False).order_by("-until")[:6])


def other_children(member: Member, athlete: Athlete) -> list[str]:
    """Given names of everybody else who vaults here: none of them may stand in a summary."""
    people = Person.objects.for_member(member).filter(
        athlete_profiles__club=member.club, athlete_profiles__left_on__isnull=True
    )
    own = athlete.person.given_name.casefold()
    names = people.exclude(pk=athlete.person_id).values_list("given_name", flat=True).distinct()
    return [name for name in names if name.casefold() != own]
