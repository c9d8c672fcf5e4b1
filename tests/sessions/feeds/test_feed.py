"""Calendars: read back by an independent library and by a calendar program, and closed to whoever may not read them."""

import os
import subprocess
from collections.abc import Iterator
from datetime import UTC, date, datetime, time, timedelta
from io import StringIO
from pathlib import Path
from typing import Any
from uuid import NAMESPACE_URL, uuid5
from zoneinfo import ZoneInfo

import pytest
import vobject
from dateutil.tz import tzical
from django.core.cache import cache
from django.db import connection
from django.test import Client
from django.test.utils import CaptureQueriesContext
from django.utils import timezone

from athletes.models import Squad
from club import limits
from club.members import Member, find_member
from club.models import AuditEntry, Guardianship, Membership, Person
from club.roles import Permission
from deploy.services import require
from sessions.feeds import actions, core, queries
from sessions.feeds.models import CalendarAddress
from sessions.practices.models import Practice
from tests.builders import Cast, make_practice, make_squad, make_venue

ZONE = "Europe/London"
# Practices of a year around both clock changes of London: 29 March and 25 October 2026.
DAYS = [
    date(2026, 3, 27),
    date(2026, 3, 29),
    date(2026, 3, 31),
    date(2026, 10, 23),
    date(2026, 10, 25),
    date(2026, 10, 27),
]


def entry(day: date, **more: Any) -> core.Entry:
    values: dict[str, Any] = {
        "sequence": 3,
        "starts": time(17),
        "ends": time(19),
        "zone": ZONE,
        "title": "Vault practice",
    }
    values |= {
        "place": "Quarry Track, Mill Lane 2; gate B",
        "about": "Bring: spikes, water",
        "url": "https://v.example/x",
    }
    values |= {"cancelled": False, "draft": False}
    return core.Entry(**{"id": uuid5(NAMESPACE_URL, str(day)), "day": day, **values, **more})


def a_year() -> bytes:
    entries = [
        entry(day, cancelled=day.day == 31, title="Cancelled: Vault practice" if day.day == 31 else "Vault practice")
        for day in DAYS
    ]
    return core.calendar("Nandi, Ternfield", entries, datetime(2026, 3, 1, 12, tzinfo=UTC))


def events(body: bytes | str) -> list[Any]:
    text = body if isinstance(body, str) else body.decode()
    return list(vobject.readOne(text).contents.get("vevent", []))


def test_another_library_reads_the_same_events_with_the_zone_right_across_both_clock_changes() -> None:
    body = a_year()
    found = {event.uid.value: event for event in events(body)}
    assert len(found) == len(DAYS)
    for day in DAYS:
        event = found[f"{entry(day).id}@sixmark"]
        assert event.dtstart.value.astimezone(UTC) == datetime.combine(day, time(17), ZoneInfo(ZONE)).astimezone(UTC)
        assert event.dtend.value - event.dtstart.value == timedelta(hours=2)
        assert event.sequence.value == "3" and event.location.value == "Quarry Track, Mill Lane 2; gate B"
        assert event.description.value == "Bring: spikes, water"
        assert event.status.value == ("CANCELLED" if day.day == 31 else "CONFIRMED")
    offsets = {day: found[f"{entry(day).id}@sixmark"].dtstart.value.utcoffset() for day in DAYS}
    assert [offset.total_seconds() / 3600 for offset in offsets.values()] == [0, 1, 1, 1, 0, 0]
    text = body.decode()
    assert "BEGIN:VTIMEZONE" in text and f"TZID:{ZONE}" in text and f"DTSTART;TZID={ZONE}:20260327T170000" in text
    assert all(len(line.encode()) <= 75 for line in text.split("\r\n")) and text.endswith("\r\n")


def test_a_calendar_program_shows_the_same_hours_and_the_cancellation(tmp_path: Path) -> None:
    """khal, which has its own reading of zones, in a zone other than the club's."""
    config = tmp_path / "khal.conf"
    store = tmp_path / "store"
    store.mkdir()
    config.write_text(
        f"[calendars]\n[[club]]\npath = {store}\n[sqlite]\npath = {tmp_path / 'khal.db'}\n"
        "[locale]\nlocal_timezone = Europe/Berlin\ndefault_timezone = Europe/Berlin\ntimeformat = %H:%M\n"
        "dateformat = %Y-%m-%d\nlongdateformat = %Y-%m-%d\ndatetimeformat = %Y-%m-%d %H:%M\n"
        "longdatetimeformat = %Y-%m-%d %H:%M\n[default]\ndefault_calendar = club\n"
    )
    file = tmp_path / "club.ics"
    file.write_bytes(a_year())
    around = {**os.environ, "HOME": str(tmp_path), "XDG_DATA_HOME": str(tmp_path), "LC_ALL": "C.UTF-8"}

    def khal(*arguments: str) -> str:
        command = [require("khal"), "-c", str(config), *arguments]
        done = subprocess.run(command, env=around, capture_output=True, text=True, timeout=60)
        assert done.returncode == 0, done.stderr
        return done.stdout

    khal("import", "--batch", "-a", "club", str(file))
    listed = khal("list", "--format", "{start} {end} {title} [{status}]", "--day-format", "", "2026-03-01", "300d")
    lines = [" ".join(line.split()) for line in listed.splitlines() if "Vault practice" in line]
    hours = {day: f"{day} 18:00 {day} 20:00" for day in DAYS}  # Berlin is an hour ahead of London, all year
    said = {day: next((line for line in lines if line.startswith(hours[day])), "") for day in DAYS}
    assert all(said.values()), lines
    assert len(lines) == len(DAYS)
    assert "Cancelled" in said[date(2026, 3, 31)] and "CANCELLED" in said[date(2026, 3, 31)]


