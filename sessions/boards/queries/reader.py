"""What an athlete and their guardians read. Only published practices, only what a coach released, only their own."""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace
from datetime import date, datetime, time, timedelta
from uuid import UUID

from django.db.models import Prefetch, Q, QuerySet, Sum

from athletes.models import Athlete, Restriction
from club.core.run_strip import STEPS
from club.members import Member
from club.models import Guardianship
from drills.core.strip import Strip, drill_strip
from drills.models import Drill, SafetyText
from sessions.boards import reader_words, words
from sessions.boards.core import is_over
from sessions.boards.models import MovedFrom
from sessions.boards.queries.came import whether_came
from sessions.practices.models import Assignment, CannotCome, Practice
from sessions.reps.models import Rep, RepNote
from sessions.trends.models import DayDrill, DayFault

SHOWN_DATES = 4
SHOWN_BLOCKS = 10
WORKED_ON_DAYS = 14
CUE_DAYS = 28


def own_athlete(member: Member) -> Athlete | None:
    """The member's own profile as an athlete of the club."""
    rows = Athlete.objects.for_member(member).filter(left_on__isnull=True, person=member.person)
    return rows.select_related("person").first()


def children(member: Member) -> list[Athlete]:
    """The member's children who vault here, by name."""
    rows = Athlete.objects.for_member(member).filter(left_on__isnull=True).select_related("person")
    return list(rows.order_by("person__given_name", "person__family_name", "pk"))


def may_collect(member: Member, athlete: Athlete) -> bool:
    """Whether this guardian's own tie lets them collect the child. One query."""
    ties = Guardianship.objects.for_member(member).filter(guardian=member.person, child=athlete.person_id)
    return ties.filter(may_collect=True, barred=False).exists()


# Dates


@dataclass(frozen=True, slots=True)
class DateLine:
    id: UUID
    day: date
    starts: time
    ends: time
    venue: str
    address: str
    bring: str
    cancelled: bool
    with_whom: str
    away: bool = False
    moved: MovedFrom | None = None


def coming(member: Member, athlete: Athlete, now: datetime) -> list[DateLine]:
    """The athlete's published practices that are not over, soonest first, cancelled ones among them.

    away: it was said that they cannot come. moved: where it was.
    """
    # A practice of another zone may be tomorrow's or yesterday's by the club's calendar.
    rows = _practices_of(member, athlete).filter(day__gte=now.date() - timedelta(days=1)).order_by("day", "starts")
    found = rows.select_related("venue").prefetch_related("adults__person")
    lines = [row for row in found[: 4 * SHOWN_DATES] if not is_over(row.day, row.ends, row.zone, now)]
    said = CannotCome.objects.for_member(member).filter(athlete=athlete, practice__in=lines)
    away = set(said.values_list("practice", flat=True))
    rows = MovedFrom.objects.for_member(member).filter(practice__in=lines).select_related("venue")
    moved = {row.practice_id: row for row in rows}
    return [_date_line(row, row.pk in away, moved.get(row.pk)) for row in lines[:SHOWN_DATES]]


def _practices_of(member: Member, athlete: Athlete) -> QuerySet[Practice]:
    theirs = Q(squads__athletes=athlete) | Q(attendances__athlete=athlete) | Q(guests=athlete)
    return Practice.objects.for_member(member).filter(theirs, published_at__isnull=False).distinct()


def _date_line(row: Practice, away: bool, moved: MovedFrom | None) -> DateLine:
    return DateLine(
        id=row.pk,
        day=row.day,
        starts=row.starts,
        ends=row.ends,
        venue=row.venue.name,
        address=row.venue.address,
        bring=row.bring,
        cancelled=row.cancelled_at is not None,
        with_whom=words.listed([one.person.given_name for one in row.adults.all()]),
        away=away,
        moved=moved,
    )


# What to do


@dataclass(frozen=True, slots=True)
class Cue:
    """say: what a coach calls, "" where there is no reason to call anything; do: what it means. step: on the strip."""

    say: str
    do: str
    step: int | None
    phase: str


