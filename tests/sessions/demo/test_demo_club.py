"""The invented club as it stands in the database: small here; the benchmark builds the whole one."""

import re
from collections import Counter, defaultdict
from collections.abc import Iterator
from io import StringIO

import pytest
from django.core.management import call_command
from django.db import transaction
from django.db.models import F, Sum

from athletes.models import Athlete, Decision, NotebookEntry, Pole
from club.models import Club, Duty, Guardianship, Membership, Person
from sessions.demo.actions import SMALL, make_demo_club
from sessions.demo.core.planning import JOB
from sessions.demo.people import SQUADS
from sessions.practices.models import (
    Assignment,
    Attendance,
    Departure,
    Incident,
    Practice,
    Station,
    StationCheck,
)
from sessions.practices.queries.calendar import starts_at
from sessions.reps.models import Device, Event, NeedsLook, Rep
from sessions.summaries.models import Summary
from sessions.trends.models import DayDrill

pytestmark = pytest.mark.django_db
Figures = list[tuple[object, ...]]


@pytest.fixture(scope="module")
def twice(django_db_setup: None, django_db_blocker: object) -> Iterator[tuple[Club, Figures]]:
    """The small club, and the figures of another one made of the same seed before it. Nothing is left behind."""
    with django_db_blocker.unblock():  # type: ignore[attr-defined]
        with transaction.atomic():
            before = figures(make_demo_club(size=SMALL))
            transaction.set_rollback(True)
        with transaction.atomic():
            yield make_demo_club(size=SMALL), before
            transaction.set_rollback(True)


@pytest.fixture
def club(twice: tuple[Club, Figures]) -> Club:
    return twice[0]


def figures(club: Club) -> Figures:
    rows = DayDrill.objects.for_club(club).order_by("athlete__person__given_name", "drill__key", "day")
    return list(rows.values_list("athlete__person__given_name", "drill__key", "day", "done", "counted", "good"))


def held(club: Club) -> list[Practice]:
    return list(Practice.objects.for_club(club).filter(events__isnull=False).distinct())


def test_the_same_seed_makes_the_same_figures(twice: tuple[Club, Figures]) -> None:
    club, before = twice
    assert figures(club) == before
    assert len(before) > 60


def test_nothing_is_left_to_count_and_every_figure_is_what_the_reps_say(club: Club) -> None:
    assert Duty.objects.for_club(club).exists()
    open_ = Duty.objects.for_club(club).filter(done__lt=F("asked"))
    assert not open_.exclude(kind="summary_mail").exists()  # those wait ten minutes, so that an approval can be undone
    for command in ("check_counts", "check_club"):
        said = StringIO()
        call_command(command, stdout=said)
        assert said.getvalue().strip() == "0"


def test_everything_sent_was_taken_and_nothing_waits_for_a_coach(club: Club) -> None:
    assert not NeedsLook.objects.for_club(club).exists()
    kinds = Counter(Event.objects.for_club(club).values_list("kind", flat=True))
    assert {"rep", "set", "attendance", "hold", "release", "note"} <= set(kinds)
    assert kinds["hold"] == kinds["release"]


def test_what_was_done_then_stands_then_however_wrong_the_devices_clock(club: Club) -> None:
    for event in Event.objects.for_club(club).select_related("practice"):
        begins = starts_at(event.practice)
        assert -360 <= (event.at - begins).total_seconds() <= 96 * 60
        assert begins < event.received_at and event.at <= event.received_at
    assert max(abs(device.clock_offset.total_seconds()) for device in Device.objects.for_club(club)) > 10


def test_every_vaulter_has_a_history_that_could_be(club: Club) -> None:
    for athlete in Athlete.objects.for_club(club):
        rows = DayDrill.objects.for_club(club).filter(athlete=athlete)
        sums = rows.aggregate(done=Sum("done"), counted=Sum("counted"), good=Sum("good"))
        came = Attendance.objects.for_club(club).filter(athlete=athlete).exclude(state="absent")
        assert 2 <= came.count() <= 9
        assert 4 * came.count() <= sums["done"] <= 18 * came.count()
        assert 0.35 <= sums["good"] / sums["counted"] <= 0.97
        days = set(came.values_list("practice__day", flat=True))
        assert set(rows.values_list("day", flat=True)) <= days


def test_reps_and_good_ones_are_about_as_many_as_said(club: Club) -> None:
    sums = DayDrill.objects.for_club(club).aggregate(done=Sum("done"), counted=Sum("counted"), good=Sum("good"))
    assert 300 <= sums["done"] <= 700
    assert 0.6 <= sums["counted"] / sums["done"] <= 0.95
    assert 0.55 <= sums["good"] / sums["counted"] <= 0.9
    assert Rep.objects.for_club(club).exclude(drill__risk="contact").count() == Rep.objects.for_club(club).count()


def test_past_practices_are_released_but_the_last_and_the_helper_logs_where_they_stand(club: Club) -> None:
    rows = sorted(held(club), key=lambda practice: practice.day)
    assert [bool(practice.released_at) for practice in rows] == [True] * (len(rows) - 1) + [False]
    assert all(practice.published_at < starts_at(practice) for practice in rows)
    by_helper = Event.objects.for_club(club).filter(by__memberships__role="helper", kind__in=("rep", "set"))
    assert {event.practice.stations.get(run_by=event.by).area.name for event in by_helper} == {"Infield"}