# --- doors ----------------------------------------------------------------------------------------


@pytest.fixture
def squads(cast: Cast) -> Iterator[tuple[Squad, Squad]]:
    cache.clear()
    now = timezone.now()
    mine = make_squad(cast.club, cast.vaulter, name="Terns")
    other = make_squad(cast.club, cast.team_mate, name="Swifts")
    venue = make_venue(cast.club, name="Quarry Track")
    soon = now.date() + timedelta(days=2)
    for number, (squad, published) in enumerate(((mine, now), (mine, None), (other, now))):
        make_practice(cast.club, squads=[squad], venue=venue, day=soon + timedelta(days=number), published_at=published,
                      bring=f"thing {number}")  # fmt: skip
    yield mine, other
    cache.clear()


def address(member: Member, value: str) -> actions.NewAddress:
    return actions.make(by=member.acting(Permission.CALENDAR_KEEP), value=value, now=timezone.now())


def read(token: str) -> Any:
    return Client().get(f"/calendar/{token}.ics")


@pytest.mark.django_db
def test_each_sees_their_own_practices_and_no_name_but_their_child_s(cast: Cast, squads: tuple[Squad, Squad]) -> None:
    child = read(address(cast.parent, f"athlete:{cast.vaulter.pk}").token)
    own = read(address(cast.athlete, f"athlete:{cast.vaulter.pk}").token)
    coach = read(address(cast.assistant, "all").token)
    squad = read(address(cast.head_coach, f"squad:{squads[1].pk}").token)
    assert [event.summary.value for event in events(child.content)] == ["Nandi: vault practice"]
    assert [event.summary.value for event in events(own.content)] == ["Vault practice"]
    assert [event.status.value for event in events(coach.content)] == ["CONFIRMED", "TENTATIVE", "CONFIRMED"]
    assert [event.summary.value for event in events(squad.content)] == ["Practice: Swifts"]
    names = {cast.team_mate.person.given_name, cast.vaulter.person.family_name, cast.parent.person.given_name}
    for answer in (child, own, coach, squad):
        assert not [name for name in names if name in answer.content.decode()]
        assert answer["Cache-Control"] == "private, no-store" and answer["Content-Type"].startswith("text/calendar")


@pytest.mark.django_db
def test_the_same_practice_keeps_its_uid_and_raises_its_sequence(cast: Cast, squads: tuple[Squad, Squad]) -> None:
    token = address(cast.parent, f"athlete:{cast.vaulter.pk}").token
    (before,) = events(read(token).content)
    Practice.objects.filter(squads=squads[0], published_at__isnull=False).update(starts=time(16), sequence=2)
    (after,) = events(read(token).content)
    assert (before.uid.value, after.uid.value) == (after.uid.value, f"{Practice.objects.get(sequence=2).pk}@sixmark")
    assert (before.sequence.value, after.sequence.value) == ("1", "2")
    assert before.dtstart.value.hour == 17 and after.dtstart.value.hour == 16


@pytest.mark.django_db
@pytest.mark.parametrize("change", ["revoked", "made anew", "barred", "ended", "left", "inactive", "child left"])
def test_whoever_may_read_it_no_more_finds_nothing(cast: Cast, squads: tuple[Squad, Squad], change: str) -> None:
    new = address(cast.parent, f"athlete:{cast.vaulter.pk}")
    assert read(new.token).status_code == 200
    none = dict.fromkeys(("sees_progress", "may_collect", "may_consent", "gets_mail"), False)
    tie, today = Guardianship.objects.filter(guardian=cast.parent.person), timezone.now().date()
    {
        "revoked": lambda: actions.revoke(
            by=cast.parent.acting(Permission.CALENDAR_KEEP), address=new.address, now=timezone.now()
        ),
        "made anew": lambda: address(cast.parent, f"athlete:{cast.vaulter.pk}"),
        "barred": lambda: tie.update(barred=True, **none),
        "ended": lambda: tie.update(until=today - timedelta(days=2)),
        "left": lambda: Membership.objects.filter(person=cast.parent.person).update(left_on=today),
        "inactive": lambda: Person.objects.filter(pk=cast.parent.person.pk).update(is_active=False),
        "child left": lambda: type(cast.vaulter).objects.filter(pk=cast.vaulter.pk).update(left_on=today),
    }[change]()
    assert read(new.token).status_code == 404


