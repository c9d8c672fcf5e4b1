"""Law 12, the second language: whatever an athlete or a parent reads is there in German: pages, mails, calendars.

Two ways of asking, since neither sees all: every message of the files that are theirs, and every message that was
really asked for while their pages, mails and calendars were made, in whatever file it stands.
"""

import logging
import re
from collections.abc import Iterator
from typing import Any

import polib
import pytest
from django.core.cache import cache
from django.test import Client
from django.urls import reverse
from django.utils import timezone, translation
from django.utils.translation import trans_real

from club import duties
from club.mail import post, stopping
from club.mail.kinds import CHANGES
from club.members import find_member
from club.models import Duty, Person
from club.roles import Permission
from club.translations import SOURCE
from sessions.practices.actions import calendar
from tests.club import policy
from tests.club.asking import BODIES, Body, Browsers, Place, places
from tests.club.world import World, make_world
from tests.laws.messages import Message, in_file, in_template
from tests.laws.source import ROOT
from tests.mailing import LoopbackServer

GERMAN = SOURCE / "de" / "LC_MESSAGES" / "django.po"
READERS = ("nandi", "parent", "unshown_parent", "anonymous", "stranger")
NAMES = re.compile(r"%\(\w+\)[sd]|%[sd]|\{\w*\}")
THEIRS = (
    "athletes/templates/athletes/keep_card.html",
    "athletes/templates/athletes/my_notebook.html",
    "athletes/templates/athletes/report.html",
    "athletes/templates/athletes/parts/card.html",
    "athletes/templates/athletes/parts/card_changes.html",
    "athletes/templates/athletes/parts/entries.html",
    "athletes/templates/athletes/parts/looks.html",
    "club/context.py",
    "club/mail/actions.py",
    "club/mail/kinds.py",
    "club/templates/*.html",
    "club/templates/account/*.html",
    "club/templates/club/account.html",
    "club/templates/club/base*.html",
    "club/templates/club/clubs.html",
    "club/templates/club/form_page.html",
    "club/templates/club/mail.*",
    "club/templates/club/parts/*.html",
    "club/templates/club/sign_in_by_link.html",
    "club/templates/club/skeleton.html",
    "club/templates/club/stop_mail.html",
    "club/templates/club/this_screen.html",
    "club/views/account.py",
    "club/views/screen.py",
    "club/words.py",
    "sessions/boards/actions.py",
    "sessions/boards/models.py",
    "sessions/boards/reader_words.py",
    "sessions/boards/templates/boards/child_page.html",
    "sessions/boards/templates/boards/children.html",
    "sessions/boards/templates/boards/my_practice.html",
    "sessions/boards/templates/boards/parts/answer.html",
    "sessions/boards/templates/boards/parts/cancelled.html",
    "sessions/boards/templates/boards/parts/coming.html",
    "sessions/boards/templates/boards/parts/dates.html",
    "sessions/boards/templates/boards/parts/incidents_plain.html",
    "sessions/boards/templates/boards/parts/moved.html",
    "sessions/boards/templates/boards/parts/question.html",
    "sessions/boards/templates/boards/parts/summaries.html",
    "sessions/boards/templates/boards/parts/task.html",
    "sessions/boards/views/reader.py",
    "sessions/feeds/queries.py",
    "sessions/feeds/views.py",
    "sessions/feeds/templates/feeds/*.html",
    "sessions/news/actions.py",
    "sessions/news/words.py",
    "sessions/practices/actions/coming.py",
    "sessions/summaries/letters.py",
    "sessions/summaries/pdf.py",
    "sessions/summaries/plain.py",
    "sessions/summaries/words.py",
    "sessions/summaries/templates/summaries/parts_of.html",
    "sessions/summaries/templates/summaries/summary.html",
)


def german() -> dict[Message, polib.POEntry]:
    book = polib.pofile(str(GERMAN))
    return {Message(entry.msgid, entry.msgid_plural, entry.msgctxt or ""): entry for entry in book}


def said(entry: polib.POEntry) -> list[str]:
    return (
        [entry.msgstr_plural[number] for number in sorted(entry.msgstr_plural)]
        if entry.msgid_plural
        else [entry.msgstr]
    )


def theirs() -> dict[Message, str]:
    """Every message of the files that athletes and parents read, and a file that has it."""
    found: dict[Message, str] = {}
    for pattern in THEIRS:
        paths = list(ROOT.glob(pattern))
        assert paths, f"{pattern} is no file any more"
        for path in paths:
            found |= {message: path.relative_to(ROOT).as_posix() for message in in_file(path)}
    return found


def test_every_message_of_their_files_is_in_german() -> None:
    book = german()
    missing = {m.one: where for m, where in theirs().items() if m not in book or not all(said(book[m]))}
    assert not missing, "\n".join(f"{text!r} in {where}" for text, where in missing.items())


def test_german_is_whole_where_it_is_given() -> None:
    """No guess left standing, both numbers, the same names in the sentence, no English left by mistake."""
    wrong = []
    for message, entry in german().items():
        if entry.fuzzy or entry.obsolete or not all(said(entry)):
            wrong.append(f"{message.one!r} is fuzzy, obsolete or empty")
        wanted = [set(NAMES.findall(message.one))] + ([set(NAMES.findall(message.many))] if message.many else [])
        if len(said(entry)) != len(wanted):
            wrong.append(f"{message.one!r} has not two numbers")
        for text, names in zip(said(entry), [wanted[0], wanted[-1]], strict=False):
            allowed = {frozenset(names), frozenset(wanted[-1])}
            if frozenset(NAMES.findall(text)) not in allowed:
                wrong.append(f"{message.one!r} and {text!r} do not name the same")
        ends = [
            message.one[:1].isspace() == text[:1].isspace() and message.one[-1:] == "\n" == text[-1:]
            for text in said(entry)
        ]
        if message.one[-1:] == "\n" and not all(ends):
            wrong.append(f"{message.one!r} begins or ends otherwise")
    assert wrong == [], "\n".join(wrong)


