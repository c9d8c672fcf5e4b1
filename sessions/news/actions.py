"""Noting what is to be told, and writing the mails that tell it."""

from collections.abc import Sequence
from datetime import datetime, timedelta

from django.urls import reverse
from django.utils.formats import date_format
from django.utils.translation import gettext as _

from athletes.models import Athlete
from club import duties
from club.clock import local_day
from club.mail.actions import Reader, send
from club.mail.kinds import CHANGES, WEEK
from club.mail.letters import Letter, Part
from club.members import Member, find_member
from club.models import Club
from club.roles import Permission
from sessions.boards.queries import reader as boards
from sessions.news import queries, words
from sessions.news.core import Facts, week_of
from sessions.news.models import Untold
from sessions.news.queries import News
from sessions.practices.changes import Change, ChangeKind
from sessions.practices.models import Practice

TELL, WEEK_OF = "practice_changes", "week_mail_of"
DAYS = 7


def note_change(*, by: Member, change: Change) -> None:
    """Keeps how a published practice stood before, and asks that its people are told. In the change's transaction."""
    row = change.practice
    if change.kind is ChangeKind.PUBLISHED or row.published_at is None:
        return
    slot = change.was or row
    was_on = change.kind is ChangeKind.CANCELLED or (change.kind is ChangeKind.MOVED and row.cancelled_at is None)
    known = {"day": slot.day, "starts": slot.starts, "ends": slot.ends, "venue": slot.venue.name, "on": was_on}
    Untold.objects.get_or_create(club=by.club, practice=row, defaults=known)
    duties.leave(TELL, by.club, [""])


class ChangedMeanwhile(Exception):
    """A practice was changed once more while its mails were written; they are written anew."""


def tell(*, club: Club, told: Sequence[News], now: datetime) -> None:
    """Queues one mail a reader for all that changed, inside the duty's effect. Raises ChangedMeanwhile."""
    ids = {one.practice.pk: one.practice.sequence for one in told}
    rows = Practice.objects.for_club(club).select_for_update().filter(pk__in=ids).order_by("pk")
    if dict(rows.values_list("pk", "sequence")) != ids:
        raise ChangedMeanwhile
    for athlete, news in queries.expected(told):
        send(
            by=club,
            to=athlete.person,
            kind=CHANGES.name,
            key=queries.key(news),
            now=now,
            write=lambda reader, athlete=athlete, news=news: _changes(reader, athlete, news),  # type: ignore[misc]
        )
    for person, news in queries.adults(told):
        send(
            by=club,
            to=person,
            kind=CHANGES.name,
            key=queries.key(news),
            now=now,
            write=lambda _reader, news=news: _changes_for_adult(news),  # type: ignore[misc]
        )
    Untold.objects.for_club(club).filter(practice__in=ids).delete()


def _changes(reader: Reader, athlete: Athlete, news: Sequence[News]) -> Letter:
    said = [(one.what, one.before, one.now) for one in news if one.what]
    items = tuple(words.change_sentence(what, before, now) for what, before, now in said)
    name = "" if reader.own else athlete.person.given_name
    part = Part(words.whose_practice(name), items=items)
    return Letter(words.change_title(said), (part,), _page(reader, athlete), _("All dates"))


def _changes_for_adult(news: Sequence[News]) -> Letter:
    """To a coach or helper who is expected there; the page is that of the first practice."""
    said = [(one.what, one.before, one.now) for one in news if one.what]
    items = tuple(words.change_sentence(what, before, now) for what, before, now in said)
    first = news[0].practice
    link = reverse("practice", args=[first.club.slug, first.pk])
    return Letter(words.change_title(said), (Part(words.adults_practice(), items=items),), link, _("Its page"))


def _page(reader: Reader, athlete: Athlete) -> str:
    slug = athlete.club.slug
    return reverse("my_practice", args=[slug]) if reader.own else reverse("child_page", args=[slug, athlete.pk])


def send_week(*, club: Club, athlete: Athlete, now: datetime) -> None:
    """Queues the week's mail of one athlete, for them and their guardians, if there is anything to say. Inside the
    duty's effect."""
    member = find_member(athlete.person, club.slug)
    if member is None:
        return
    member, today = member.acting(Permission.MY_READ), local_day(club, now)
    until = today + timedelta(days=DAYS)
    dates = [date for date in boards.coming(member, athlete, now) if date.day <= until]
    worked = [day for day in boards.worked_on(member, athlete, today - timedelta(days=DAYS)) if day.drills]
    if not dates and not worked:
        return

    def write(reader: Reader) -> Letter:
        name = "" if reader.own else athlete.person.given_name
        parts = []
        if dates:
            parts.append(Part(heading=_("What is on"), items=tuple(map(_date_item, dates))))
        else:
            parts.append(Part(heading=_("What is on"), text=_("No practice is set for this week yet.")))
        if worked:
            items = tuple(words.worked_item(date_format(day.day, _("l j F")), day.drills) for day in reversed(worked))
            parts.append(Part(heading=_("What was worked on"), items=items))
        return Letter(words.week_title(name), tuple(parts), _page(reader, athlete), _("The page with all of it"))

    send(by=club, to=athlete.person, kind=WEEK.name, key=week_of(today), now=now, write=write)


def _date_item(date: boards.DateLine) -> str:
    when = words.when_words(Facts(date.day, date.starts, date.ends, date.venue, not date.cancelled))
    return words.date_item(when, date.bring, date.cancelled)
