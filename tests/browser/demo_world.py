"""The invented club on a day of practice: reps at today's, one practice released, one cancelled, and papers."""

from dataclasses import dataclass
from datetime import date, datetime, time, timedelta
from decimal import Decimal
from typing import Any
from uuid import uuid4

from django.test import override_settings
from django.utils import timezone

from athletes.actions import restrict
from athletes.actions.poles import add_pole
from athletes.actions.roster import start_roster
from athletes.models import Athlete, Squad
from club import duties, signin
from club.clock import club_now
from club.environment import MailServer
from club.members import Member, find_member
from club.models import BarredContact, Club, Mail, Membership, Person, Venue
from club.roles import Permission, Role
from drills.actions.files import draft_import
from drills.models import Drill
from drills.shipped import SHIPPED
from sessions.demo.actions import SMALL, make_demo_club
from sessions.feeds import queries as calendars
from sessions.feeds.actions import make as make_calendar
from sessions.practices.actions import calendar, checks, incidents, pick_up
from sessions.practices.core.checks import items_of
from sessions.practices.models import Assignment, Practice
from sessions.reps.actions import take_events
from sessions.summaries.actions import approve, ask
from sessions.summaries.models import Summary

NOBODY_LISTENS = MailServer("127.0.0.1", 1, "", "", "none", "practice@club.example")


@dataclass(frozen=True, slots=True)
class DemoWorld:
    """members: one of each role. practices: today's, one released, one cancelled, a draft; the first two have reps."""

    club: Club
    members: dict[Role, Member]
    practices: tuple[Practice, ...]
    rows: dict[str, Any]

    @property
    def today(self) -> Practice:
        return self.practices[0]


def make_demo_world() -> DemoWorld:
    club = make_demo_club(size=SMALL)
    Person.objects.filter(pk__in=Membership.objects.filter(club=club).values("person")).update(email="who@home.example")
    members = {role: _first(club, role) for role in Role}
    coach = members[Role.HEAD_COACH].acting(Permission.PRACTICE_PLAN)
    now = club_now(club)
    today = Practice.objects.for_member(coach).filter(day=now.date(), published_at__isnull=False).order_by("starts")[0]
    places = list(Assignment.objects.for_member(coach).filter(block__practice=today).select_related("drill", "block"))
    _log(coach, today, places[:12], timezone.now())
    released = _other(coach, now.date() - timedelta(days=3))
    _log(coach, released, places[:6], timezone.make_aware(datetime.combine(released.day, time(7))))
    calendar.release(by=coach, practice=released, now=now)
    cancelled = _other(coach, now.date() + timedelta(days=1))
    with override_settings(MAIL=NOBODY_LISTENS):
        calendar.cancel(by=coach, practice=cancelled)
        duties.drain(duties.QUICK)
    Mail.objects.filter(pk=Mail.objects.for_club(club).first().pk).update(
        state="failed", reason="refused", answer="550 no"
    )
    keeper = members[Role.GUARDIAN].acting(Permission.CALENDAR_KEEP)
    make_calendar(by=keeper, value=calendars.choices(keeper)[0].value, now=timezone.now())
    draft = _other(coach, now.date() + timedelta(days=2), publish=False)
    rows = _papers(coach, members, places[0].athlete, now.date())
    _day(coach, today, [place.athlete for place in places], now)
    ask(by=coach, today=now.date())
    while duties.drain(duties.QUICK) + duties.drain(duties.LONG):
        pass
    _tell(coach, members, now)
    return DemoWorld(club, members, (today, released, cancelled, draft), {**rows, "place": places[0]})


def _tell(coach: Member, members: dict[Role, Member], now: datetime) -> None:
    """Summaries of those of whom somebody here is the reader are approved; the others wait."""
    read = {members[Role.ATHLETE].person.pk, *members[Role.GUARDIAN].children}
    rows = Summary.objects.for_member(coach).filter(athlete__person__in=read)
    approve(by=coach, ids=[row.pk for row in rows], now=now)


