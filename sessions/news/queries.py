"""What there is to tell, and to whom."""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import datetime
from uuid import NAMESPACE_URL, uuid5

from athletes.models import Athlete
from club.models import Club, Person
from sessions.news.core import Facts, What, over, what_changed
from sessions.news.models import Untold
from sessions.practices.models import Practice


@dataclass(frozen=True, slots=True)
class News:
    """One practice that changed. what: None where nobody needs to hear of it."""

    practice: Practice
    what: What | None
    before: Facts
    now: Facts


def facts(practice: Practice) -> Facts:
    on = practice.cancelled_at is None
    return Facts(practice.day, practice.starts, practice.ends, practice.venue.name, on)


def news(club: Club, now: datetime) -> list[News]:
    """What was not told yet, the soonest first."""
    rows = Untold.objects.for_club(club).select_related("practice__venue", "practice__club")
    rows = rows.prefetch_related("practice__squads__athletes__person", "practice__adults__person")
    found = [_one(row, now) for row in rows]
    return sorted(found, key=lambda one: (one.now.day, one.now.starts, one.practice.pk))


def _one(row: Untold, now: datetime) -> News:
    practice = row.practice
    before, current = Facts(row.day, row.starts, row.ends, row.venue, row.on), facts(practice)
    gone = all(over(one, practice.zone, now) for one in (before, current))
    return News(practice, None if gone else what_changed(before, current), before, current)


def expected(told: Iterable[News]) -> list[tuple[Athlete, list[News]]]:
    """Athletes of the squads, each with what changed for them, in a fixed order."""
    found: dict[Athlete, list[News]] = {}
    for one in told:
        athletes = {athlete for squad in one.practice.squads.all() for athlete in squad.athletes.all()}
        for athlete in athletes if one.what else ():
            if athlete.left_on is None:
                found.setdefault(athlete, []).append(one)
    return sorted(found.items(), key=lambda pair: str(pair[0].pk))


def adults(told: Iterable[News]) -> list[tuple[Person, list[News]]]:
    """Coaches who were to be there, each with what changed for them, in a fixed order."""
    found: dict[Person, list[News]] = {}
    for one in told:
        for adult in one.practice.adults.all() if one.what else ():
            found.setdefault(adult.person, []).append(one)
    return sorted(found.items(), key=lambda pair: str(pair[0].pk))


def key(told: Sequence[News]) -> str:
    """The same for the same changes of the same practices: what was told once is not told twice."""
    said = " ".join(f"{one.practice.pk}:{one.practice.sequence}" for one in told)
    return uuid5(NAMESPACE_URL, said).hex


def athletes(club: Club) -> list[Athlete]:
    rows = Athlete.objects.for_club(club).filter(left_on__isnull=True).select_related("person")
    return list(rows.order_by("pk"))
