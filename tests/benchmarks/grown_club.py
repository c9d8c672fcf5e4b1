"""A club of 48 that has practised for as long as it takes to log so many reps, written straight into the tables.

Events, reps, looks and faults are what tablets would have sent and the server derived, two practices a week with
twelve reps each, so that the last weeks look alike however long the past is. Counts, readiness and standings are not
written here: the roll-up makes them.
"""

import hashlib
import json
import random
import time as time_module
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass, field
from datetime import UTC, date, datetime, time, timedelta
from typing import Any
from uuid import UUID, uuid4

from django.db import connection, transaction
from django.db.models import Model
from django.utils import timezone

from athletes.models import Athlete, Decision, Squad
from club import duties
from club.clock import club_now
from club.models import Area, Club, Person, Venue
from drills.models import Checkpoint, Drill
from drills.shipped import load_shipped_catalogue
from sessions.practices.models import AdultPresence, Assignment, Attendance, Block, Practice, Station
from sessions.reps.models import Device, Event, Look, LookFault, Rep, Watched, WatchSet
from sessions.trends import actions as trends
from sessions.trends import queries as trends_queries
from tests.builders import make_area, make_athlete, make_club, make_person, make_venue

ATHLETES, DRILLS_A_DAY, REPS_A_DRILL = 48, 3, 4
A_PRACTICE = ATHLETES * DRILLS_A_DAY * REPS_A_DRILL
STATIONS, BLOCKS = 8, 3
AT_ONCE = 40
"""Practices whose rows go to the database in one statement for each table."""
Rows = list[tuple[Any, ...]]


@dataclass(slots=True)
class GrownClub:
    """The club and what the benchmarks ask for. today: a practice that is held now; station: one of its stations."""

    club: Club
    head_coach: Person
    assistant: Person
    athletes: list[Athlete]
    drills: list[Drill]
    today: Practice
    station: Station
    reps: int = 0
    practices: int = 0
    watches: dict[int, list["Watch"]] = field(default_factory=dict)

    def pages(self) -> dict[str, str]:
        """Addresses of the pages that have to be fast."""
        base = f"/c/{self.club.slug}"
        return {
            "week": f"{base}/week/",
            "squad board": f"{base}/board/",
            "athlete": f"{base}/athletes/{self.athletes[0].pk}/",
            "station": f"{base}/station/{self.station.pk}/",
            "decisions": f"{base}/decisions/",
        }

    def batch(self, number: int, reps: int) -> dict[str, Any]:
        """What a tablet sends: so many reps of eight athletes, at a floor drill each."""
        now = timezone.now()
        events = []
        for n in range(reps):
            athlete, drill = self.athletes[n % 8], self.drills[n % 8]
            watch = self.watches[drill.pk][0]
            faults = [watch.faults[0][2]] if n % 3 == 0 else []
            at = (now - timedelta(seconds=30 * reps * (number + 1) - 30 * n) / 60).isoformat()
            events.append({"uuid": str(uuid4()), "kind": "rep", "at": at, "sequence": number * reps + n,
                           "athlete": str(athlete.pk), "drill": drill.key, "watched": list(watch.keys),
                           "faults": faults})  # fmt: skip
        device = {"uuid": str(UUID(int=1, version=4)), "name": "Tablet"}
        return {"version": 1, "device": device, "sent_at": now.isoformat(), "events": events}


@dataclass(frozen=True, slots=True)
class Watch:
    """What a look at a drill watches. keys: of checkpoints; faults: row ids and keys of the faults there."""

    set_id: int
    keys: tuple[str, ...]
    faults: tuple[tuple[int, int, str], ...]


def grow(reps: int, seed: int = 7) -> GrownClub:
    """As many reps as whole practices come nearest to."""
    dice = random.Random(seed)
    with transaction.atomic():
        grown = _people_and_places(dice)
        writer = _Writer(grown, dice)
        days = list(_days(max(1, round(reps / A_PRACTICE)), grown.today.day))
        for start in range(0, len(days), AT_ONCE):
            writer.write(days[start : start + AT_ONCE], start)
        grown.reps, grown.practices = writer.rep_id, len(days)
        writer.close()
    return grown


