"""A practice's plan: its rows read once, as values for the rules, in a fixed number of queries."""

from collections import Counter
from collections.abc import Iterable
from dataclasses import dataclass, field
from datetime import date
from functools import reduce
from operator import or_
from uuid import UUID

from django.db.models import Q, QuerySet

from athletes.models import Athlete, Restriction
from athletes.queries.jumping import Cleared, cleared
from athletes.queries.standing import Stands, stands
from club.members import Member
from club.models import Area, Membership
from drills.core.catalogue import AdultLevel, AreaKind, PoleNeed, RiskClass, Surface, SurfaceVerdict
from drills.models import Activity, Drill, LoadClass, SafetyText
from sessions.practices.core import plan as values
from sessions.practices.core.clock import age_on
from sessions.practices.models import (
    AdultPresence,
    Assignment,
    Attendance,
    Block,
    CannotCome,
    PlannedWork,
    Practice,
    Station,
)

LEVELS = {
    Membership.AdultLevel.CONTACT: AdultLevel.CONTACT,
    Membership.AdultLevel.FLOOR: AdultLevel.FLOOR,
    Membership.AdultLevel.PRESENT: AdultLevel.NONE,
}


@dataclass(frozen=True, slots=True)
class PlanRows:
    """The rows of one practice. labels: what each athlete is called there, by id. away: said that they cannot come."""

    practice: Practice
    blocks: list[Block]
    stations: list[Station]
    assignments: list[Assignment]
    athletes: list[Athlete]
    restrictions: list[Restriction]
    attendances: dict[object, str]
    adults: list[values.Adult]
    drills: list[Drill]
    activities: list[Activity]
    labels: dict[object, str]
    stands: Stands
    cleared: dict[UUID, list[Cleared]] = field(default_factory=dict)
    away: frozenset[object] = frozenset()
    planned: list[PlannedWork] = field(default_factory=list)


def read(member: Member, practice: Practice) -> PlanRows:
    """Everything a plan consists of, as the member may see it."""
    assignments = (
        Assignment.objects.for_member(member)
        .filter(block__practice=practice)
        .select_related("drill__load", "activity__load", "block")
        .order_by("block__number", "order", "pk")
    )
    athletes, states = expected(member, practice), attendance_states(member, practice)
    return PlanRows(
        practice=practice,
        blocks=list(Block.objects.for_member(member).filter(practice=practice)),
        stations=list(Station.objects.for_member(member).filter(practice=practice).select_related("area", "run_by")),
        assignments=list(assignments),
        athletes=athletes,
        restrictions=restrictions(member, practice.day, athletes),
        attendances=states,
        adults=adults_there(member, practice),
        drills=list(Drill.objects.for_member(member).filter(retired=False).select_related("load", "stage")),
        activities=list(Activity.objects.for_member(member).filter(retired=False).select_related("load")),
        labels=labels(athletes),
        stands=stands(member, athletes),
        cleared=cleared(member, athletes, practice.day),
        planned=list(
            PlannedWork.objects.for_member(member).filter(block__practice=practice).select_related("drill", "activity")
        ),
        away=cannot_come(member, practice) - states.keys(),
    )


def expected(member: Member, practice: Practice) -> list[Athlete]:
    """The athletes of the practice's squads, whoever came besides, and whoever has a place; by name."""
    in_club = Q(left_on__isnull=True) | Q(left_on__gt=practice.day)
    rows = Athlete.objects.for_member(member)
    ways = (  # each on its own: joined together they would multiply everybody's history
        rows.filter(in_club, squads__practices=practice),
        rows.filter(guest_at=practice),
        rows.filter(attendances__practice=practice),
        rows.filter(assignments__block__practice=practice),
    )
    who = reduce(or_, (Q(pk__in=way.values("pk")) for way in ways))
    found = rows.filter(who).select_related("person")
    return list(found.order_by("person__given_name", "person__family_name", "pk"))