@dataclass(frozen=True, slots=True)
class Task:
    """One thing to do at a practice, a drill or an activity."""

    name: str
    place: str
    starts: time
    purpose: str
    how: tuple[str, ...]
    dose: str
    strip: Strip | None
    flag: str
    size: str
    foot_words: str
    strip_words: str
    cues: tuple[Cue, ...]
    safety: tuple[str, ...]

    @property
    def lit(self) -> str:
        """The one step to think about, or all that the drill is about."""
        return self.flag or (self.strip.lit if self.strip else "")


def tasks(member: Member, athlete: Athlete, practice_id: UUID, today: date) -> list[Task]:
    """The athlete's own assignments, in order of the blocks. A fixed number of queries."""
    drills = Drill.objects.for_member(member).prefetch_related("offers__checkpoint__faults")
    rows = Assignment.objects.for_member(member).filter(athlete=athlete, block__practice=practice_id)
    rows = rows.select_related("block", "station__area", "activity").prefetch_related(Prefetch("drill", drills))
    found = list(rows.order_by("block__number", "order", "pk"))
    shown = _faults_released(member, athlete, today) if found else {}
    texts = {text.key: text.text for text in SafetyText.objects.for_member(member)} if found else {}
    return [_task(row, athlete, shown, texts) for row in found]


def _task(row: Assignment, athlete: Athlete, shown: dict[int, int], texts: dict[str, str]) -> Task:
    drill = row.drill
    place = row.station.area.name if row.station else ""
    if drill is None:
        about = row.activity
        safety = _safety(about.safety, texts)
        return Task(about.name, place, row.block.starts, about.about, (), "", None, "", "", "", "", (), safety)
    runs = bool(row.steps or drill.steps)
    cues = tuple(cue if runs else replace(cue, step=None) for cue in _cues(drill, shown))
    step = next((cue.step for cue in cues if cue.step), None)
    strip = drill_strip(drill, row.steps)
    return Task(
        name=drill.name,
        place=place,
        starts=row.block.starts,
        purpose=drill.purpose,
        how=tuple(drill.how),
        dose=drill.dose,
        strip=strip if runs else _standing(strip),
        flag=str(step or ""),
        size="phone" if runs else "still",
        foot_words=reader_words.foot_sentence(athlete.hand, step) if runs else "",
        strip_words=reader_words.strip_label(athlete.hand, step) if runs else reader_words.still_label(),
        cues=cues,
        safety=_safety(drill.safety, texts),
    )


def _standing(strip: Strip) -> Strip:
    """Of a drill without steps: what it is not about is not part of it, and there is no run that ends at a box."""
    lit = strip.lit.split()
    return replace(strip, off=" ".join(place for place in ("carry", "drop", "plant", "contact") if place not in lit))


def _safety(keys: Iterable[str], texts: dict[str, str]) -> tuple[str, ...]:
    return tuple(texts[key] for key in keys if key in texts)


def _cues(drill: Drill, shown: dict[int, int]) -> Iterable[Cue]:
    """One for each gate checkpoint: the coach's cue where a fault of it was seen and released, else what good is.
    "Sooner" to somebody who was never late would be wrong."""
    for offer in drill.offers.all():
        if offer.gate:
            point = offer.checkpoint
            faults = sorted(point.faults.all(), key=lambda fault: (-shown.get(fault.pk, 0), fault.order))
            said = faults[0].cues[0] if faults and shown.get(faults[0].pk) and faults[0].cues else ""
            steps = [int(cell) for cell in map(str, point.cells) if cell in map(str, STEPS)]
            yield Cue(said, offer.good or point.good, steps[0] if steps else None, point.phase)


def _faults_released(member: Member, athlete: Athlete, today: date) -> dict[int, int]:
    """How often each fault was seen of late, on released days; it chooses the cue and is never shown."""
    rows = DayFault.objects.for_member(member).filter(athlete=athlete, day__gt=today - timedelta(days=CUE_DAYS))
    rows = rows.filter(day__in=_released_days(member, athlete)).exclude(day__in=_unreleased_days(member, athlete))
    return dict(rows.values_list("fault").annotate(Sum("n")))


