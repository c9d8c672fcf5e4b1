"""A practice that is cancelled, moved or put back on is said on the page at once, by mail, and in the calendar."""

from datetime import date, datetime, time, timedelta
from typing import Any
from zoneinfo import ZoneInfo

import pytest
from django.test import Client
from django.utils import timezone

from club import duties
from club.models import Duty, Guardianship, Mail, Person
from club.roles import Permission
from sessions.feeds.actions import make
from sessions.news import queries as news_queries
from sessions.news.core import Facts, What, next_sunday_evening, over, week_of, what_changed
from sessions.news.models import Untold
from sessions.practices.actions import calendar
from sessions.practices.changes import Slot
from sessions.practices.models import AdultPresence, Practice
from tests.builders import Cast, make_athlete, make_person, make_practice, make_squad, make_venue
from tests.mailing import LoopbackServer

pytestmark = pytest.mark.django_db


@pytest.fixture
def practice(cast: Cast) -> Practice:
    for member in (cast.athlete, cast.parent, cast.officer):
        Person.objects.filter(pk=member.person.pk).update(email=f"{member.person.given_name.lower()}@home.example")
    squad = make_squad(cast.club, cast.vaulter)
    venue = make_venue(cast.club, name="Quarry Track")
    return make_practice(cast.club, squads=[squad], venue=venue, **soon())


def soon(**more: Any) -> dict[str, Any]:
    return {"day": timezone.now().date() + timedelta(days=3), "published_at": timezone.now(), **more}


def planner(cast: Cast) -> Any:
    return cast.head_coach.acting(Permission.PRACTICE_PLAN)


def to(server: LoopbackServer, name: str) -> list[str]:
    return [str(one.mail["Subject"]) for one in server.taken if one.to.startswith(name)]


def long_day(practice: Practice) -> str:
    return f"{practice.day:%A} {practice.day.day} {practice.day:%B}"


def test_cancelling_at_the_desk_reaches_page_mail_and_calendar_in_that_order(
    cast: Cast, practice: Practice, mail_server: LoopbackServer
) -> None:
    """No clock here: what comes after what. The page says it with the answer to the tap, before any worker ran; the
    calendar too; the mails are queued by the first round of the worker and handed over in the same one."""
    feed = make(by=cast.parent.acting(Permission.CALENDAR_KEEP), value=f"athlete:{cast.vaulter.pk}", now=timezone.now())
    desk, phone, program = Client(), Client(), Client()
    desk.force_login(cast.head_coach.person)
    phone.force_login(cast.parent.person)
    path = f"/calendar/{feed.token}.ics"
    before = program.get(path).content.decode()
    assert "STATUS:CONFIRMED" in before and "SEQUENCE:1" in before
    desk.post(f"/c/{cast.club.slug}/practices/{practice.pk}/cancel/")
    page = phone.get(f"/c/{cast.club.slug}/children/{cast.vaulter.pk}/").content.decode()
    after = program.get(path).content.decode()
    assert "ancelled" in page and "STATUS:CANCELLED" in after and "SEQUENCE:2" in after
    assert not Mail.objects.exists() and mail_server.taken == []
    assert Duty.objects.get(kind="practice_changes").queue == duties.QUICK, (
        "rung at the commit, every 2 s at the latest"
    )
    duties.drain(duties.QUICK)
    assert [one.to for one in mail_server.taken] == ["thandi@home.example", "nandi@home.example"]
    assert to(mail_server, "thandi") == [f"No practice on {long_day(practice)}"]
    text = mail_server.taken[0].text
    assert f"Cancelled: {long_day(practice)}, 17:00 to 19:00, Quarry Track." in text and "Nandi’s practice" in text
    assert f"/c/{cast.club.slug}/children/{cast.vaulter.pk}/" in text
    assert "Your practice" in mail_server.taken[1].text


