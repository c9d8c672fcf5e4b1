"""Two clubs with everybody and everything that the policy speaks of. Each private field holds a word of its own."""

from dataclasses import dataclass, field
from datetime import date, datetime, time, timedelta
from typing import Any
from uuid import UUID, uuid4

from django.db import models
from django.utils import timezone

from athletes.actions import decide, restrict
from athletes.core.standing import DecisionKind
from athletes.models import Athlete, Notice, Squad
from club import audit, duties, signin
from club.clock import club_now
from club.members import find_member
from club.models import Area, Club, Consent, Duty, Guardianship, Heartbeat, Mail, Membership, Person, Venue
from club.roles import Permission
from drills.models import Checkpoint, Drill
from sessions.boards.models import SelfCheck
from sessions.feeds import actions as calendars
from sessions.planning.models import Fill, FillPlace
from sessions.practices.core.template import Layout, Piece, Spot, Stretch
from sessions.practices.models import AdultPresence, Assignment, Block, CannotCome, PlanTemplate, Practice, Station
from sessions.reps.actions import take_events
from tests.builders import (
    make_area,
    make_athlete,
    make_block,
    make_checkpoint,
    make_club,
    make_drill,
    make_person,
    make_practice,
    make_squad,
    make_station,
    make_venue,
)
from tests.club.catalogue_cases import put_catalogue
from tests.club.day_cases import put_day
from tests.club.people_cases import put_people
from tests.club.summary_cases import put_summaries

PASSWORD = "four words and a run"


@dataclass(frozen=True, slots=True)
class Canary:
    """A word, where it stands, and about whom. about: names of viewers; club: ``here``, ``elsewhere`` or ``both``."""

    word: str
    kind: str
    about: tuple[str, ...]
    club: str


@dataclass(slots=True)
class World:
    """people: by name, as the policy calls them. objects: by kind and name; the other club's begin ``elsewhere``."""

    club: Club
    other: Club
    today: date
    people: dict[str, Person] = field(default_factory=dict)
    athletes: dict[str, Athlete] = field(default_factory=dict)
    objects: dict[str, dict[str, models.Model]] = field(default_factory=dict)
    practice_of: dict[str, str] = field(default_factory=dict)
    canaries: list[Canary] = field(default_factory=list)
    tokens: dict[str, str] = field(default_factory=dict)
    parts: dict[str, Any] = field(default_factory=dict)

    def word(self, kind: str, *about: str, club: str = "here") -> str:
        """A new canary. Ends in a letter that begins none, so that no word is the beginning of another."""
        found = f"zq{kind.replace('_', '')}{len(self.canaries)}qz"
        self.canaries.append(Canary(found, kind, about, club))
        return found

    def add_canary(self, word: str, kind: str, about: tuple[str, ...], club: str) -> None:
        """A word that is a figure and cannot be made up freely."""
        self.canaries.append(Canary(word, kind, about, club))

    def put(self, kind: str, name: str, row: models.Model, practice: str = "") -> Any:
        self.objects.setdefault(kind, {})[name] = row
        if practice:
            self.practice_of[f"{kind} {name}"] = practice
        return row


def make_world() -> World:
    club, other = make_club(slug="ternfield", name="Ternfield"), make_club(slug="elsewhere", name="zqclubnameqz")
    now = club_now(club)
    world = World(club, other, now.date())
    world.canaries.append(Canary("zqclubnameqz", "club_name", (), "elsewhere"))
    _people(world)
    _ties(world)
    _catalogue(world)
    _places(world, "here", club)
    _places(world, "elsewhere", other)
    _practices(world)
    _events(world, now)
    _readers(world)
    _papers(world)
    put_people(world)
    put_day(world)
    put_summaries(world)
    for queue in (duties.QUICK, duties.LONG):
        duties.drain(queue)
    Heartbeat.objects.update(at=now + timedelta(hours=1))  # the workers are well for as long as the test lasts
    _open_duties(world)
    _decisions(world)
    _mails(world)
    _calendars(world)
    return world


# --- people --------------------------------------------------------------------------------------

HERE = {
    "head": ["head_coach"],
    "assistant": ["assistant"],
    "helper": ["helper"],
    "nandi": ["athlete"],
    "eero": ["athlete"],
    "saoirse": ["athlete"],
    "parent": ["guardian"],
    "unshown_parent": ["guardian"],
    "barred_parent": ["guardian"],
    "former_parent": ["guardian"],
    "other_home": ["guardian"],
    "two_parent": ["guardian"],
    "officer": ["safeguarding_officer"],
    "coach_parent": ["assistant", "guardian"],
    "helper_parent": ["helper", "guardian"],
    "athlete_helper": ["athlete", "helper"],
    "left_assistant": ["assistant"],
    "cross": ["guardian"],
}
UNDER_AGE = {"nandi": 13, "saoirse": 14, "outsider_athlete": 12}
"""Years of age, about; everybody else is grown up."""
VAULTERS = ("nandi", "eero", "saoirse", "athlete_helper")


