"""Mail: to whom it goes, what stands in it, and that a minor never gets an adult's words alone."""

import re
from collections.abc import Iterator
from datetime import date, timedelta
from itertools import product

import pytest
from django.core.cache import cache
from django.db import connection
from django.test import Client
from django.utils import timezone
from django.utils.translation import gettext as _

from club import duties
from club import settings as site_settings
from club.mail import actions, letters, smtp
from club.mail.actions import Reader
from club.members import Member
from club.models import AuditEntry, Duty, Guardianship, Mail, MailStop, Membership, Person
from club.roles import Permission
from tests.builders import Cast, make_person
from tests.laws.source import ROOT, python_files
from tests.mailing import LoopbackServer

pytestmark = pytest.mark.django_db

State, NOW = Mail.State, timezone.now


@pytest.fixture(autouse=True)
def addresses(cast: Cast) -> Iterator[None]:
    for member in (cast.head_coach, cast.assistant, cast.athlete, cast.parent, cast.officer):
        address(member.person)
    Person.objects.filter(pk=cast.athlete.person.pk).update(birth_date=date(2012, 5, 1))
    cast.athlete.person.refresh_from_db()
    cache.clear()
    yield
    cache.clear()


def address(person: Person, email: str | None = None) -> Person:
    person.email = f"{person.given_name.lower()}@home.example" if email is None else email
    person.save(update_fields=["email"])
    return person


def say(reader: Reader) -> letters.Letter:
    who = "you" if reader.own else reader.about.given_name
    part = letters.Part(f"Well run, {who}. <b>", "Said", ("one", "two & three"))
    return letters.Letter(_("Cancelled"), (part,), "/c/there/", "Page")


def send(by: Member, to: Person, **more: object) -> list[Mail]:
    values = {"kind": "changes", "key": "k", "write": say, "now": timezone.now(), **more}
    return actions.send(by=by, to=to, **values)  # type: ignore[arg-type]


def post(cast: Cast) -> None:
    Duty.objects.filter(kind="post").update(due_at=timezone.now())
    duties.drain(duties.QUICK)


def states(cast: Cast) -> dict[str, str]:
    return {mail.to.given_name: mail.state for mail in Mail.objects.for_club(cast.club).select_related("to")}


# --- what a mail is -------------------------------------------------------------------------------


def test_a_mail_says_the_same_in_text_and_html_and_how_to_stop_it(cast: Cast, mail_server: LoopbackServer) -> None:
    send(cast.head_coach, cast.assistant.person)
    post(cast)
    (taken,) = mail_server.taken
    mail = taken.mail
    assert taken.to == "aiko@home.example" and mail["To"] == "aiko@home.example"
    assert mail["From"] == "Ternfield <practice@ternfield.example>"
    for words in ("Well run, you.", "two", "three", "https://vault.example/c/there/"):
        assert words in taken.text and words in taken.html
    assert "<b>" in taken.text and "&lt;b&gt;" in taken.html and "two & three" in taken.text
    stop = mail["List-Unsubscribe"].strip("<>")
    assert mail["List-Unsubscribe-Post"] == "List-Unsubscribe=One-Click" and stop in taken.text and stop in taken.html
    assert f"List-Unsubscribe: <{stop}>\r\n".encode() in taken.raw, "as it is, for programs that read no encoded words"
    assert mail["Content-Language"] == "en"
    assert mail["Auto-Submitted"] == "auto-generated" and mail["Message-ID"]


def test_the_language_is_the_reader_s(cast: Cast, mail_server: LoopbackServer) -> None:
    Person.objects.filter(pk=cast.parent.person.pk).update(language="de")
    heard = []

    def write(reader: Reader) -> letters.Letter:
        from django.utils.translation import get_language

        heard.append((reader.person.given_name, get_language()))
        return say(reader)

    send(cast.head_coach, cast.athlete.person, write=write)
    assert sorted(heard) == [("Nandi", "en"), ("Thandi", "de")]


