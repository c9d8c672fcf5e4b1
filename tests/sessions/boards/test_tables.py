"""Tables for a spreadsheet: every rep, attendance and decision once, as it stands in the rows."""

import csv
import io
from datetime import timedelta

import pytest
from django.db import connection
from django.test import Client
from django.test.utils import CaptureQueriesContext
from django.urls import reverse

from athletes.models import Decision
from club.members import Member
from club.models import AuditEntry
from club.roles import Permission
from sessions.boards.queries import tables
from sessions.practices.models import Attendance
from sessions.reps.models import Rep
from tests.builders import DAY, Cast, aware, make_checkpoint, make_drill, make_practice
from tests.sessions.trends.rep_builders import log

pytestmark = pytest.mark.django_db


@pytest.fixture
def coach(cast: Cast, client: Client) -> Client:
    client.force_login(cast.head_coach.person)
    return client


@pytest.fixture
def drop(cast: Cast):
    timing, feet = make_checkpoint(cast.club, key="timing"), make_checkpoint(cast.club, key="feet")
    return make_drill(cast.club, gate=(timing,), offers=(feet,), key="drop"), timing, feet


def table(coach: Client, cast: Cast, name: str, **days: str) -> list[dict[str, str]]:
    answer = coach.post(reverse("club_tables", args=[cast.club.slug]), {"table": name, **days})
    assert answer.status_code == 200 and answer["Content-Type"] == "text/csv"
    assert f"{cast.club.slug}-{name}.csv" in answer["Content-Disposition"]
    text = b"".join(answer.streaming_content).decode("utf-8-sig")
    return list(csv.DictReader(io.StringIO(text, newline="")))


def test_every_rep_is_one_line_with_what_was_watched_and_seen(cast: Cast, coach: Client, drop) -> None:
    drill, timing, feet = drop
    late = timing.faults.first()
    good = log(cast.vaulter, drill, [timing, feet], [], day=DAY, minute=1)
    bad = log(cast.vaulter, drill, [timing], [late], day=DAY, minute=2, unsafe=True)
    unseen = log(cast.team_mate, drill, [], [], day=DAY + timedelta(days=1), minute=3)
    Rep.objects.filter(pk=unseen.pk).update(state=Rep.State.VOID)
    first, second, third = table(coach, cast, "reps")
    assert [line["rep"] for line in (first, second, third)] == [str(rep.uuid) for rep in (good, bad, unseen)]
    assert (first["watched"], first["faults"], first["unsafe"]) == ("feet timing", "", "no")
    assert (second["watched"], second["faults"], second["unsafe"]) == ("timing", late.key, "yes")
    assert (third["watched"], third["state"], third["day"]) == ("", "void", "2026-03-03")
    assert first["name"] == str(cast.vaulter) and first["athlete"] == str(cast.vaulter.pk)
    assert list(first) == list(tables.REPS)


def test_days_narrow_it_down_and_days_the_wrong_way_round_are_refused(cast: Cast, coach: Client, drop) -> None:
    for gap in range(3):
        log(cast.vaulter, drop[0], [drop[1]], [], day=DAY + timedelta(days=gap), minute=1)
    assert len(table(coach, cast, "reps", since="2026-03-03", until="2026-03-03")) == 1
    asked = {"table": "reps", "since": "2026-03-04", "until": "2026-03-03"}
    answer = coach.post(reverse("club_tables", args=[cast.club.slug]), asked)
    assert answer.status_code == 422 and "lies before the first" in answer.content.decode()
    assert AuditEntry.objects.filter(kind="took out a table").count() == 1


def test_attendance_and_decisions_say_who_when_and_how(cast: Cast, coach: Client, drop) -> None:
    practice = make_practice(cast.club)
    Attendance.objects.create(club=cast.club, practice=practice, athlete=cast.vaulter, state="late", at=aware(DAY))
    values = {"club": cast.club, "athlete": cast.vaulter, "drill": drop[0], "day": DAY, "by": cast.head_coach.person}
    touched = Decision.objects.create(kind=Decision.Kind.KEEP_ON, at=aware(DAY), **values)
    Decision.objects.create(kind="taken back", takes_back=touched, at=aware(DAY) + timedelta(minutes=1), **values)
    (came,) = table(coach, cast, "attendance")
    assert (came["state"], came["practice"], came["name"]) == ("late", str(practice.pk), str(cast.vaulter))
    (decided,) = table(coach, cast, "decisions")
    assert (decided["kind"], decided["drill"], decided["by"]) == (
        Decision.Kind.KEEP_ON.value,
        "drop",
        str(cast.head_coach.person),
    )
    assert decided["taken_back"] and decided["decision"] == str(touched.pk)


def test_a_name_that_a_spreadsheet_would_compute_is_quoted(cast: Cast, coach: Client, drop) -> None:
    person = cast.vaulter.person
    person.given_name = "=1+1"
    person.save()
    log(cast.vaulter, drop[0], [drop[1]], [], day=DAY, minute=1)
    assert table(coach, cast, "reps")[0]["name"].startswith("'=1+1")


def test_another_clubs_rows_are_in_none_and_queries_do_not_grow_with_the_rows(cast: Cast, drop) -> None:
    def lines_and_queries(name: str, member: Member = cast.head_coach) -> tuple[int, int]:
        with CaptureQueriesContext(connection) as queries:
            count = len(list(tables.TABLES[name](member.acting(Permission.ARCHIVE_TAKE), None, None)))
        return count, len(queries)

    log(cast.vaulter, drop[0], [drop[1]], [], day=DAY, minute=1)
    few = lines_and_queries("reps")
    for minute in range(2, 30):
        log(cast.vaulter, drop[0], [drop[1]], [], day=DAY, minute=minute)
    many = lines_and_queries("reps")
    assert (few[0], many[0]) == (2, 30) and few[1] == many[1] == 4
    assert lines_and_queries("reps", cast.outsider)[0] == 1


def test_only_the_three_tables_can_be_taken_out(cast: Cast, coach: Client) -> None:
    answer = coach.post(reverse("club_tables", args=[cast.club.slug]), {"table": "notes"})
    assert answer.status_code == 422 and not AuditEntry.objects.filter(kind="took out a table").exists()