def rolled_up(grown: GrownClub) -> float:
    """Makes all counts and readiness, then where everybody stands; seconds that the first two took."""
    found = trends_queries.pairs(grown.club)
    began = time_module.perf_counter()
    with transaction.atomic():
        for pair in found:
            trends.roll_up_pair(grown.club, pair)
    seconds = time_module.perf_counter() - began
    duties.drain(duties.QUICK, seconds=3600)
    return seconds


def _days(practices: int, today: date) -> Iterator[date]:
    """Two a week up to yesterday, oldest first."""
    yesterday = today - timedelta(days=1)
    for n in reversed(range(practices)):
        yield yesterday - timedelta(days=7 * (n // 2) + 3 * (n % 2))


# People, places, today's practice


def _people_and_places(dice: random.Random) -> GrownClub:
    club = make_club(name="Long Club")
    load_shipped_catalogue(club)
    drills = list(Drill.objects.filter(club=club, retired=False).order_by("stage__number", "order", "pk"))
    head, assistant = (make_person(club, role, given_name=role) for role in ("head_coach", "assistant"))
    joined = date(1990, 1, 1)
    athletes = [
        make_athlete(
            club,
            make_person(club, "athlete", given_name=f"Vaulter{n}", family_name=chr(65 + n % 26)),
            hand="left" if n % 8 == 0 else "right",
            joined_on=joined,
        )
        for n in range(ATHLETES)
    ]
    squads = [Squad.objects.create(club=club, name=name) for name in ("Terns", "Swifts")]
    for n, squad in enumerate(squads):
        squad.athletes.set(athletes[n::2])
    venue = make_venue(club)
    today, station = _today(club, squads, venue, athletes, drills, (head, assistant))
    grown = GrownClub(club, head, assistant, athletes, drills, today, station)
    _place_at_contact(grown)
    for drill in drills:
        grown.watches[drill.pk] = list(_watches(club, drill, dice))
    return grown


def _today(
    club: Club,
    squads: Sequence[Squad],
    venue: Venue,
    athletes: Sequence[Athlete],
    drills: Sequence[Drill],
    adults: Sequence[Person],
) -> tuple[Practice, Station]:
    """Published, held now, everybody at a station in each block."""
    now = club_now(club)
    practice = Practice.objects.create(
        club=club, day=now.date(), starts=time(0, 1), ends=time(23, 59), zone=club.zone, venue=venue, published_at=now
    )
    practice.squads.set(squads)
    for adult in adults:
        AdultPresence.objects.create(club=club, practice=practice, person=adult, came_at=now)
    areas: list[Area] = [make_area(venue, name=f"Floor {n}") for n in range(STATIONS)]
    stations = [Station.objects.create(club=club, practice=practice, area=area) for area in areas]
    for number in range(1, BLOCKS + 1):
        starts = time(8 * (number - 1), 1)
        block = Block.objects.create(club=club, practice=practice, number=number, starts=starts, minutes=470)
        Assignment.objects.bulk_create(
            Assignment(
                club=club, block=block, station=stations[n % STATIONS], athlete=athlete,
                drill=drills[(n % STATIONS + number) % 8], order=n,
            )
            for n, athlete in enumerate(athletes)
        )  # fmt: skip
    return practice, stations[0]


def _place_at_contact(grown: GrownClub) -> None:
    """Every other vaulter came with experience, long ago."""
    contact = [drill for drill in grown.drills if drill.risk == "contact"]
    day = date(1990, 1, 2)
    at = datetime.combine(day, time(12), UTC)
    for athlete in grown.athletes[::2]:
        Decision.objects.bulk_create(
            Decision(
                club=grown.club, athlete=athlete, drill=drill, kind=Decision.Kind.PLACE, day=day, at=at,
                by=grown.head_coach,
                figures={"standing": "not open", "needs": []},
            )
            for drill in contact
        )  # fmt: skip


def _watches(club: Club, drill: Drill, dice: random.Random) -> Iterator[Watch]:
    """The gate alone, and the gate with another checkpoint of the drill."""
    offers = list(drill.offers.select_related("checkpoint").order_by("order"))
    gate = [offer.checkpoint for offer in offers if offer.gate]
    others = [offer.checkpoint for offer in offers if not offer.gate]
    yield _watch(club, gate)
    if others:
        yield _watch(club, [*gate, dice.choice(others)])


def _watch(club: Club, points: Sequence[Checkpoint]) -> Watch:
    keys = tuple(sorted(point.key for point in points))
    digest = hashlib.sha256("\n".join(keys).encode()).hexdigest()
    row, made = WatchSet.objects.get_or_create(club=club, digest=digest)
    if made:
        Watched.objects.bulk_create(Watched(club=club, watch_set=row, checkpoint=point) for point in points)
    faults = tuple((fault.pk, point.pk, fault.key) for point in points for fault in point.faults.order_by("pk"))
    return Watch(row.pk, keys, faults)


# The past


EVENT = ("club_id", "uuid", "version", "kind", "practice_id", "device_id", "by_id", "athlete_id", "target", "device_at",
         "at", "sequence", "received_at", "content", "content_hash", "corrects_others", "brings_back")  # fmt: skip
REP = ("id", "club_id", "uuid", "practice_id", "athlete_id", "drill_id", "day", "at", "device_id", "sequence", "source",
       "place_in_set", "unsafe", "state")  # fmt: skip
LOOK = ("id", "club_id", "uuid", "rep_id", "observer_id", "device_id", "through", "watch_set_id", "deciding",
        "unnamed_fault", "unsafe", "at")  # fmt: skip
FAULT = ("club_id", "look_id", "fault_id", "checkpoint_id", "inside")
ATTENDANCE = ("club_id", "practice_id", "athlete_id", "state", "at")
NO, YES = "false", "true"


class _Writer:
    """Practice by practice. Values are written as both databases read them: uuids as hex, moments in UTC."""

    def __init__(self, grown: GrownClub, dice: random.Random) -> None:
        self.grown, self.dice = grown, dice
        self.sqlite = connection.vendor == "sqlite"
        self.no, self.yes = (0, 1) if self.sqlite else (NO, YES)
        self.rep_id = 0
        self.club, self.by = grown.club.pk.hex, grown.assistant.pk.hex
        seen = datetime(2026, 1, 1, tzinfo=UTC)
        self.device = Device.objects.create(club=grown.club, uuid=self.uuid(), name="Tablet", last_seen_at=seen).pk
        floor_and_moving = sum(drill.risk != "contact" for drill in grown.drills)
        self.tried = [floor_and_moving if n % 2 else len(grown.drills) for n in range(ATHLETES)]
        # How good each is at each drill in the long run.
        self.skill = [[dice.uniform(0.4, 0.97) for _ in grown.drills] for _ in grown.athletes]
        self.contents: dict[tuple[int, int, int, int], tuple[str, str]] = {}

    def uuid(self) -> UUID:
        return UUID(int=self.dice.getrandbits(128), version=4)

    def hex(self) -> str:
        return f"{self.dice.getrandbits(128):032x}"

    def write(self, days: Sequence[date], number: int) -> None:
        grown = self.grown
        practices = Practice.objects.bulk_create(
            Practice(
                club=grown.club, day=day, starts=time(17), ends=time(19), zone=grown.club.zone,
                venue=grown.today.venue, published_at=datetime.combine(day, time(8), UTC),
            )
            for day in days
        )  # fmt: skip
        through = Practice.squads.through
        squads = list(grown.today.squads.all())
        through.objects.bulk_create(
            through(practice_id=practice.pk, squad_id=squad.pk) for practice in practices for squad in squads
        )
        tables: dict[tuple[type[Model], tuple[str, ...]], Rows] = {
            (Event, EVENT): [], (Rep, REP): [], (Look, LOOK): [], (LookFault, FAULT): [], (Attendance, ATTENDANCE): []
        }  # fmt: skip
        for place, practice in enumerate(practices):
            self.practice(practice, number + place, *tables.values())
        for (model, columns), rows in tables.items():
            insert(model, columns, rows)

    def practice(
        self, practice: Practice, number: int, events: Rows, reps: Rows, looks: Rows, faults: Rows, there: Rows
    ) -> None:
        day, held, sequence = str(practice.day), practice.pk.hex, 0
        for n, athlete in enumerate(self.grown.athletes):
            who, seconds = athlete.pk.hex, 60 * n
            there.append((self.club, held, who, "here", f"{day} 17:00:00{self.zone}"))
            for turn in range(DRILLS_A_DAY):
                place = (number * DRILLS_A_DAY + turn + n) % self.tried[n]
                for _ in range(REPS_A_DRILL):
                    seconds, sequence = seconds + 17, sequence + 1
                    at = f"{day} 17:{seconds // 60 % 60:02d}:{seconds % 60:02d}{self.zone}"
                    self.rep(n, who, place, held, day, at, sequence, events, reps, looks, faults)

    @property
    def zone(self) -> str:
        return "" if self.sqlite else "+00"

    def rep(
        self,
        n: int,
        who: str,
        place: int,
        held: str,
        day: str,
        at: str,
        sequence: int,
        events: Rows,
        reps: Rows,
        looks: Rows,
        faults: Rows,
    ) -> None:
        self.rep_id += 1
        pk, uuid, dice = self.rep_id, self.hex(), self.dice
        drill = self.grown.drills[place]
        kinds = self.grown.watches[drill.pk]
        kind = dice.randrange(len(kinds))
        watch = kinds[kind]
        fault = -1 if dice.random() < self.skill[n][place] else dice.randrange(len(watch.faults))
        content, digest = self.content(n, place, kind, fault)
        no, yes, device, club = self.no, self.yes, self.device, self.club
        events.append((club, uuid, 1, "rep", held, device, self.by, who, uuid, at, at, sequence, at, content, digest,
                       yes, no))  # fmt: skip
        reps.append((pk, club, uuid, held, who, drill.pk, day, at, device, sequence, uuid, 0, no, "counts"))
        looks.append((pk, club, uuid, pk, self.by, device, "live", watch.set_id, yes, no, no, at))
        if fault >= 0:
            found, checkpoint, _key = watch.faults[fault]
            faults.append((club, pk, found, checkpoint, yes))

    def content(self, n: int, place: int, kind: int, fault: int) -> tuple[str, str]:
        key = n, place, kind, fault
        if key not in self.contents:
            drill = self.grown.drills[place]
            watch = self.grown.watches[drill.pk][kind]
            said = {
                "athlete": str(self.grown.athletes[n].pk),
                "drill": drill.key,
                "watched": list(watch.keys),
                "faults": [watch.faults[fault][2]] if fault >= 0 else [],
            }
            text = json.dumps(said)
            self.contents[key] = text, hashlib.sha256(text.encode()).hexdigest()
        return self.contents[key]

    def close(self) -> None:
        """The next rep and look get ids of their own; the planner knows the tables."""
        with connection.cursor() as cursor:
            if not self.sqlite:
                for model in (Rep, Look):
                    name = model._meta.db_table
                    cursor.execute(f"SELECT setval(pg_get_serial_sequence('{name}', 'id'), {self.rep_id + 1})")
            cursor.execute("ANALYZE")


def insert(model: type[Model], columns: Sequence[str], rows: Iterable[tuple[Any, ...]]) -> None:
    """Rows as they are, past all models: nothing else puts a million of them there in time."""
    names = ", ".join(f'"{name}"' for name in columns)
    with connection.cursor() as cursor:
        if connection.vendor == "sqlite":
            marks = ", ".join("?" * len(columns))
            cursor.cursor.connection.executemany(f"INSERT INTO {model._meta.db_table} ({names}) VALUES ({marks})", rows)
            return
        with cursor.cursor.copy(f"COPY {model._meta.db_table} ({names}) FROM STDIN") as copy:
            for row in rows:
                copy.write_row(row)