def test_the_same_thing_is_never_queued_twice(cast: Cast, mail_server: LoopbackServer) -> None:
    for _n in range(3):
        send(cast.head_coach, cast.athlete.person)
    post(cast)
    send(cast.head_coach, cast.athlete.person)
    post(cast)
    assert sorted(one.to for one in mail_server.taken) == ["nandi@home.example", "thandi@home.example"]


def test_without_a_mail_server_nothing_is_queued(cast: Cast) -> None:
    assert send(cast.head_coach, cast.assistant.person) == []
    assert not Mail.objects.exists() and not Duty.objects.filter(kind="post").exists()


# --- never alone ----------------------------------------------------------------------------------


def test_a_minor_s_mail_goes_to_the_guardian_first(cast: Cast, mail_server: LoopbackServer) -> None:
    send(cast.head_coach, cast.athlete.person)
    post(cast)
    assert [one.to for one in mail_server.taken] == ["thandi@home.example", "nandi@home.example"]
    mother, child = mail_server.taken
    assert "Well run, Nandi." in mother.text and "Nandi gets it too." in mother.text
    assert "Well run, you." in child.text and "An adult gets it too." in child.text


def test_nobody_learns_another_s_address(cast: Cast, mail_server: LoopbackServer) -> None:
    father = address(make_person(cast.club, "guardian", given_name="Themba"))
    Guardianship.objects.create(club=cast.club, guardian=father, child=cast.athlete.person)
    send(cast.head_coach, cast.athlete.person)
    post(cast)
    assert len(mail_server.taken) == 3
    for one in mail_server.taken:
        others = {other.to for other in mail_server.taken} - {one.to}
        assert not [other for other in others if other in one.mail.as_string()]


def test_while_the_copy_is_refused_or_put_off_the_minor_gets_nothing(cast: Cast, mail_server: LoopbackServer) -> None:
    said = "450 come back later"
    mail_server.step = lambda step, to: said if step == "rcpt" and to.startswith("thandi") else None
    send(cast.head_coach, cast.athlete.person)
    post(cast)
    assert states(cast) == {"Thandi": State.WAITING, "Nandi": State.WAITING} and mail_server.taken == []
    said = "550 nobody of that name"
    Mail.objects.update(due_at=timezone.now())
    post(cast)
    assert states(cast) == {"Thandi": State.FAILED, "Nandi": State.HELD} and mail_server.taken == []


def test_without_a_guardian_who_gets_mail_another_adult_reads_along(cast: Cast, mail_server: LoopbackServer) -> None:
    Guardianship.objects.update(gets_mail=False)
    send(cast.head_coach, cast.athlete.person)
    post(cast)
    assert [one.to for one in mail_server.taken] == ["ines@home.example", "nandi@home.example"]
    assert "Well run, you." in mail_server.taken[0].text, "what the minor reads"


def test_the_writer_is_no_second_adult(cast: Cast, mail_server: LoopbackServer) -> None:
    Guardianship.objects.update(gets_mail=False)
    address(cast.head_coach.person, "")
    send(cast.officer, cast.athlete.person)
    post(cast)
    assert [one.to for one in mail_server.taken] == ["aiko@home.example", "nandi@home.example"]


def test_with_no_adult_at_all_it_is_held_and_said(cast: Cast, mail_server: LoopbackServer, client: Client) -> None:
    for member in (cast.assistant, cast.parent, cast.officer):
        address(member.person, "")
    send(cast.head_coach, cast.athlete.person)
    post(cast)
    assert states(cast) == {"Nandi": State.HELD} and mail_server.taken == []
    client.force_login(cast.head_coach.person)
    page = client.get(f"/c/{cast.club.slug}/mail/?only=trouble").content.decode()
    assert "to a young person alone" in page and "Send again" in page
    address(cast.officer.person)  # what the page says to do
    client.post(f"/c/{cast.club.slug}/mail/{Mail.objects.get().pk}/again/")
    post(cast)
    assert [one.to for one in mail_server.taken] == ["ines@home.example", "nandi@home.example"]
    ours, theirs = (one.mail["List-Unsubscribe"].strip("<>") for one in mail_server.taken)
    assert ours in mail_server.taken[0].text and theirs not in mail_server.taken[0].text