def guests(member: Member, practice: Practice) -> QuerySet[Athlete]:
    """Those of other squads who were asked to come."""
    rows = Athlete.objects.for_member(member).filter(guest_at=practice).select_related("person")
    return rows.order_by("person__given_name", "person__family_name", "pk")


def may_be_guests(member: Member, practice: Practice) -> QuerySet[Athlete]:
    """Everybody in the club on that day who is not expected anyway."""
    in_club = Q(left_on__isnull=True) | Q(left_on__gt=practice.day)
    rows = Athlete.objects.for_member(member).filter(in_club).select_related("person")
    rows = rows.exclude(pk__in=[athlete.pk for athlete in expected(member, practice)])
    return rows.order_by("person__given_name", "person__family_name", "pk")


def labels(athletes: Iterable[Athlete]) -> dict[object, str]:
    """Given names; with the letter of the family name where two share one."""
    shared = Counter(athlete.person.given_name for athlete in athletes)
    return {
        athlete.pk: athlete.person.given_name if shared[athlete.person.given_name] == 1 else athlete.person.short_name
        for athlete in athletes
    }


def restrictions(member: Member, day: date, athletes: Iterable[Athlete]) -> list[Restriction]:
    """Those in force on that day, in order of their first day."""
    rows = Restriction.objects.for_member(member).filter(Restriction.binding_on(day))
    return list(rows.filter(athlete__in=[athlete.pk for athlete in athletes]).order_by("starts_on", "pk"))


def attendance_states(member: Member, practice: Practice) -> dict[object, str]:
    """State by athlete id, for those of whom something was recorded."""
    rows = Attendance.objects.for_member(member).filter(practice=practice)
    return dict(rows.values_list("athlete_id", "state"))


def cannot_come(member: Member, practice: Practice) -> frozenset[object]:
    """Ids of the athletes of whom it was said beforehand. What is recorded at the practice itself wins over it."""
    rows = CannotCome.objects.for_member(member).filter(practice=practice)
    return frozenset(rows.values_list("athlete_id", flat=True))


def adults_there(member: Member, practice: Practice) -> list[values.Adult]:
    """Adults named for the practice who have not left it, each with the highest level they hold."""
    rows = AdultPresence.objects.for_member(member).filter(practice=practice, left_at__isnull=True)
    there = {row.person_id: row.person for row in rows.select_related("person").order_by("person__given_name", "pk")}
    held = adult_levels(member, there)
    names = Counter(person.given_name for person in there.values())
    return [
        values.Adult(str(pk), person.given_name if names[person.given_name] == 1 else person.short_name, held[pk])
        for pk, person in there.items()
        if pk in held
    ]


def adult_levels(member: Member, people: Iterable[object]) -> dict[object, AdultLevel]:
    """The highest level of each of these persons who have one."""
    rows = Membership.objects.for_member(member).filter(person__in=list(people), left_on__isnull=True)
    held: dict[object, AdultLevel] = {}
    for person, level in rows.exclude(adult_level="").values_list("person_id", "adult_level"):
        found = LEVELS[Membership.AdultLevel(level)]
        held[person] = max(held.get(person, AdultLevel.NONE), found, key=values.LEVELS.index)
    return held


def as_plan(rows: PlanRows) -> values.Plan:
    """The rows as values for ``core.rules.check``."""
    works = {work.key: work for work in (*map(drill_work, rows.drills), *map(activity_work, rows.activities))}
    for row in rows.assignments:  # what was retired since stays readable in old plans
        work = drill_work(row.drill) if row.drill else activity_work(row.activity)
        works.setdefault(work.key, work)
    return values.Plan(
        blocks=tuple(values.BlockSpan(block.number, block.minutes) for block in rows.blocks),
        stations=tuple(map(station_place, rows.stations)),
        adults=tuple(rows.adults),
        vaulters=tuple(_vaulters(rows)),
        works=tuple(works.values()),
        placings=tuple(placing(row) for row in rows.assignments),
    )