def _people(world: World) -> None:
    for name, roles in HERE.items():
        _person(world, name, world.club, "both" if name == "cross" else "here", *roles)
    Membership.objects.filter(person=world.people["left_assistant"]).update(left_on=world.today)
    for name, role in (("outsider_head", "head_coach"), ("outsider_athlete", "athlete")):
        _person(world, name, world.other, "elsewhere", role)
    Membership.objects.create(
        club=world.other,
        person=world.people["cross"],
        role="head_coach",
        adult_level="contact",
        joined_on=world.today - timedelta(days=90),
    )
    _person(world, "stranger", world.club, "elsewhere")
    for name in VAULTERS:
        world.put("athlete", name, _athlete(world, name, world.club))
    world.put("athlete", "elsewhere_athlete", _athlete(world, "outsider_athlete", world.other))


def _athlete(world: World, name: str, club: Club) -> Athlete:
    joined = world.today - timedelta(days=300)
    world.athletes[name] = make_athlete(club, world.people[name], joined_on=joined)
    return world.athletes[name]


def _person(world: World, name: str, club: Club, where: str, *roles: str) -> None:
    kind = "athlete" if "athlete" in roles else "officer" if "safeguarding_officer" in roles else "adult"

    def word(what: str) -> str:
        return world.word(what, name, club=where)

    given, family = word("athlete_given" if kind == "athlete" else "adult_given"), word(f"{kind}_family")
    person = make_person(
        club,
        *roles,
        given_name=given.title(),
        family_name=family.title(),
        birth_date=date(world.today.year - UNDER_AGE[name] if name in UNDER_AGE else 1890 + len(world.people), 5, 17),
        email=f"{word('email')}@mail.example",
        phone=word("officer_phone" if kind == "officer" else "phone"),
        sign_in_name=word("sign_in_name"),
    )
    for shown in ("%Y-%m-%d", "17 May %Y", "May 17, %Y", "17.05.%Y", "17. Mai %Y", "17/05/%Y"):
        world.canaries.append(Canary(person.birth_date.strftime(shown), "birth_date", (name,), where))
    person.set_password(PASSWORD)
    person.save()
    world.canaries.append(Canary(person.password, "password", (name,), where))
    world.people[name] = world.put("person", name, person)


def _ties(world: World) -> None:
    none = {"sees_progress": False, "may_collect": False, "may_consent": False, "gets_mail": False}
    for guardian, child, rights in (
        ("parent", "nandi", {}),
        ("unshown_parent", "nandi", {"sees_progress": False}),
        ("barred_parent", "nandi", {**none, "barred": True}),
        ("former_parent", "nandi", {"until": world.today - timedelta(days=2)}),
        ("other_home", "nandi", {"may_collect": False, "gets_mail": False}),
        ("two_parent", "eero", {}),
        ("two_parent", "saoirse", {}),
        ("coach_parent", "saoirse", {}),
        ("cross", "saoirse", {}),
        ("helper_parent", "eero", {}),
    ):
        Guardianship.objects.create(
            club=world.club, guardian=world.people[guardian], child=world.people[child], **rights
        )
    Consent.objects.create(
        club=world.club,
        person=world.people["nandi"],
        kind="video",
        given_by=world.people["parent"],
        given_on=world.today,
    )


GUARDIANS_OF: dict[str, set[str]] = {
    "nandi": {"parent", "other_home"},
    "saoirse": {"coach_parent", "cross", "two_parent"},
    "eero": {"helper_parent", "two_parent"},
    "athlete_helper": set(),
    "outsider_athlete": set(),
}
"""Guardians whose tie shows progress today: the policy's word, not the database's."""
TIED_TO: dict[str, set[str]] = {"nandi": {"unshown_parent"}}
"""Guardians with a tie in force that shows no progress."""


# --- catalogue, places ---------------------------------------------------------------------------