def test_every_mixture_of_rights_ages_and_addresses_leaves_no_minor_alone_and_no_barred_reader(
    cast: Cast, mail_server: LoopbackServer
) -> None:
    """The property, over all of them: before a minor's mail an adult's of the same thing was taken."""
    child, tie = cast.athlete.person, Guardianship.objects.get()
    mixtures = product(("2012", "1990", ""), (True, False), (True, False), (True, False), (0, 1, 2), (True, False))
    count = 0
    for born, gets, barred, ended, stopped, officer in mixtures:
        count += 1
        rights = {"gets_mail": gets and not barred, "barred": barred, "sees_progress": not barred}
        rights |= {} if not barred else {"may_collect": False, "may_consent": False}
        until = timezone.now().date() - timedelta(days=2) if ended else None
        Guardianship.objects.filter(pk=tie.pk).update(**{"may_collect": True, "may_consent": True, **rights})
        Guardianship.objects.filter(pk=tie.pk).update(until=until)
        Person.objects.filter(pk=child.pk).update(birth_date=date(int(born), 1, 1) if born else None)
        MailStop.objects.all().delete()
        for person in (cast.parent.person, child)[:stopped]:
            MailStop.objects.create(club=cast.club, person=person, kind="changes", at=timezone.now())
        address(cast.officer.person, None if officer else "")
        mail_server.taken.clear()
        send(cast.head_coach, Person.objects.get(pk=child.pk), key=str(count))
        post(cast)
        to = [one.to.split("@")[0] for one in mail_server.taken]
        said = (born, gets, barred, ended, stopped, officer, to)
        if "nandi" in to and born != "1990":
            assert to.index("nandi") > 0, said
        assert "thandi" not in to or (gets and not barred and not ended and not stopped and born != "1990"), said
        assert "nandi" not in to or stopped < 2, said
    assert count == 144


@pytest.mark.parametrize("change", ["barred", "ended", "untied", "left", "stopped"])
def test_whoever_loses_the_right_before_it_is_sent_gets_nothing(
    cast: Cast, mail_server: LoopbackServer, change: str
) -> None:
    send(cast.head_coach, cast.athlete.person)
    tie = Guardianship.objects.filter(guardian=cast.parent.person)
    none = dict.fromkeys(("sees_progress", "may_collect", "may_consent", "gets_mail"), False)
    {
        "barred": lambda: tie.update(barred=True, **none),
        "ended": lambda: tie.update(until=timezone.now().date() - timedelta(days=2)),
        "untied": lambda: tie.delete(),
        "left": lambda: Membership.objects.filter(person=cast.parent.person).update(left_on=timezone.now().date()),
        "stopped": lambda: MailStop.objects.create(
            club=cast.club, person=cast.parent.person, kind="changes", at=timezone.now()
        ),
    }[change]()
    post(cast)
    assert mail_server.taken == []
    assert states(cast) == {"Thandi": State.DROPPED, "Nandi": State.HELD}


def test_a_mail_about_a_child_goes_to_nobody_without_a_tie(cast: Cast, mail_server: LoopbackServer) -> None:
    mate = cast.team_mate.person
    for person in (cast.parent.person, cast.assistant.person, mate):
        with pytest.raises(actions.MayNotReceive):
            send(cast.head_coach, person, about=mate if person != mate else cast.athlete.person)
    send(cast.head_coach, cast.parent.person, about=cast.athlete.person, kind="progress")
    Guardianship.objects.update(sees_progress=False)
    with pytest.raises(actions.MayNotReceive):
        send(cast.head_coach, cast.parent.person, about=cast.athlete.person, kind="progress", key="next")