# After the coach's release


def _released(member: Member, athlete: Athlete) -> QuerySet[Practice]:
    rows = _practices_of(member, athlete).filter(released_at__isnull=False, cancelled_at__isnull=True)
    return rows.order_by("-day", "-starts", "-pk")


def _released_days(member: Member, athlete: Athlete) -> QuerySet[Practice]:
    return _released(member, athlete).order_by().values("day")


def _unreleased_days(member: Member, athlete: Athlete) -> QuerySet[Rep]:
    """Day counts hold a whole day: with two practices on it, one unreleased keeps the day closed."""
    rows = Rep.objects.for_member(member).filter(athlete=athlete, practice__released_at__isnull=True)
    return rows.order_by().values("day")


@dataclass(frozen=True, slots=True)
class Worked:
    """One released day: the drills in order, with turns for the athlete's own eyes. came: None if nobody noted it."""

    day: date
    came: bool | None
    drills: tuple[str, ...]
    turns: tuple[str, ...]
    phases: tuple[str, ...]

    @property
    def rows(self) -> list[tuple[str, str]]:
        return list(zip(self.drills, self.turns, strict=True))


def worked_on(member: Member, athlete: Athlete, since: date | None = None) -> list[Worked]:
    """Released practices, newest first: all since that day, or without one the last. Five queries."""
    rows = _released(member, athlete).exclude(day__in=_unreleased_days(member, athlete))
    rows = rows.filter(day__gte=since) if since else rows[:1]
    practices = list(rows)
    known = whether_came(member, athlete, practices)
    done = DayDrill.objects.for_member(member).filter(athlete=athlete, day__in=[row.day for row in practices])
    counts = list(done.filter(done__gt=0).select_related("drill").order_by("drill__stage__number", "drill__order"))
    days = dict.fromkeys(row.day for row in practices)
    return [
        _worked(day, [row for row in counts if row.day == day], [known[row.pk] for row in practices if row.day == day])
        for day in days
    ]


def _worked(day: date, counts: Sequence[DayDrill], known: Sequence[bool | None]) -> Worked:
    """known: of each practice of the day. They were not there if that holds for each of them."""
    there = True if True in known else None if None in known else False
    return Worked(
        day=day,
        came=there,
        drills=tuple(row.drill.name for row in counts),
        turns=tuple(reader_words.turns_words(row.done) for row in counts),
        phases=tuple({phase: None for row in counts for phase in row.drill.phases}),
    )


def came_of_late(member: Member, athlete: Athlete) -> tuple[bool | None, ...]:
    """The last released practices, newest last; None: nobody noted who came. Four queries."""
    practices = list(_released(member, athlete)[:SHOWN_BLOCKS])
    known = whether_came(member, athlete, practices)
    return tuple(known[row.pk] for row in reversed(practices))


@dataclass(frozen=True, slots=True)
class Note:
    day: date
    by: str
    text: str


def notes(member: Member, athlete: Athlete, since: date) -> list[Note]:
    """Written for the athlete and released, newest first."""
    rows = RepNote.objects.for_member(member).filter(
        athlete=athlete,
        reader=RepNote.Reader.ATHLETE,
        practice__released_at__isnull=False,
        practice__day__gte=since,
    )
    shown = rows.select_related("by", "practice").order_by("-practice__day", "-at", "-pk")
    return [Note(row.practice.day, row.by.given_name, row.text) for row in shown]


def own_restrictions(member: Member, athlete: Athlete, today: date) -> list[str]:
    """What is excluded and until when, to the athlete and the guardians. Why is told by a coach, not by a page."""
    rows = Restriction.objects.for_member(member).filter(Restriction.binding_on(today), athlete=athlete)
    return [
        words.restriction_sentence(row.what, row.ends_on, row.needs_clearance, tells_why=True)
        for row in rows.order_by("starts_on", "pk")
    ]