def _catalogue(world: World) -> None:
    for club, where, prefix in ((world.club, "here", ""), (world.other, "elsewhere", "elsewhere_")):
        point: Checkpoint = make_checkpoint(club, key=f"{where}-start", name="drop start", cells=["6"])
        for fault in point.faults.all():
            fault.name = world.word("fault_seen", club=where)
            fault.save()
        drill: Drill = make_drill(club, (point,), key=f"{where}-drop", name="Walking drop", areas=["floor"], places=12)
        world.put("drill", f"{prefix}drill", drill)
        world.parts[f"{prefix}checkpoint"] = world.put("checkpoint", f"{prefix}checkpoint", point)
        put_catalogue(world, club, prefix)


def _places(world: World, where: str, club: Club) -> None:
    venue: Venue = make_venue(club, name="Quarry Track" if where == "here" else world.word("venue", club=where))
    Venue.objects.filter(pk=venue.pk).update(who_calls=world.word("emergency", club=where))
    prefix = "" if where == "here" else "elsewhere_"
    world.parts[f"{prefix}venue"] = venue
    for name in ("first", "second", "third", "free"):
        world.parts[f"{prefix}{name}"] = make_area(venue, name=f"{name.title()} floor", places=12)


# --- practices -----------------------------------------------------------------------------------


def _practices(world: World) -> None:
    club, athletes = world.club, world.athletes
    now, day = timezone.now(), timedelta(days=1)

    def squad(name: str, where: str, *members: str) -> Squad:
        about = tuple(members)
        owner = world.club if where == "here" else world.other
        return make_squad(owner, *(athletes[m] for m in members), name=world.word("squad", *about, club=where))

    terns = squad("terns", "here", "nandi", "eero")
    swifts = squad("swifts", "here", "saoirse")
    others = squad("others", "elsewhere", "outsider_athlete")
    world.parts |= {"terns": terns, "swifts": swifts, "others": others}
    out = {"published_at": now}
    all_day = {"starts": time(0), "ends": time(23, 59)}
    _practice(world, "draft", club, world.today + 2 * day, terns, ("nandi", "eero"))
    _practice(world, "today", club, world.today, terns, ("nandi", "eero"), **all_day, **out)
    _practice(world, "cancelled", club, world.today + 3 * day, terns, ("nandi", "eero"), cancelled_at=now, **out)
    _practice(world, "released", club, world.today - day, terns, ("nandi", "eero"), released_at=now, **out)
    _practice(world, "unreleased", club, world.today - 3 * day, terns, ("nandi", "eero"), **out)
    _practice(world, "swifts", club, world.today + day, swifts, ("saoirse",), **out)
    _practice(world, "elsewhere_today", world.other, world.today, others, ("outsider_athlete",), **all_day, **out)


def _practice(world: World, name: str, club: Club, day: date, squad: Squad, who: tuple[str, ...], **times: Any) -> None:
    here = club == world.club
    where, prefix = ("here", "") if here else ("elsewhere", "elsewhere_")
    seen = "bring_published" if times.get("published_at") else "bring_draft"
    row: Practice = make_practice(
        club,
        venue=world.parts[f"{prefix}venue"],
        day=day,
        squads=[squad],
        bring=world.word(seen, *who, club=where),
        **times,
    )
    world.put("practice", name, row)
    if name == "draft":
        row.guests.add(world.athletes["saoirse"])
    for adult in ("head", "assistant") if here else ("outsider_head", "cross"):
        AdultPresence.objects.create(
            club=club, practice=row, person=world.people[adult], came_at=timezone.now() if day <= world.today else None
        )
    block: Block = world.put("block", f"{name}_block", make_block(row, starts=row.starts), name)
    runs = ("helper" if name == "today" else "assistant") if here else "outsider_head"
    first = _station(world, name, row, "first", runs)
    if name == "today":
        world.put("station", "today_floor", world.objects["station"].pop("today_first"), name)
        world.put("station", "today_second", _station(world, name, row, "second", "helper_parent"), name)
        _station(world, name, row, "third", "assistant")
    if name == "released":
        _station(world, name, row, "second", "athlete_helper")
    for order, vaulter in enumerate(who):  # the first of them goes last, so that there is somebody to move ahead of
        assignment = Assignment.objects.create(
            club=club,
            block=block,
            station=first,
            athlete=world.athletes[vaulter],
            drill=world.objects["drill"][f"{prefix}drill"],
            order=len(who) - order,
        )
        if order == 0:
            world.put("assignment", f"{name}_place", assignment, name)
            _fill(world, name, assignment)