def test_no_other_module_sends_mail_or_makes_a_row_of_one() -> None:
    sends = re.compile(r"\bsend_mail|send_mass_mail|mail_admins|EmailMessage|EmailMulti|smtplib|get_connection")
    makes = re.compile(r"\bMail\(|\bMail\.objects\.(create|bulk_create|get_or_create|update_or_create)")
    found = {path.relative_to(ROOT).as_posix() for path in python_files() if sends.search(path.read_text("utf-8"))}
    made = {path.relative_to(ROOT).as_posix() for path in python_files() if makes.search(path.read_text("utf-8"))}
    assert found == {"club/mail/smtp.py"}
    assert made == {"club/mail/actions.py", "club/models/mail.py"}
    assert site_settings.EMAIL_BACKEND.endswith("dummy.EmailBackend"), "libraries send nothing"


# --- the server ------------------------------------------------------------------------------------


def test_a_dead_server_is_asked_less_and_less_and_the_page_says_so(
    cast: Cast, mail_server: LoopbackServer, client: Client, settings: object
) -> None:
    settings.MAIL = smtp.MailServer("127.0.0.1", 1, "", "", "none", "a@b.example")  # type: ignore[attr-defined]
    send(cast.head_coach, cast.athlete.person)
    waits = []
    for _n in range(4):
        post(cast)
        waits.append((Duty.objects.get(kind="post").due_at - timezone.now()).total_seconds())
    assert [round(wait) for wait in waits] == [2, 4, 8, 16]
    assert set(states(cast).values()) == {State.WAITING}
    client.force_login(cast.head_coach.person)
    page = client.get(f"/c/{cast.club.slug}/mail/").content.decode()
    assert "The mail server does not answer" in page and "2 mails wait and are not lost." in page
    assert "refused" in page.lower(), "the server's own words"
    settings.MAIL = mail_server.settings  # type: ignore[attr-defined]
    post(cast)
    assert len(mail_server.taken) == 2 and Duty.objects.get(kind="post").failures == 0


@pytest.mark.parametrize("step", ["rcpt", "data", "taken"])
def test_a_refusal_for_good_is_shown_with_what_to_do(
    cast: Cast, mail_server: LoopbackServer, client: Client, step: str
) -> None:
    mail_server.step = lambda at, to: "550 no box aiko@home.example here" if at == step else None
    send(cast.head_coach, cast.assistant.person)
    post(cast)
    mail = Mail.objects.get()
    assert mail.state == State.FAILED and "aiko@home.example" not in mail.answer and "no box" in mail.answer
    client.force_login(cast.head_coach.person)
    page = client.get(f"/c/{cast.club.slug}/mail/?only=trouble").content.decode()
    assert "Check the address" in page and "no box" in page


def test_a_refusal_for_now_is_tried_again_later_and_given_up_after_two_days(
    cast: Cast, mail_server: LoopbackServer
) -> None:
    mail_server.step = lambda step, to: "451 busy" if step == "taken" else None
    send(cast.head_coach, cast.assistant.person)
    waits = []
    for _n in range(3):
        Mail.objects.update(due_at=timezone.now())
        post(cast)
        mail = Mail.objects.get()
        waits.append(round((mail.due_at - timezone.now()).total_seconds() / 60))
    assert waits == [1, 2, 4] and mail.state == State.WAITING
    assert Duty.objects.get(kind="post").due_at > timezone.now(), "the duty waits with it"
    Mail.objects.update(due_at=timezone.now(), queued_at=timezone.now() - timedelta(days=3))
    post(cast)
    assert Mail.objects.get().state == State.FAILED


def test_a_server_that_does_not_take_our_sender_fails_no_mail(cast: Cast, mail_server: LoopbackServer) -> None:
    mail_server.step = lambda step, to: "530 sign in first" if step == "mail" else None
    send(cast.head_coach, cast.assistant.person)
    post(cast)
    assert Mail.objects.get().state == State.WAITING and "530" in Duty.objects.get(kind="post").last_error


def test_an_address_that_is_none_is_refused_before_the_server_hears_of_it(
    cast: Cast, mail_server: LoopbackServer
) -> None:
    for written in ("two words@home.example", "a@home.example>\r\nRCPT TO:<b@x.example", "@home.example"):
        Mail.objects.all().delete()
        address(cast.assistant.person, written)
        send(cast.head_coach, cast.assistant.person)
        post(cast)
        assert Mail.objects.get().state == State.FAILED and mail_server.taken == []