def _day(coach: Member, practice: Practice, athletes: list[Athlete], now: datetime) -> None:
    """Somebody barred, somebody who has left, a station that is checked, something broken, something that happened."""
    by, who = coach.acting(Permission.PRACTICE_RUN), list(dict.fromkeys(athletes))
    BarredContact.objects.create(club=by.club, child=who[0].person, name="Marek Novák", note="grey van")
    pick_up.leave_with_other(by=by, practice=practice, athlete=who[1], name="Ada Reed", now=now)
    station = practice.stations.select_related("area")[0]
    checks.check_station(by=by, station=station, items=items_of(station.area.kind), now=now)
    checks.report_kit(by=by, practice=practice, what="A strap of the pit", area=None, now=now)
    words = {"happened": "Turned an ankle on the way back.", "done": "Sat down, ice.", "told": "Phoned at once."}
    incidents.open_incident(by=by, practice=practice, athlete=who[0], at=now, now=now, **words)


def _first(club: Club, role: Role) -> Member:
    row = Membership.objects.filter(club=club, role=role, left_on__isnull=True).order_by("pk")[0]
    member = find_member(row.person, club.slug)
    assert member is not None
    return member


def _other(coach: Member, day: date, publish: bool = True) -> Practice:
    details = calendar.Details(
        day=day,
        starts=time(6),  # when no practice of the demo club is: a squad is never at two at once
        ends=time(8),
        venue=Venue.objects.for_member(coach)[0],
        squads=tuple(Squad.objects.for_member(coach)),
        adults=(coach.person,),
    )
    (practice,) = calendar.add_practices(by=coach, details=details)
    if publish:
        calendar.publish(by=coach, practice=practice)
    return practice


def _log(by: Member, practice: Practice, places: list[Assignment], last: datetime) -> None:
    """Ten reps for each place, every third one with a fault at the gate, the last of all unsafe; who came; a note."""
    device, sent, at = str(uuid4()), [], last - timedelta(minutes=30)
    for number, place in enumerate(places):
        athlete = str(place.athlete_id)
        sent.append(_event("attendance", at, len(sent), athlete=athlete, state="late" if number % 3 else "here"))
        for n in range(10):
            at += timedelta(seconds=5)
            marks: dict[str, Any] = {"athlete": athlete, **_marks(place.drill, n % 3 == 2)}
            if number == n == 9:
                marks["unsafe"] = True
            sent.append(_event("rep", at, len(sent), **marks))
    first = str(places[0].athlete_id)
    sent += [_event("note", at, len(sent), athlete=first, text="Calm feet today.", reader="athlete")]
    sent += [_event("correction", at, len(sent), target=str(uuid4()), unsafe=True)]  # waits for its rep
    for part in (sent[:150], sent[150:]):
        if part:
            take_events(by=by, practice=practice, batch=_batch(device, part))


def _marks(drill: Drill, faulty: bool) -> dict[str, Any]:
    gate = [offer.checkpoint for offer in drill.offers.filter(gate=True).select_related("checkpoint")]
    faults = [gate[0].faults.all()[0].key] if faulty else []
    return {"drill": drill.key, "watched": [point.key for point in gate], "faults": faults}


def _event(kind: str, at: datetime, sequence: int, **content: Any) -> dict[str, Any]:
    return {"uuid": str(uuid4()), "kind": kind, "at": at.isoformat(), "sequence": sequence, **content}


def _batch(device: str, events: list[dict[str, Any]]) -> dict[str, Any]:
    return {
        "version": 1,
        "device": {"uuid": device, "name": "Tablet"},
        "sent_at": timezone.now().isoformat(),
        "events": events,
    }


def _papers(coach: Member, members: dict[Role, Member], athlete: Athlete, today: date) -> dict[str, Any]:
    """What pages need a row of: a restriction, a pole, a link that waits, two imports that wait to be looked over."""
    restrict(
        by=coach,
        athlete=athlete,
        what="Walking drills only",
        excludes=["moving"],
        starts_on=today,
        ends_on=today + timedelta(days=9),
    )
    add_pole(by=coach, tag="T 12", length_m=Decimal("3.60"), rating_kg=Decimal("54"))
    rows = [("Name", "Born", "Parent"), ("Ilse Fern", "2012-04-03", "Ruth Fern"), ("", "2013-31-31", "")]
    start_roster(by=coach.acting(Permission.PEOPLE_EDIT), name="autumn.csv", rows=rows, now=timezone.now())
    signin.make_link(by=coach, person=members[Role.ASSISTANT].person)
    text = SHIPPED.read_text(encoding="utf-8").replace("name: Standing drop\n", "name: Standing drop, both feet\n", 1)
    return {"draft": draft_import(by=coach.acting(Permission.CATALOGUE_EDIT), data=text.encode())}