def _readers(world: World) -> None:
    """What the readers of each club said: that somebody cannot come, and how a practice felt."""
    for name, vaulter, practices in (
        ("here", "eero", ("today", "released")),
        ("here", "nandi", ("released",)),
        ("elsewhere", "outsider_athlete", ("elsewhere_today",)),
    ):
        for practice in practices:
            row, athlete = world.objects["practice"][practice], world.athletes[vaulter]
            about = {"club": row.club, "practice": row, "athlete": athlete, "at": timezone.now()}
            if practice != "released":
                CannotCome.objects.create(**about)
            SelfCheck.objects.create(**about, feel="together", words=world.word("self_check", vaulter, club=name))


def _fill(world: World, practice: str, place: Assignment) -> None:
    """The place was given by a fill that can be taken back."""
    row = place.block.practice
    fill = Fill.objects.create(club=row.club, practice=row, at=timezone.now())
    same = {name: getattr(place, name) for name in ("block", "station", "athlete", "drill")}
    FillPlace.objects.create(club=row.club, fill=fill, given=True, **same)
    world.put("fill", f"{practice}_fill", fill, practice)
    if practice in ("today", "elsewhere_today"):
        _template(world, row, "" if practice == "today" else "elsewhere_")


def _template(world: World, row: Practice, prefix: str) -> None:
    """Of one block, at the first place, with the club's drill."""
    area = world.parts[f"{prefix}first"]
    piece = Piece(0, 0, f"drill:{world.objects['drill'][f'{prefix}drill'].key}")
    layout = Layout((Stretch(0, 10),), (Spot(area.name, area.kind, area.surface),), (piece,))
    made = PlanTemplate.objects.create(club=row.club, name="Tuesdays", layout=layout.to_row())
    world.parts[f"{prefix}template"] = world.put("template", "elsewhere_item" if prefix else "ours", made)


def _station(world: World, practice: str, row: Practice, area: str, run_by: str | None) -> Station:
    prefix = "" if row.club == world.club else "elsewhere_"
    place: Area = world.parts[f"{prefix}{area}"]
    station = make_station(row, area=place, run_by=world.people[run_by] if run_by else None)
    return world.put("station", f"{practice}_{area}", station, practice)


# --- what was recorded ---------------------------------------------------------------------------


def event(kind: str, at: datetime, sequence: int, **content: Any) -> dict[str, Any]:
    return {"uuid": str(uuid4()), "kind": kind, "at": at.isoformat(), "sequence": sequence, **content}


def batch(*events: dict[str, Any], device: UUID | None = None) -> dict[str, Any]:
    return {
        "version": 1,
        "device": {"uuid": str(device or uuid4()), "name": "Tablet"},
        "sent_at": timezone.now().isoformat(),
        "events": list(events),
    }


def _events(world: World, now: datetime) -> None:
    for name in ("released", "unreleased", "today", "elsewhere_today"):
        row = world.objects["practice"][name]
        here = row.club == world.club
        vaulters = ("nandi", "eero") if here else ("outsider_athlete",)
        coach = find_member(world.people["head" if here else "outsider_head"], row.club.slug)
        assert coach is not None
        drill = world.objects["drill"]["drill" if here else "elsewhere_drill"]
        point = world.parts["checkpoint" if here else "elsewhere_checkpoint"]
        at = min(timezone.now(), timezone.make_aware(datetime.combine(row.day, time(18)), now.tzinfo))
        sent = []
        for n, vaulter in enumerate(vaulters):
            who = {"athlete": str(world.athletes[vaulter].pk)}
            sent.append(event("attendance", at, n, **who, state="here"))
            marks = {"drill": drill.key, "watched": [point.key], "faults": [point.faults.first().key]}
            sent.append(event("rep", at + timedelta(seconds=n), 10 + n, **who, **marks))
            world.parts["rep" if here else "elsewhere_rep"] = sent[-1]["uuid"]
            for reader in ("coaches", "athlete"):
                kind = "note_for_coaches" if reader == "coaches" else f"note_{'un' * (not row.released_at)}released"
                text = world.word(kind, vaulter, club="here" if here else "elsewhere")
                sent.append(event("note", at, 20 + len(sent), **who, text=text, reader=reader))
        answer = take_events(by=coach, practice=row, batch=batch(*sent))
        assert {result.state for result in answer.results} == {"accepted"}, (name, answer)


# --- restrictions, links, audit, duties ----------------------------------------------------------