def test_a_title_of_several_lines_adds_no_header(cast: Cast, mail_server: LoopbackServer) -> None:
    title = "Cancelled\r\nBcc: somebody@else.example"
    send(cast.head_coach, cast.assistant.person, write=lambda reader: letters.Letter(title, ()))
    post(cast)
    (taken,) = mail_server.taken
    assert taken.mail["Bcc"] is None and taken.mail["Subject"] == "Cancelled Bcc: somebody@else.example"


@pytest.mark.django_db(transaction=True)
def test_no_mail_leaves_inside_a_transaction_and_sending_was_committed_first(
    cast: Cast, mail_server: LoopbackServer, monkeypatch: pytest.MonkeyPatch
) -> None:
    seen = []
    data = smtp.Connection._data

    def watch(self: smtp.Connection, content: bytes, to: str) -> smtp.Answer:
        seen.append((connection.in_atomic_block, Mail.objects.get().state))
        return data(self, content, to)

    monkeypatch.setattr(smtp.Connection, "_data", watch)
    send(cast.head_coach, cast.assistant.person)
    post(cast)
    assert seen == [(False, State.SENDING)] and Mail.objects.get().state == State.SENT


# --- once more, and no more -------------------------------------------------------------------------


def test_what_may_have_been_sent_goes_again_by_a_button_alone(
    cast: Cast, mail_server: LoopbackServer, client: Client
) -> None:
    send(cast.head_coach, cast.assistant.person)
    Mail.objects.update(state=State.SENDING, sending_at=timezone.now(), attempt="0" * 32)
    for _n in range(3):
        post(cast)
    assert Mail.objects.get().state == State.UNSURE and mail_server.taken == []
    client.force_login(cast.head_coach.person)
    page = client.get(f"/c/{cast.club.slug}/mail/").content.decode()
    assert "It may have been sent" in page
    for _n in range(2):
        client.post(f"/c/{cast.club.slug}/mail/{Mail.objects.get().pk}/again/")
        post(cast)
    assert len(mail_server.taken) == 1 and Mail.objects.get().state == State.SENT
    assert AuditEntry.objects.filter(kind="sent a mail once more").count() == 1


def test_after_a_mail_came_back_nothing_goes_there_until_the_address_is_another_one_or_it_is_sent_again(
    cast: Cast, mail_server: LoopbackServer, client: Client
) -> None:
    send(cast.head_coach, cast.assistant.person)
    (mail,) = Mail.objects.all()
    client.force_login(cast.head_coach.person)
    path = f"/c/{cast.club.slug}/mail/{mail.pk}/"
    assert "cannot have come back" in client.post(f"{path}came-back/", follow=True).content.decode()
    post(cast)
    assert "It came back" in client.get(path).content.decode()
    assert "Nothing more goes to that address" in client.post(f"{path}came-back/", follow=True).content.decode()
    assert states(cast) == {"Aiko": State.FAILED} and AuditEntry.objects.filter(kind="noted that mail came back")
    assert send(cast.head_coach, cast.assistant.person, key="later") == []
    assert "came back" in client.get(f"/c/{cast.club.slug}/people/{cast.assistant.person.pk}/").content.decode()
    person = address(Person.objects.get(pk=cast.assistant.person.pk), "aiko@new.example")
    assert send(cast.head_coach, person, key="later")
    address(person, "aiko@home.example")
    assert actions.resend(by=cast.head_coach.acting(Permission.MAIL_KEEP), mail=Mail.objects.get(pk=mail.pk), now=NOW())
    post(cast)
    assert [one.to for one in mail_server.taken].count("aiko@home.example") == 3


def test_a_night_deletes_mails_that_are_older_than_a_year(cast: Cast, mail_server: LoopbackServer) -> None:
    send(cast.head_coach, cast.assistant.person)
    send(cast.head_coach, cast.assistant.person, key="old")
    Mail.objects.filter(key="old").update(queued_at=NOW() - timedelta(days=366))
    Duty.objects.create(club=cast.club, kind="old_mail", key="", queue=duties.LONG, asked_at=NOW(), due_at=NOW())
    duties.drain(duties.LONG)
    assert [mail.key for mail in Mail.objects.all()] == ["k"]
    assert Duty.objects.get(club=cast.club, kind="old_mail").due_at > NOW(), "and again the next night"