TEMPLATE = """{% load i18n %}<p title="{% translate 'Stop it' %}">{{ day|date:_("l j F") }}
{% blocktranslate count n=n trimmed %}{{ n }} "rep"{% plural %}{{ n }} reps{% endblocktranslate %}
{% translate "Main" context "navigation" %}</p>"""


def test_messages_of_templates_are_found_as_django_reads_them() -> None:
    plural, in_context = Message('%(n)s "rep"', "%(n)s reps"), Message("Main", "", "navigation")
    assert set(in_template(TEMPLATE)) == {Message("Stop it"), Message("l j F"), plural, in_context}


# --- what is really asked for ---------------------------------------------------------------------


class Asked:
    """Stands in for Django's own functions and notes what German does not have."""

    def __init__(self, patch: pytest.MonkeyPatch) -> None:
        self.missing: dict[Message, str] = {}
        self.where, self.count = "", 0
        found = translation._trans
        for name in ("gettext", "pgettext", "ngettext", "npgettext"):
            patch.setattr(found, name, self._noting(name, getattr(found, name)))

    def _noting(self, name: str, real: Any) -> Any:
        def ask(*values: Any) -> Any:
            if translation.get_language() == "de":
                self._look(name, values)
            return real(*values)

        return ask

    def _look(self, name: str, values: tuple[Any, ...]) -> None:
        words = [str(part).replace("\r\n", "\n").replace("\r", "\n") for part in values]
        context = words.pop(0) if name in {"pgettext", "npgettext"} else ""
        message = Message(words[0], words[1] if name in {"ngettext", "npgettext"} else "", context)
        self.count += 1
        key = f"{context}\x04{message.one}" if context else message.one
        known = trans_real.translation("de")._catalog.get((key, 1) if message.many else key)
        if message.one and known is None:
            self.missing.setdefault(message, self.where)


@pytest.fixture
def asked(monkeypatch: pytest.MonkeyPatch) -> Asked:
    return Asked(monkeypatch)


@pytest.fixture
def world(db: None, mail_server: LoopbackServer, monkeypatch: pytest.MonkeyPatch) -> Iterator[World]:
    logging.disable(logging.ERROR)
    monkeypatch.setattr(post, "AT_ONCE_S", 60.0)
    cache.clear()
    made = make_world()
    Person.objects.update(language="de")
    for person in made.people.values():
        person.language = "de"
    yield made
    cache.clear()
    logging.disable(logging.NOTSET)


def opens(viewer: str, place: Place) -> bool:
    found = policy.expected(viewer, place.address.name, place.in_other_club, place.targets, place.consistent)
    return found == policy.IN and place.address.name != "account_logout"


def test_whatever_their_pages_ask_for_is_in_german(world: World, asked: Asked) -> None:
    browsers = Browsers(world)
    german_browser = {"Accept-Language": "de"}
    for viewer in READERS:
        for place in places(world):
            asked.where = f"{place.url} as {viewer}"
            methods = place.address.door.methods  # type: ignore[union-attr]
            if not place.url.startswith("/api/") and "GET" in methods:
                browsers.ask(viewer, "GET", place.url, **german_browser)
            if viewer in {"nandi", "parent"} and "POST" in methods and opens(viewer, place):
                translation.deactivate()  # the body is the test's own
                whole = BODIES[place.address.name](world, place.prefix, place.targets)
                for body in (Body({}), whole):
                    browsers.ask(viewer, "POST", place.url, body, **german_browser)
    stop = stopping.address(world.club, world.people["parent"], CHANGES).split("/", 3)[3]
    for method, data in (("get", {}), ("post", {}), ("post", {"again": "1"})):
        getattr(Client(), method)(f"/{stop}", data, headers=german_browser)
    assert asked.count > 500
    assert not asked.missing, "\n".join(f"{text.one!r} at {where}" for text, where in asked.missing.items())


def test_whatever_their_mails_and_calendars_ask_for_is_in_german(
    world: World, asked: Asked, mail_server: LoopbackServer
) -> None:
    asked.where = "a mail or a calendar"
    by = find_member(world.people["head"], world.club.slug)
    assert by is not None
    planner, practice = by.acting(Permission.PRACTICE_PLAN), world.objects["practice"]["today"]
    Person.objects.filter(pk=world.people["nandi"].pk).update(birth_date="2014-01-01")
    for act in (calendar.cancel, calendar.uncancel):
        act(by=planner, practice=practice)
        duties.leave("week_mail", world.club, [""])
        for _n in range(3):
            Duty.objects.update(due_at=timezone.now())
            for queue in (duties.LONG, duties.QUICK):
                duties.drain(queue)
    for viewer in ("nandi", "parent"):
        assert Client().get(reverse("feed", args=[world.parts[f"{viewer}_calendar"]])).status_code == 200
    titles = " ".join(str(one.mail["Subject"]) for one in mail_server.taken)
    assert "Kein Training am" in titles and "Doch Training am" in titles and "die kommende Woche" in titles
    assert all(one.mail["Content-Language"] == "de" for one in mail_server.taken)
    assert not asked.missing, "\n".join(message.one for message in asked.missing)
