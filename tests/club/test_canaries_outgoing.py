"""What leaves the site by itself, mails and calendars: no word reaches whom the policy keeps it from."""

import logging
from collections.abc import Iterator
from datetime import date

import pytest
from django.core.cache import cache
from django.test import Client
from django.utils import timezone

from club import duties
from club.mail import post
from club.members import find_member
from club.models import Duty, Mail, Person
from club.roles import Permission
from sessions.practices.actions import calendar
from tests.club import policy
from tests.club.crawling import WORD, forbidden
from tests.club.world import GUARDIANS_OF, World, make_world
from tests.mailing import LoopbackServer


@pytest.fixture
def world(db: None, mail_server: LoopbackServer) -> Iterator[World]:
    logging.disable(logging.ERROR)
    cache.clear()
    made = make_world()
    young = [person.pk for name, person in made.people.items() if name in GUARDIANS_OF]
    Person.objects.filter(pk__in=young).update(birth_date=date(timezone.now().year - 13, 1, 1))
    yield made
    cache.clear()
    logging.disable(logging.NOTSET)


def kept_from(world: World, viewer: str, text: str) -> list[str]:
    """Words in the text that the policy keeps from that viewer."""
    canaries = {canary.word.lower(): canary for canary in world.canaries}
    words = {word for word in canaries if not WORD.fullmatch(word) and word in text.lower()}
    words |= set(WORD.findall(text.lower())) & set(canaries)
    return [f"{viewer} reads {canaries[word].kind}" for word in sorted(words) if forbidden(canaries[word], viewer)]


def test_no_mail_holds_a_word_that_its_reader_must_not_read(
    world: World, mail_server: LoopbackServer, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(post, "AT_ONCE_S", 60.0)
    for boss, club, practice in (("head", world.club, "today"), ("outsider_head", world.other, "elsewhere_today")):
        by = find_member(world.people[boss], club.slug)
        assert by is not None
        calendar.cancel(by=by.acting(Permission.PRACTICE_PLAN), practice=world.objects["practice"][practice])
        duties.leave("week_mail", club, [""])
    for _n in range(3):
        Duty.objects.filter(kind__in=["week_mail", "week_mail_of", "post"]).update(due_at=timezone.now())
        for queue in (duties.LONG, duties.QUICK):
            duties.drain(queue)
    readers = {person.email.lower(): name for name, person in world.people.items()}
    found = [
        said
        for one in mail_server.taken
        if readers[one.to.lower()] in policy.VIEWERS
        for said in kept_from(
            world, readers[one.to.lower()], f"{one.mail['Subject']} {one.text} {one.html} {one.mail['From']}"
        )
    ]
    got = {
        (readers[one.to.lower()], str(Mail.objects.filter(title=one.mail["Subject"])[0].kind))
        for one in mail_server.taken
    }
    assert {("parent", "changes"), ("parent", "week"), ("nandi", "week"), ("helper_parent", "week")} <= got
    assert not {"barred_parent", "former_parent", "stranger", "left_assistant"} & {name for name, _ in got}
    assert ("unshown_parent", "week") not in got and ("unshown_parent", "changes") in got
    assert found == [], found


def test_no_calendar_holds_a_word_that_its_reader_must_not_read(world: World) -> None:
    for viewer in ("nandi", "parent", "head", "outsider_head"):
        answer = Client().get(f"/calendar/{world.parts[f'{viewer}_calendar']}.ics")
        text = answer.content.decode().replace("\r\n ", "")
        assert answer.status_code == 200 and text.count("BEGIN:VEVENT") >= 1
        assert kept_from(world, viewer, text) == []
    assert "BEGIN:VEVENT" in text