def test_todays_practice_is_published_and_everybody_has_a_place_in_every_block(club: Club) -> None:
    [today] = Practice.objects.for_club(club).filter(day=max(p.day for p in _with_blocks(club)))
    assert today.published_at and not today.released_at and not today.cancelled_at
    series = Practice.objects.for_club(club).filter(series=today.series)
    assert series.count() == 5 and all(practice.published_at for practice in series)
    doing: defaultdict[int, set[object]] = defaultdict(set)
    for row in Assignment.objects.for_club(club).filter(block__practice=today).select_related("activity", "block"):
        assert row.drill or row.activity.key == JOB
        doing[row.block.number].add(row.athlete_id)
    everybody = set(Athlete.objects.for_club(club).values_list("pk", flat=True))
    assert dict(doing) == {1: everybody, 2: everybody, 3: everybody}


def _with_blocks(club: Club) -> list[Practice]:
    return list(Practice.objects.for_club(club).filter(blocks__isnull=False).distinct())


def test_the_four_people_are_printed_with_a_link_each(club: Club) -> None:
    said = StringIO()
    call_command("load_demo", base_url="http://localhost:8000", stdout=said)
    lines = [line.split("\t") for line in said.getvalue().splitlines()]
    assert [(role, name) for role, name, _ in lines] == [
        ("head coach", "Marta Okoro"),
        ("assistant", "Aiko Reed"),
        ("athlete", "Nandi Kestrel"),
        ("guardian", "Thandi Kestrel"),
    ]
    assert all(link.startswith("http://localhost:8000/") and "#" in link for *_, link in lines)


def test_the_whole_club_has_twenty_four_in_two_squads_with_left_handers_brothers_and_two_households() -> None:
    vaulters = [vaulter for squad in SQUADS.values() for vaulter in squad]
    assert [len(squad) for squad in SQUADS.values()] == [12, 12]
    assert len({vaulter.given for vaulter in vaulters}) == 24
    assert sum(vaulter.hand == "left" for vaulter in vaulters) == 4
    assert {vaulter.age for vaulter in vaulters} == set(range(12, 19))
    families = Counter(vaulter.guardians for vaulter in vaulters)
    assert sorted(families.values())[-2:] == [1, 2]
    assert any(len({family for _, family in vaulter.guardians}) == 2 for vaulter in vaulters)


def test_a_child_with_two_households_has_two_guardians(club: Club) -> None:
    ties = Counter(Guardianship.objects.for_club(club).values_list("child__given_name", flat=True))
    assert ties["Kalea"] == 2 and ties["Nandi"] == 1
    levels = Membership.objects.for_club(club).exclude(adult_level="").values_list("adult_level", flat=True)
    assert sorted(levels) == ["contact", "contact", "floor", "present"]


def test_parents_of_those_who_practised_have_a_summary_to_read(club: Club) -> None:
    told = Summary.objects.for_club(club)
    assert told and not told.filter(approved_at__isnull=True).exists()
    first_day = told[0].since
    practised = DayDrill.objects.for_club(club).filter(day__range=(first_day, told[0].until), done__gt=0)
    assert set(told.values_list("athlete", flat=True)) == set(practised.values_list("athlete", flat=True))


def test_poles_bodies_notebooks_and_phones_are_there_and_no_grip_breaks_a_rule(club: Club) -> None:
    athletes = Athlete.objects.filter(club=club)
    assert Pole.objects.filter(club=club).exclude(why="").count() == 1 < Pole.objects.filter(club=club).count()
    for athlete in athletes:
        kinds = set(athlete.measurements.values_list("kind", flat=True))
        assert kinds == {"height", "standing_reach", "mass"} and athlete.notebook.count() == 3
    for entry in NotebookEntry.objects.filter(club=club).select_related("pole"):
        assert entry.pole.state == "in_use" and entry.grip_m < entry.pole.band_m
    guardians = Person.objects.filter(wards__club=club).distinct()
    assert all(re.fullmatch(r"07700 900\d{3}", one.phone) for one in guardians)
    assert len({one.phone for one in guardians}) == len(guardians)


def test_who_came_with_experience_is_placed_by_the_head_coach_on_record(club: Club) -> None:
    placed = {vaulter.given for members in SQUADS.values() for vaulter in members[: SMALL.each] if vaulter.placed}
    rows = Decision.objects.filter(club=club, kind=Decision.Kind.PLACE).select_related("athlete__person", "by")
    assert {row.athlete.person.given_name for row in rows} == placed and placed
    assert {row.by.given_name for row in rows} == {"Marta"} and all(row.seen for row in rows)


def test_the_head_coach_has_decided_with_the_advice_and_against_it_and_has_left_some(club: Club) -> None:
    rows = Decision.objects.filter(club=club).exclude(kind=Decision.Kind.PLACE)
    assert {row.by.given_name for row in rows.select_related("by")} == {"Marta"}
    assert {"with", "against"} <= set(rows.values_list("side", flat=True))
    assert all(row.figures for row in rows)


def test_stations_were_checked_athletes_left_with_somebody_and_one_incident_is_written_up(club: Club) -> None:
    stations = Station.objects.for_club(club).filter(practice__in=held(club))
    assert stations.count() == StationCheck.objects.for_club(club).count() > 0
    left = Counter(Departure.objects.for_club(club).values_list("how", flat=True))
    assert left["family"] > left["other"] > 0
    [incident] = Incident.objects.for_club(club)
    assert incident.entries.count() == 1 and incident.source