@pytest.mark.django_db
def test_nobody_makes_a_calendar_of_what_they_may_not_read(cast: Cast, squads: tuple[Squad, Squad]) -> None:
    mate = f"athlete:{cast.team_mate.pk}"
    for member, values in (
        (cast.parent, (mate, "all", f"squad:{squads[0].pk}", "nonsense", "")),
        (cast.athlete, (mate, "all")),
        (cast.assistant, (mate, f"squad:{make_squad(cast.other_club).pk}")),
    ):
        for value in values:
            with pytest.raises(actions.NoSuchCalendar):
                address(member, value)
    assert not CalendarAddress.objects.exists()


@pytest.mark.django_db
def test_an_address_is_shown_once_kept_as_a_hash_and_leaves_no_trace_in_the_audit(
    cast: Cast, squads: tuple[Squad, Squad], client: Client
) -> None:
    client.force_login(cast.parent.person)
    page = client.post(f"/c/{cast.club.slug}/calendar/new/", {"of": f"athlete:{cast.vaulter.pk}"}).content.decode()
    token = page.split("/calendar/")[1].split(".ics")[0]
    assert read(token).status_code == 200 and len(token) >= 43
    again = client.get(f"/c/{cast.club.slug}/calendar/").content.decode()
    row = CalendarAddress.objects.get()
    assert token not in again and row.token_hash not in again and "You made an address" in again
    assert row.token_hash == queries.hash_of(token) != token
    assert token not in str(list(AuditEntry.objects.values())) and AuditEntry.objects.count() == 1
    client.post(f"/c/{cast.club.slug}/calendar/{row.pk}/revoke/")
    assert read(token).status_code == 404


@pytest.mark.django_db
def test_whoever_asks_too_often_is_told_to_wait(
    cast: Cast, squads: tuple[Squad, Squad], monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(limits.time, "time", lambda: 1_800_000_000.0)  # all of it in one window
    token = address(cast.parent, f"athlete:{cast.vaulter.pk}").token
    codes = [read(token).status_code for _ in range(61)]
    assert codes == [200] * 60 + [429]
    cache.clear()
    guesses = [read(f"guess-{number}").status_code for number in range(241)]
    assert guesses == [404] * 240 + [429]


@pytest.mark.django_db
def test_the_words_are_in_the_language_of_the_reader(cast: Cast, squads: tuple[Squad, Squad]) -> None:
    token = address(cast.parent, f"athlete:{cast.vaulter.pk}").token
    member = find_member(cast.parent.person, cast.club.slug)
    assert member is not None
    asked = []
    with pytest.MonkeyPatch.context() as patch:
        from django.utils import translation

        patch.setattr(queries, "_", lambda words: asked.append(translation.get_language()) or words)
        Person.objects.filter(pk=cast.parent.person.pk).update(language="de")
        read(token)
    assert set(asked) == {"de"}


@pytest.mark.django_db
def test_many_practices_are_read_with_as_many_questions_as_few(cast: Cast, squads: tuple[Squad, Squad]) -> None:
    token = address(cast.head_coach, "all").token
    read(token)  # from here on the counters of the rate limits are there
    counts, venue = [], make_venue(cast.club, name="Mill Hall")
    for more in (0, 60):
        for number in range(more):
            make_practice(
                cast.club, squads=[squads[0]], venue=venue, day=timezone.now().date() + timedelta(days=number)
            )
        with CaptureQueriesContext(connection) as questions:
            found = len(events(read(token).content))
        counts.append((found, len(questions)))
    (few, asked), (many, asked_of_many) = counts
    assert (few, many) == (3, 63) and asked == asked_of_many


@pytest.mark.parametrize(
    "zone", ["Europe/London", "America/Los_Angeles", "Australia/Sydney", "Africa/Casablanca", "UTC"]
)
def test_the_zone_in_the_calendar_says_the_offset_of_each_hour_of_a_year(zone: str) -> None:
    """Read from the calendar alone, by a library that never looks the name up."""
    first, last = date(2026, 1, 1), date(2026, 12, 31)
    text = core.calendar(
        "x", [entry(first, zone=zone), entry(last, zone=zone)], datetime(2026, 1, 1, tzinfo=UTC)
    ).decode()
    block = text[text.index("BEGIN:VTIMEZONE") : text.index("END:VTIMEZONE")] + "END:VTIMEZONE\r\n"
    read_back, there = tzical(StringIO(block)).get(), ZoneInfo(zone)
    wall, count = datetime(2026, 1, 1), 0
    while wall.year == 2026:
        ours, again = (wall.replace(tzinfo=there, fold=fold).utcoffset() for fold in (0, 1))
        if ours == again:  # an hour that the clock shows once
            assert wall.replace(tzinfo=read_back).utcoffset() == ours, wall
            count += 1
        wall += timedelta(hours=1)
    assert count >= 8760 - 8