def _papers(world: World) -> None:
    for where, boss, vaulters in (("here", "head", VAULTERS), ("elsewhere", "outsider_head", ("outsider_athlete",))):
        prefix = "" if where == "here" else "elsewhere_"
        club = world.club if where == "here" else world.other
        by = find_member(world.people[boss], club.slug)
        assert by is not None
        for vaulter in vaulters:
            restrict(
                by=by,
                athlete=world.athletes[vaulter],
                what=world.word("restriction_what", vaulter, club=where),
                excludes=["contact"],
                starts_on=world.today - timedelta(days=5),
                reason=world.word("restriction_reason", vaulter, club=where),
            )
        audit.note(by, "changed a thing", world.athletes[vaulters[0]], {"old": world.word("audit_values", club=where)})
        for name in ("assistant", "nandi", "head") if where == "here" else ("outsider_athlete",):
            new = signin.new_link(club=club, person=world.people[name], made_by=by.person)
            world.canaries.append(Canary(new.link.token_hash, "link_hash", (name,), where))
            world.put("link", f"{prefix}{name}_link", new.link)
            world.tokens[name] = new.token


def _open_duties(world: World) -> None:
    for where, club, prefix in (("here", world.club, ""), ("elsewhere", world.other, "elsewhere_")):
        duty = Duty.objects.create(
            club=club,
            kind="day_counts",
            queue=duties.QUICK,
            key="waits",
            due_at=timezone.now() + timedelta(hours=1),
            asked_at=timezone.now(),
            failures=2,
            last_error=world.word("duty_error", club=where),
        )
        world.put("duty", f"{prefix}duty", duty)


def _mails(world: World) -> None:
    """A mail of each club that was refused, with words of its own."""
    for vaulter, prefix, where in (("nandi", "", "here"), ("outsider_athlete", "elsewhere_", "elsewhere")):
        person, now = world.people[vaulter], timezone.now()
        words = {name: world.word("mail", vaulter, club=where) for name in ("title", "text", "answer")}
        values = {"kind": "changes", "key": "one", "language": "en", "state": "failed", "reason": "refused"}
        club = world.other if prefix else world.club
        row = Mail.objects.create(club=club, to=person, about=person, queued_at=now, due_at=now, **values, **words)
        world.put("mail", "elsewhere_item" if prefix else "ours", row)
    _mail_to_a_minor(world)


def _mail_to_a_minor(world: World) -> None:
    """One that went, with the copy that a guardian got."""
    now, words = timezone.now(), {name: world.word("mail_to_minor", "eero") for name in ("title", "text")}
    values = {"club": world.club, "about": world.people["eero"], "kind": "changes", "key": "two", "language": "en"}
    values |= {"state": "sent", "sent_at": now, "queued_at": now, "due_at": now}
    row = Mail.objects.create(**values, to=world.people["eero"], minor=True, **words)
    Mail.objects.create(**values, to=world.people["two_parent"], title="The same", text="The same")
    world.put("mail", "to_minor", row)


def _calendars(world: World) -> None:
    """Calendars of an athlete, of a parent for the same child, and of each head coach for all of the club."""
    for name, about, prefix in (
        ("nandi", "nandi", ""),
        ("parent", "nandi", ""),
        ("head", "", ""),
        ("outsider_head", "", "elsewhere"),
    ):
        club, person = world.other if prefix else world.club, world.people[name]
        member = find_member(person, club.slug)
        assert member is not None
        value = f"athlete:{world.athletes[about].pk}" if about else "all"
        new = calendars.make(by=member.acting(Permission.CALENDAR_KEEP), value=value, now=timezone.now())
        world.put("calendar", "elsewhere_item" if prefix else f"{name}_calendar", new.address)
        world.parts[f"{name}_calendar"] = new.token
        for word in (new.token, new.address.token_hash):
            world.add_canary(word, "calendar_hash", (), "elsewhere" if prefix else "here")


def _decisions(world: World) -> None:
    """A fresh decision of each club, and something to tell each head coach."""
    for boss, vaulter, prefix in (("head", "nandi", ""), ("outsider_head", "outsider_athlete", "elsewhere_")):
        club = world.other if prefix else world.club
        by = find_member(world.people[boss], club.slug)
        assert by is not None
        what = {"athlete": world.athletes[vaulter], "drill": world.objects["drill"][f"{prefix}drill"]}
        made = decide(by=by, **what, kind=DecisionKind.KEEP_ON, today=world.today, now=timezone.now())
        world.put("decision", f"{prefix}decision", made)
    duties.drain(duties.QUICK)
    for vaulter, prefix in (("nandi", ""), ("outsider_athlete", "elsewhere_")):
        drill, athlete = world.objects["drill"][f"{prefix}drill"], world.athletes[vaulter]
        values = {"athlete": athlete, "drill": drill, "day": world.today, "at": timezone.now()}
        notice = Notice.objects.create(club=athlete.club, kind="tried unopened", **values)
        world.put("notice", f"{prefix}notice", notice)