def test_whoever_was_to_run_it_hears_of_it_too(cast: Cast, practice: Practice, mail_server: LoopbackServer) -> None:
    Person.objects.filter(pk=cast.assistant.person.pk).update(email="aiko@home.example")
    Person.objects.filter(pk=cast.head_coach.person.pk).update(email="marta@home.example")  # not down for it
    AdultPresence.objects.create(club=cast.club, practice=practice, person=cast.assistant.person)
    calendar.cancel(by=planner(cast), practice=practice)
    duties.drain(duties.QUICK)
    assert to(mail_server, "aiko") == [f"No practice on {long_day(practice)}"] and not to(mail_server, "marta")
    text = next(one.text for one in mail_server.taken if one.to.startswith("aiko"))
    assert "You are down for this:" in text and f"/practices/{practice.pk}/" in text and "Nandi" not in text


def test_a_move_says_from_when_to_when_and_a_practice_put_back_on_says_so(
    cast: Cast, practice: Practice, mail_server: LoopbackServer
) -> None:
    hall = make_venue(cast.club, name="Mill Hall")
    old = long_day(practice)
    slot = Slot(hall, practice.day + timedelta(days=1), time(18), time(20))
    calendar.move(by=planner(cast), practice=practice, to=slot)
    duties.drain(duties.QUICK)
    practice.refresh_from_db()
    assert to(mail_server, "thandi") == [f"Practice moved to {long_day(practice)}"]
    said = " ".join(mail_server.taken[0].text.split())
    assert f"now {long_day(practice)}, 18:00 to 20:00, Mill Hall. It was {old}, 17:00 to 19:00, Quarry Track." in said
    calendar.cancel(by=planner(cast), practice=practice)
    duties.drain(duties.QUICK)
    calendar.uncancel(by=planner(cast), practice=practice)
    duties.drain(duties.QUICK)
    day = long_day(practice)
    assert to(mail_server, "thandi")[1:] == [f"No practice on {day}", f"Practice on {day} after all"]


def test_what_was_taken_back_before_anybody_was_told_is_told_to_nobody(
    cast: Cast, practice: Practice, mail_server: LoopbackServer
) -> None:
    calendar.cancel(by=planner(cast), practice=practice)
    calendar.uncancel(by=planner(cast), practice=practice)
    duties.drain(duties.QUICK)
    assert mail_server.taken == [] and not Untold.objects.exists()


def test_several_changes_make_one_mail(cast: Cast, practice: Practice, mail_server: LoopbackServer) -> None:
    others = [make_practice(cast.club, squads=practice.squads.all(), venue=practice.venue, **soon()) for _ in range(2)]
    for number, row in enumerate(others):
        Practice.objects.filter(pk=row.pk).update(day=practice.day + timedelta(days=7 * (number + 1)))
        row.refresh_from_db()
    for row in (practice, *others):
        calendar.cancel(by=planner(cast), practice=row)
    duties.drain(duties.QUICK)
    assert to(mail_server, "thandi") == ["3 practices have changed"]
    assert mail_server.taken[0].text.count("Cancelled:") == 3


@pytest.mark.parametrize("draft", [True, False])
def test_nobody_hears_of_drafts_and_of_what_is_over(
    cast: Cast, practice: Practice, mail_server: LoopbackServer, draft: bool
) -> None:
    past = {"day": timezone.now().date() - timedelta(days=3)}
    Practice.objects.filter(pk=practice.pk).update(**({"published_at": None} if draft else past))
    practice.refresh_from_db()
    calendar.cancel(by=planner(cast), practice=practice)
    duties.drain(duties.QUICK)
    assert mail_server.taken == []


def test_only_those_expected_hear_of_it(cast: Cast, practice: Practice, mail_server: LoopbackServer) -> None:
    Person.objects.filter(pk=cast.team_mate.person.pk).update(email="eero@home.example")  # another squad's
    gone = make_athlete(cast.club, make_person(cast.club, "athlete", email="gone@home.example", given_name="Gone"))
    gone.left_on = timezone.now().date()
    gone.save()
    practice.squads.first().athletes.add(gone)
    calendar.cancel(by=planner(cast), practice=practice)
    duties.drain(duties.QUICK)
    assert {one.to for one in mail_server.taken} == {"thandi@home.example", "nandi@home.example"}


