"""From day counts to the page: made by duties, looked over by the head coach, read by those whom it is for, mailed."""

from datetime import UTC, date, datetime, time, timedelta
from types import SimpleNamespace
from typing import Any

import pypdfium2
import pytest
from django.test import Client
from django.urls import reverse

from athletes.models import Athlete
from club import duties
from club.mail import smtp
from club.members import Member, find_member
from club.models import AuditEntry, Duty, Guardianship, Mail
from club.roles import Permission
from drills.models import Drill
from sessions.summaries import actions
from sessions.summaries.models import Summary
from sessions.trends.models import DayCheckpoint, DayDrill
from tests.builders import DAY, Cast, make_checkpoint, make_drill, make_person
from tests.sessions.boards.helpers import text_of

pytestmark = pytest.mark.django_db
NOON = datetime.combine(DAY, time(12), UTC)
YESTERDAY = DAY - timedelta(days=1)


@pytest.fixture(autouse=True)
def noon(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr("club.clock.timezone", SimpleNamespace(now=lambda: NOON))


@pytest.fixture
def drill(cast: Cast) -> Drill:
    """Both vaulters practised it for eight weeks; the drop start of the first got better after four."""
    point = make_checkpoint(cast.club, key="drop-start", name="drop start")
    drill = make_drill(cast.club, gate=(point,), key="walk", name="Six-step walk")
    for athlete, faulty in ((cast.vaulter, 5), (cast.team_mate, 1)):
        for week in range(8):
            now = week >= 4
            day = YESTERDAY - timedelta(days=7 * (7 - week))
            counted(athlete, drill, day, 1 if now else faulty)
    return drill


def counted(athlete: Athlete, drill: Drill, day: date, faulty: int, watched: int = 9) -> None:
    about = {"club": athlete.club, "athlete": athlete, "drill": drill, "day": day}
    good = watched - faulty
    DayDrill.objects.create(**about, done=watched, counted=watched, good=good)
    DayCheckpoint.objects.create(**about, checkpoint=drill.checkpoints.get(), watched=watched, faulty=faulty)


def drain() -> None:
    for queue in (duties.LONG, duties.QUICK):
        duties.drain(queue)


def ask(cast: Cast) -> None:
    actions.ask(by=cast.head_coach.acting(Permission.SUMMARY_APPROVE), today=YESTERDAY)
    drain()


def of(athlete: Athlete) -> Summary:
    return Summary.objects.get(athlete=athlete)


def client_of(member: Member) -> Client:
    client = Client()
    client.force_login(member.person)
    return client


def read(member: Member, name: str = "", **ids: Any) -> tuple[int, str]:
    answer = client_of(member).get(reverse(name, kwargs={"club": member.club.slug, **ids}))
    return answer.status_code, text_of(answer) if answer.status_code == 200 else ""


# --- made ----------------------------------------------------------------------------------------


def test_a_summary_holds_the_figures_of_its_four_weeks(cast: Cast, drill: Drill) -> None:
    ask(cast)
    facts = of(cast.vaulter).value()
    assert (facts.since, facts.until, facts.days, facts.turns) == (YESTERDAY - timedelta(days=27), YESTERDAY, 4, 36)
    (better,) = facts.better
    assert (better.good, better.watched, better.good_before, better.watched_before) == (32, 36, 16, 36)
    assert of(cast.team_mate).value().better == () and of(cast.team_mate).value().compared == 1


def test_the_night_makes_them_every_four_weeks_and_not_before(
    cast: Cast, drill: Drill, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(duties, "_recurring_seen", set())
    duties.ensure_recurring(NOON)
    Duty.objects.filter(kind="due_summaries").update(due_at=NOON - timedelta(days=900))
    drain()
    assert Summary.objects.count() == 2 and not Summary.objects.filter(asked=True).exists()
    due = Duty.objects.get(kind="due_summaries", club=cast.club)
    assert due.due_at > NOON, "asks for the next night itself"
    Summary.objects.update(until=YESTERDAY - timedelta(days=27))
    Duty.objects.filter(kind="due_summaries").update(due_at=NOON - timedelta(days=900), asked=9)
    drain()
    assert Summary.objects.count() == 2


def test_who_did_not_practise_gets_none(cast: Cast, drill: Drill) -> None:
    DayDrill.objects.filter(athlete=cast.team_mate).delete()
    ask(cast)
    assert set(Summary.objects.values_list("athlete", flat=True)) == {cast.vaulter.pk}


def test_a_newer_draft_takes_the_place_of_one_that_nobody_approved(cast: Cast, drill: Drill) -> None:
    ask(cast)
    first = of(cast.vaulter).pk
    actions.ask(by=cast.head_coach.acting(Permission.SUMMARY_APPROVE), today=DAY)
    drain()
    assert of(cast.vaulter).until == DAY and not Summary.objects.filter(pk=first).exists()


def test_what_is_approved_stays_as_it_was_read(cast: Cast, drill: Drill) -> None:
    ask(cast)
    actions.approve(by=head(cast), ids=[of(cast.vaulter).pk], now=NOON)
    counted(cast.vaulter, make_drill(cast.club), YESTERDAY - timedelta(days=3), 0)
    ask(cast)
    assert of(cast.vaulter).value().turns == 36


def head(cast: Cast) -> Member:
    return cast.head_coach.acting(Permission.SUMMARY_APPROVE)


# --- approved ------------------------------------------------------------------------------------


def post(cast: Cast, name: str, *rows: Summary, member: Member | None = None) -> str:
    url = reverse(name, kwargs={"club": cast.club.slug})
    answer = client_of(member or cast.head_coach).post(url, {"summary": [row.pk for row in rows]}, follow=True)
    return text_of(answer) if answer.status_code == 200 else str(answer.status_code)


def test_nobody_reads_a_draft_and_one_touch_puts_all_on_their_pages(cast: Cast, drill: Drill) -> None:
    ask(cast)
    row = of(cast.vaulter)
    assert read(cast.parent, "summary", summary=row.pk)[0] == 404
    assert "Nobody reads them before you approve them." in read(cast.head_coach, "summaries")[1]
    assert "2 summaries are on their pages now." in post(cast, "approve_summaries", *Summary.objects.all())
    status, page = read(cast.parent, "summary", summary=row.pk)
    assert status == 200 and "Read and approved by Marta." in page and "32 of 36 tries" in page
    assert "begins to lower the pole at the right moment" in page and "Local rules" in page
    assert read(cast.athlete, "summary", summary=row.pk)[0] == 200
    assert read(cast.parent, "summary", summary=of(cast.team_mate).pk)[0] == 404
    assert AuditEntry.objects.filter(kind="approved a summary").count() == 2


def test_the_child_s_page_leads_there_and_stays_when_mail_is_stopped(cast: Cast, drill: Drill) -> None:
    ask(cast)
    actions.approve(by=head(cast), ids=[of(cast.vaulter).pk], now=NOON)
    Guardianship.objects.update(gets_mail=False)
    page = client_of(cast.parent).get(f"/c/{cast.club.slug}/children/{cast.vaulter.pk}/")
    assert reverse("summary", args=[cast.club.slug, of(cast.vaulter).pk]) in page.content.decode()
    Guardianship.objects.update(sees_progress=False)
    page = client_of(cast.parent).get(f"/c/{cast.club.slug}/children/{cast.vaulter.pk}/")
    assert page.status_code == 200 and "summaries/" not in page.content.decode()
    assert read(cast.parent, "summary", summary=of(cast.vaulter).pk)[0] == 404


def test_it_is_taken_back_in_one_touch_before_a_mail_goes_out(cast: Cast, drill: Drill) -> None:
    ask(cast)
    row = of(cast.vaulter)
    post(cast, "approve_summaries", row)
    assert "1 summary is a draft again, and off its page." in post(cast, "take_back_summaries", row)
    assert read(cast.parent, "summary", summary=row.pk)[0] == 404
    Duty.objects.filter(kind=actions.MAIL).update(due_at=NOON - timedelta(days=900))
    drain()
    row.refresh_from_db()
    assert row.mailed_at is None and not Mail.objects.exists()
    assert "There was nothing to take back." in post(cast, "take_back_summaries", row)


def test_nothing_chosen_and_nonsense_change_nothing(cast: Cast, drill: Drill) -> None:
    ask(cast)
    url = reverse("approve_summaries", kwargs={"club": cast.club.slug})
    for sent in ({}, {"summary": ["nonsense"]}, {"summary": [str(cast.vaulter.pk)]}):
        client_of(cast.head_coach).post(url, sent)
    assert not Summary.objects.filter(approved_at__isnull=False).exists()
    assert post(cast, "approve_summaries", of(cast.vaulter), member=cast.assistant) == "403"


def test_one_is_changed_and_what_is_never_said_is_refused_with_the_reason(cast: Cast, drill: Drill) -> None:
    ask(cast)
    row = of(cast.vaulter)
    url = reverse("edit_summary", kwargs={"club": cast.club.slug, "summary": row.pk})
    client = client_of(cast.head_coach)
    refused = client.post(url, {"own_words": "Good in 80 %, unlike Eero.", "keep": ["drop-start"]})
    shown = text_of(refused)
    assert refused.status_code == 422 and "No percentages and no rates" in shown and "Another child" in shown
    assert "Good in 80 %, unlike Eero." in shown, "what was typed is kept"
    assert "It still waits for your approval." in text_of(
        client.post(url, {"own_words": "A calm four weeks."}, follow=True)
    )
    row.refresh_from_db()
    assert (row.own_words, row.left_out) == ("A calm four weeks.", ["drop-start"])
    actions.approve(by=head(cast), ids=[row.pk], now=NOON)
    page = read(cast.parent, "summary", summary=row.pk)[1]
    assert "A calm four weeks." in page and "32 of 36" not in page
    assert "Take it back first" in text_of(client.post(url, {"own_words": "Later."}, follow=True))


def test_drafts_are_listed_in_a_fixed_number_of_queries(
    cast: Cast, drill: Drill, django_assert_num_queries: Any
) -> None:
    ask(cast)
    client, url = client_of(cast.head_coach), reverse("summaries", kwargs={"club": cast.club.slug})
    with django_assert_num_queries(QUERIES):
        client.get(url)
    for number in range(6):
        person = make_person(cast.club, "athlete", given_name=f"Ilse{number}")
        athlete = Athlete.objects.create(club=cast.club, person=person, hand="left", joined_on=DAY)
        for day in (3, 9, 17):
            counted(athlete, drill, YESTERDAY - timedelta(days=day), 2)
    ask(cast)
    with django_assert_num_queries(QUERIES):
        client.get(url)


QUERIES = 6


# --- mailed, printed -----------------------------------------------------------------------------


@pytest.fixture
def mail_on(settings: Any) -> None:
    settings.MAIL = smtp.MailServer("127.0.0.1", 1, "", "", "none", "club@mail.example")


def test_the_mail_says_what_the_page_says_to_guardians_who_see_progress(
    cast: Cast, drill: Drill, mail_on: None
) -> None:
    for member, address in ((cast.parent, "thandi@mail.example"), (cast.athlete, "nandi@mail.example")):
        member.person.email = address
        member.person.save(update_fields=["email"])
    other = find_member(make_person(cast.club, "guardian", email="other@mail.example"), cast.club.slug)
    Guardianship.objects.create(club=cast.club, guardian=other.person, child=cast.vaulter.person, sees_progress=False)
    ask(cast)
    actions.approve(by=head(cast), ids=[row.pk for row in Summary.objects.all()], now=NOON)
    assert not Mail.objects.exists(), "ten minutes to think again"
    Duty.objects.filter(kind=actions.MAIL).update(due_at=NOON - timedelta(days=900))
    for _twice in range(2):
        duties.drain(duties.QUICK)
    assert {mail.to.email for mail in Mail.objects.all()} >= {"thandi@mail.example"}
    assert "other@mail.example" not in {mail.to.email for mail in Mail.objects.all()}
    mail = Mail.objects.get(to=cast.parent.person)
    assert "32\N{NO-BREAK SPACE}of\N{NO-BREAK SPACE}36\N{NO-BREAK SPACE}tries" in mail.text and "Eero" not in mail.text
    assert reverse("summary", args=[cast.club.slug, of(cast.vaulter).pk]) in mail.text
    assert (mail.html.count("■"), mail.html.count("□")) == (32 + 16, 4 + 20) and "■" not in mail.text
    assert of(cast.vaulter).mailed_at is not None


def test_the_sheet_says_what_the_page_says(cast: Cast, drill: Drill) -> None:
    ask(cast)
    row = of(cast.vaulter)
    actions.approve(by=head(cast), ids=[row.pk], now=NOON)
    answer = client_of(cast.parent).get(reverse("summary_pdf", args=[cast.club.slug, row.pk]))
    assert answer["Content-Type"] == "application/pdf" and answer["Cache-Control"].count("no-store")
    document = pypdfium2.PdfDocument(answer.content)
    text = " ".join("".join(page.get_textpage().get_text_range() for page in document).split())
    assert len(document) == 1 and "32 of 36 tries" in text.replace("\N{NO-BREAK SPACE}", " ")
    assert "Read and approved by Marta." in text and cast.club.name in text and "come first." in text