def _vaulters(rows: PlanRows) -> Iterable[values.Vaulter]:
    excluded: dict[object, set[RiskClass]] = {}
    for restriction in rows.restrictions:
        excluded.setdefault(restriction.athlete_id, set()).update(restriction.excluded)
    for athlete in rows.athletes:
        state, born = rows.attendances.get(athlete.pk), athlete.person.birth_date
        opened = {drill.key: rows.stands.of(athlete.pk, drill).is_open for drill in rows.drills}
        holding = [one for one in rows.cleared.get(athlete.pk, []) if one.holds]
        jumps = {_activity_key(one.row.activity) for one in holding}
        ready = {_activity_key(one.row.activity) for one in holding if not one.due}
        contact = {
            f"drill:{drill.key}" for drill in rows.drills if drill.risk == RiskClass.CONTACT and opened[drill.key]
        }
        yield values.Vaulter(
            key=str(athlete.pk),
            name=rows.labels[athlete.pk],
            excludes=frozenset(excluded.get(athlete.pk, ())),
            touched=frozenset(contact | jumps),
            due=frozenset(jumps - ready),
            shut=frozenset(f"drill:{key}" for key, is_open in opened.items() if not is_open),
            out=state == Attendance.State.OUT,
            absent=state == Attendance.State.ABSENT or athlete.pk in rows.away,
            under_14=born is not None and age_on(rows.practice.day, born) < 14,
        )


def _activity_key(activity: Activity | None) -> str:
    return f"activity:{activity.key}" if activity else ""


def placing(row: Assignment) -> values.Placing:
    work = f"drill:{row.drill.key}" if row.drill else _activity_key(row.activity)
    station = str(row.station_id) if row.station_id else None
    return values.Placing(row.block.number, str(row.athlete_id), work, station, row.steps)


def station_place(station: Station) -> values.StationPlace:
    area = station.area
    adult = str(station.run_by_id) if station.run_by_id else None
    return values.StationPlace(str(station.pk), area.name, AreaKind(area.kind), area.surface, area.places, adult)


def drill_work(drill: Drill) -> values.Work:
    return values.Work(
        key=f"drill:{drill.key}",
        name=drill.name,
        kind="drill",
        family=drill.family,
        areas=frozenset(map(AreaKind, drill.areas)),
        adult=AdultLevel(drill.adult),
        places=drill.places,
        risk=RiskClass(drill.risk),
        verdicts={Surface(rule["surface"]): SurfaceVerdict(rule["verdict"]) for rule in drill.surfaces},
        slides=drill.slides,
        steps=tuple(drill.steps),
        seconds_a_turn=drill.seconds_a_turn,
        least_turns=drill.least_turns,
        load=_load(drill.load),
        poles=PoleNeed(drill.poles),
    )


def activity_work(activity: Activity) -> values.Work:
    """An activity that needs an adult of contact level or a clearance counts as contact for restrictions."""
    contact = activity.adult == AdultLevel.CONTACT or activity.needs_clearance
    return values.Work(
        key=_activity_key(activity),
        name=activity.name,
        kind="activity",
        family=_activity_key(activity),
        areas=frozenset(map(AreaKind, activity.areas)),
        adult=AdultLevel(activity.adult),
        places=activity.places,
        risk=RiskClass.CONTACT if contact else RiskClass.MOVING if activity.load else None,
        load=_load(activity.load),
        needs_clearance=activity.needs_clearance,
        job=activity.job,
        poles=PoleNeed(activity.poles),
    )


def _load(load: LoadClass | None) -> values.LoadLimit | None:
    if load is None:
        return None
    return values.LoadLimit(
        load.key, load.name, load.reps_a_practice, load.reps_a_practice_under_14, load.days_a_week, load.rest_days
    )


def areas_left(member: Member, practice: Practice) -> QuerySet[Area]:
    """Areas of the venue in which no station stands yet."""
    rows = Area.objects.for_member(member).filter(venue_id=practice.venue_id)
    return rows.exclude(pk__in=Station.objects.for_member(member).filter(practice=practice).values("area"))


def safety_texts(member: Member) -> dict[str, SafetyText]:
    return {text.key: text for text in SafetyText.objects.for_member(member).filter(retired=False)}