def test_the_officer_reads_what_went_to_minors_and_who_read_along_and_no_other_mail(
    cast: Cast, mail_server: LoopbackServer, client: Client
) -> None:
    send(cast.head_coach, cast.athlete.person)
    send(cast.head_coach, cast.assistant.person)
    client.force_login(cast.officer.person)
    page = client.get(f"/c/{cast.club.slug}/mail/minors/").content.decode()
    assert "Nandi" in page and "Thandi" in page and cast.head_coach.person.full_name in page and "Aiko" not in page
    own, other = Mail.objects.get(minor=True), Mail.objects.get(to=cast.assistant.person)
    words = client.get(f"/c/{cast.club.slug}/mail/minors/{own.pk}/").content.decode()
    assert "Well run, you." in words and "Thandi" in words and "/no-more-mail/" not in words
    assert client.get(f"/c/{cast.club.slug}/mail/minors/{other.pk}/").status_code == 404
    client.force_login(cast.head_coach.person)
    assert client.get(f"/c/{cast.club.slug}/mail/minors/").status_code == 403


def test_one_click_stops_a_kind_and_the_page_stays(cast: Cast, mail_server: LoopbackServer) -> None:
    stranger = Client(enforce_csrf_checks=True)
    send(cast.head_coach, cast.assistant.person)
    post(cast)
    path = mail_server.taken[0].mail["List-Unsubscribe"].strip("<>").removeprefix("https://vault.example")
    assert "sends you mail about" in stranger.get(path).content.decode() and not MailStop.objects.exists()
    stopped = stranger.post(path, {"List-Unsubscribe": "One-Click"})
    assert stopped.status_code == 200 and "Your page stays" in stopped.content.decode()
    send(cast.head_coach, cast.assistant.person, key="two")
    send(cast.head_coach, cast.assistant.person, key="three", kind="week")
    post(cast)
    assert [mail.kind for mail in Mail.objects.order_by("queued_at")] == ["changes", "week"]
    stranger.post(path, {"again": "1"})
    assert not MailStop.objects.exists()
    assert stranger.get(path[:-3] + "x/").status_code == 404


def test_a_list_of_mails_asks_a_fixed_number_of_questions(
    cast: Cast, mail_server: LoopbackServer, client: Client, django_assert_max_num_queries: object
) -> None:
    client.force_login(cast.head_coach.person)
    for number in range(60):
        send(cast.head_coach, cast.athlete.person, key=str(number))
    with django_assert_max_num_queries(14):  # type: ignore[operator]
        page = client.get(f"/c/{cast.club.slug}/mail/")
    assert "Page 1 of 3" in page.content.decode()


def test_each_chooses_the_kinds_and_merging_keeps_the_wish(cast: Cast, mail_server: LoopbackServer) -> None:
    from club.subjects import erase_rows, export, merge_rows

    other = address(make_person(cast.club, "safeguarding_officer", given_name="Aki"))
    actions.set_kinds(by=cast.assistant.acting(Permission.CALENDAR_KEEP), wanted=["week"], now=timezone.now())
    send(cast.head_coach, cast.assistant.person, kind="week")
    send(cast.head_coach, other, kind="week")
    assert [row["to_id"] for row in export(cast.club, other)["club.Mail"]] == [other.pk] * 2  # as reader and as subject
    merge_rows(cast.club, cast.assistant.person, other)
    assert set(MailStop.objects.filter(person=other).values_list("kind", flat=True)) == {"changes", "progress"}
    assert Mail.objects.filter(to=other).count() == 1 and not Mail.objects.filter(to=cast.assistant.person).exists()
    erase_rows(cast.club, other)
    assert not Mail.objects.exists() and not MailStop.objects.exists()