def test_a_change_while_the_mails_are_written_is_told_as_it_then_stands(
    cast: Cast, practice: Practice, mail_server: LoopbackServer, monkeypatch: pytest.MonkeyPatch
) -> None:
    calendar.cancel(by=planner(cast), practice=practice)
    news, once = news_queries.news, []

    def meanwhile(*values: Any) -> Any:
        found = news(*values)
        if not once:
            once.append(True)
            Practice.objects.filter(pk=practice.pk).update(cancelled_at=None, sequence=3, starts=time(16))
        return found

    monkeypatch.setattr(news_queries, "news", meanwhile)
    duties.drain(duties.QUICK)
    assert mail_server.taken == [] and Untold.objects.count() == 1
    Duty.objects.update(due_at=timezone.now())
    duties.drain(duties.QUICK)
    assert to(mail_server, "thandi") == [f"Practice moved to {long_day(practice)}"]


def test_what_changed_is_told_by_what_its_people_knew() -> None:
    on = Facts(date(2026, 3, 2), time(17), time(19), "Track", True)
    off, later = Facts(on.day, on.starts, on.ends, on.venue, False), Facts(on.day, time(18), time(20), on.venue, True)
    later_off = Facts(on.day, time(18), time(20), on.venue, False)
    answers = {(on, off): What.CANCELLED, (on, later_off): What.CANCELLED, (off, later): What.BACK_ON}
    answers |= {(on, later): What.MOVED, (on, on): None, (off, off): None, (off, later_off): None}
    assert {pair: what_changed(*pair) for pair in answers} == answers


def test_a_week_s_mail_is_due_on_sundays_at_five_on_the_wall_clock_across_both_clock_changes() -> None:
    zone = ZoneInfo("Europe/London")
    now = datetime(2026, 3, 26, 12, tzinfo=zone)
    found = []
    for _n in range(2):
        now = next_sunday_evening(now)
        found.append(now.isoformat())
    assert found == ["2026-03-29T17:00:00+01:00", "2026-04-05T17:00:00+01:00"]
    assert next_sunday_evening(datetime(2026, 10, 24, 12, tzinfo=zone)).isoformat() == "2026-10-25T17:00:00+00:00"
    assert (week_of(date(2026, 3, 29)), week_of(date(2027, 1, 3))) == ("2026-W14", "2027-W01")
    facts = Facts(date(2026, 3, 29), time(0, 30), time(2, 30), "Track", True)
    assert over(facts, "Europe/London", datetime(2026, 3, 29, 1, 30, tzinfo=ZoneInfo("UTC")))


# --- the week -------------------------------------------------------------------------------------


def week(cast: Cast) -> None:
    duties.leave("week_mail", cast.club, [""])
    Duty.objects.filter(queue="long").exclude(kind="week_mail", club=cast.club).update(
        due_at=timezone.now() + timedelta(days=1)
    )
    duties.drain(duties.LONG)
    duties.drain(duties.LONG)
    duties.drain(duties.QUICK)


def test_the_week_s_mail_says_what_is_on_and_goes_once(
    cast: Cast, practice: Practice, mail_server: LoopbackServer
) -> None:
    Practice.objects.filter(pk=practice.pk).update(bring="spikes")
    for _n in range(2):
        week(cast)
    assert to(mail_server, "thandi") == ["Nandi: the week ahead"] and to(mail_server, "nandi") == ["Your week ahead"]
    text = mail_server.taken[0].text
    assert f"{long_day(practice)}, 17:00 to 19:00, Quarry Track. Bring: spikes" in text and "What is on" in text
    again = Duty.objects.get(kind="week_mail", club=cast.club)
    assert again.due_at > timezone.now() and again.due_at.astimezone(ZoneInfo(cast.club.zone)).hour == 17


def test_a_guardian_who_does_not_see_progress_gets_no_week_and_still_hears_of_a_cancellation(
    cast: Cast, practice: Practice, mail_server: LoopbackServer
) -> None:
    Guardianship.objects.update(sees_progress=False)
    week(cast)
    assert to(mail_server, "thandi") == [] and to(mail_server, "ines") == ["Your week ahead"], (
        "another adult reads along"
    )
    calendar.cancel(by=planner(cast), practice=practice)
    duties.drain(duties.QUICK)
    assert len(to(mail_server, "thandi")) == 1
