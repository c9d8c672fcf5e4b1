"""Enters what the simulator made up, practice by practice, through the actions that a real club uses."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from datetime import date, datetime, time, timedelta, tzinfo
from random import Random
from typing import Any
from uuid import UUID

from athletes.models import Athlete, Squad
from club.members import Member, find_member
from club.models import Area, Person, Venue
from club.roles import Permission
from drills.models import Activity, Checkpoint, Drill
from sessions.demo import gate, places
from sessions.demo.core.planning import JOB, Group, Spot
from sessions.demo.core.season import Plan, Season, Slot
from sessions.demo.core.tablets import Sending, new_tablet
from sessions.demo.people import Vaulter
from sessions.practices.actions import attendance, calendar, plan
from sessions.practices.core.clock import instant
from sessions.practices.models import Block, Practice, Station
from sessions.reps.actions import take_events
from sessions.reps.core import events

EVENING, MORNING = (time(17, 30), time(19)), (time(10), time(11, 30))
SATURDAY = 5
BLOCK, BLOCKS_AT = timedelta(minutes=20), tuple(timedelta(minutes=at) for at in (15, 38, 61))
BLOCK_TODAY, LONG_TODAY = timedelta(minutes=30), timedelta(hours=2)
PUBLISHED_AHEAD, PUBLISHED_BEFORE = timedelta(days=7), timedelta(days=1)
SPARE = timedelta(minutes=10)
BRING = "Flat shoes with grip, a bottle of water"
FOCUS = ("top-hand-at-hip", "drop-start", "plant-start", "tip-at-landing-2", "full-reach")

Times = tuple[time, time]
Squads = tuple[int, ...]


@dataclass(slots=True)
class Crew:
    """The invented club as it is being entered. people: adults and helper by given name; athletes: who each is."""

    by: Member
    now: datetime
    venue: Venue
    people: dict[str, Person]
    squads: list[Squad]
    athletes: list[tuple[Vaulter, Athlete]] = field(default_factory=list)

    def member(self, given: str) -> Member:
        found = find_member(self.people[given], self.by.club.slug)
        assert found is not None
        return found


class Entry:
    """The devices stay the same from practice to practice."""

    def __init__(self, crew: Crew, season: Season, dice: Random) -> None:
        self.crew, self.season, self.by = crew, season, crew.by
        self.areas = {area.name: area for area in Area.objects.for_member(crew.by)}
        self.drills = {drill.key: drill for drill in Drill.objects.for_member(crew.by).select_related("load")}
        self.job = Activity.objects.for_member(crew.by).get(key=JOB)
        self.points = {point.key: point for point in Checkpoint.objects.for_member(crew.by)}
        self.members = {given: crew.member(given) for given in crew.people}
        spots = places.CREWS[0, 1]
        self.tablets = {spot.area: new_tablet(dice, f"Tablet, {spot.area}", spot.runs) for spot in spots}

    # Held

    def past(self, day: date, squads: Squads, *, released: bool) -> Practice:
        """A practice as it was planned and held."""
        slot, spots = _slot(day, squads, self.by.club.zone), places.CREWS[squads]
        practice, planned = self.add(day, squads, usual_times(day)), self.season.plan(slot, spots)
        stations = self.enter(practice, slot, planned, spots)
        calendar.publish(by=self.by, practice=practice, now=slot.begins - PUBLISHED_BEFORE)
        self.adults_come(practice, spots, slot)
        self.stations_checked(practice, spots, slot)
        tablets = {spot.area: self.tablets[spot.area] for spot in spots}
        for sending in self.season.hold(slot, planned, spots, tablets, stations):
            self.send(practice, sending)
        if released:
            calendar.release(by=self.by, practice=practice, now=slot.ends + timedelta(hours=1))
        return practice

    def stations_checked(self, practice: Practice, spots: Sequence[Spot], slot: Slot) -> None:
        """By whoever runs it; a helper's by the head coach."""
        rows = {row.area.name: row for row in practice.stations.select_related("area")}
        for spot in spots:
            by = self.by if spot.helper else self.members[spot.runs].acting(Permission.PRACTICE_RUN)
            gate.check(by=by, stations=[rows[spot.area]], begins=slot.begins)

    def afterwards(self, practice: Practice, *, leave: bool) -> None:
        ends = instant(practice.day, practice.ends, practice.zone)
        gate.write_up(by=self.by, practice=practice, ends=ends)
        if leave:
            gate.all_leave(by=self.by, practice=practice, ends=ends)

    def called_off(self, day: date, squads: Squads) -> None:
        practice = self.add(day, squads, usual_times(day))
        calendar.publish(by=self.by, practice=practice, now=_slot(day, squads, practice.zone).begins - PUBLISHED_BEFORE)
        calendar.cancel(by=self.by, practice=practice)

    def adults_come(self, practice: Practice, spots: Sequence[Spot], slot: Slot) -> None:
        for person in self.adults(spots):
            attendance.check_in(by=self.by, practice=practice, person=person, now=slot.begins - SPARE)
            attendance.check_out(by=self.by, practice=practice, person=person, now=slot.ends + SPARE)

    def send(self, practice: Practice, sending: Sending) -> None:
        """As a device does. What the server would not simply take is an error of the simulator."""
        member = self.members[sending.by]
        batch = {
            "version": events.VERSION,
            "by": str(member.person.pk),
            "device": {"uuid": str(sending.device), "name": sending.name},
            "sent_at": sending.sent_at.isoformat(),
            "events": [_as_sent(event) for event in sending.events],
        }
        answer = take_events(by=member, practice=practice, batch=batch, received_at=sending.received_at)
        refused = [result for result in answer.results if result.state != "accepted"]
        assert not refused, refused

    # Today and later

    def today(self, weeks_ahead: int) -> None:
        """Around this hour, planned and published; the same weekday and time for some weeks more."""
        day, squads, zone = self.crew.now.date(), (0, 1), self.by.club.zone
        starts = _start(self.crew.now)
        times = (starts, (datetime.combine(day, starts) + LONG_TODAY).time())
        practice = self.add(day, squads, times, until=day + timedelta(weeks=weeks_ahead))
        begins = instant(day, starts, zone)
        blocks = tuple(begins + k * BLOCK_TODAY for k in range(len(BLOCKS_AT)))
        slot = Slot(day, begins, begins + LONG_TODAY, blocks, BLOCK_TODAY, squads)
        spots = places.CREWS[squads]
        self.enter(practice, slot, self.season.plan(slot, spots), spots)
        for row in Practice.objects.for_member(self.by).filter(series=practice.series):
            calendar.publish(by=self.by, practice=row)

    def coming(self, day: date, squads: Squads) -> None:
        """Without a plan so far; the next week's are published."""
        practice = self.add(day, squads, usual_times(day))
        if day <= self.crew.now.date() + PUBLISHED_AHEAD:
            calendar.publish(by=self.by, practice=practice)

    # Practices and plans

    def add(self, day: date, squads: Squads, times: Times, until: date | None = None) -> Practice:
        """The practice; the first one if it repeats."""
        details = calendar.Details(
            day=day,
            starts=times[0],
            ends=times[1],
            venue=self.crew.venue,
            squads=tuple(self.crew.squads[n] for n in squads),
            adults=self.adults(places.CREWS[squads]),
            focus=self.points[FOCUS[(day.isocalendar().week + sum(squads) + len(squads)) % len(FOCUS)]],
            bring=BRING,
        )
        return calendar.add_practices(by=self.by, details=details, until=until)[0]

    def adults(self, spots: Sequence[Spot]) -> tuple[Person, ...]:
        """Who runs a station, but a helper, and who is present only."""
        given = (*(spot.runs for spot in spots if not spot.helper), places.PRESENT)
        return tuple(self.crew.people[name] for name in given)

    def enter(self, practice: Practice, slot: Slot, planned: Plan, spots: Sequence[Spot]) -> dict[str, UUID]:
        """The plan; ids of its stations by area."""
        blocks = [self.block(practice, at, slot.block) for at in slot.blocks]
        stations = {spot.area: self.station(practice, spot) for spot in spots}
        puts = [
            self.put(block, group, stations[group.area])
            for block, groups in zip(blocks, planned, strict=True)
            for group in groups
        ]
        plan.assign_all(by=self.by, practice=practice, puts=puts)
        return {area: station.pk for area, station in stations.items()}

    def block(self, practice: Practice, at: datetime, lasts: timedelta) -> Block:
        there: tzinfo | None = self.crew.now.tzinfo
        minutes = int(lasts.total_seconds() // 60)
        return plan.add_block(by=self.by, practice=practice, minutes=minutes, starts=at.astimezone(there).time())

    def station(self, practice: Practice, spot: Spot) -> Station:
        runs = self.crew.people[spot.runs]
        return plan.add_station(by=self.by, practice=practice, area=self.areas[spot.area], run_by=runs)

    def put(self, block: Block, group: Group, station: Station) -> plan.Put:
        athletes = tuple(self.crew.athletes[number][1] for number in group.vaulters)
        if group.drill is None:
            return plan.Put(block, athletes, station, activity=self.job)
        return plan.Put(block, athletes, station, drill=self.drills[group.drill], steps=group.steps)


def usual_times(day: date) -> Times:
    return MORNING if day.weekday() == SATURDAY else EVENING


def _slot(day: date, squads: Squads, zone: str) -> Slot:
    begins, ends = (instant(day, at, zone) for at in usual_times(day))
    return Slot(day, begins, ends, tuple(begins + at for at in BLOCKS_AT), BLOCK, squads)


def _start(now: datetime) -> time:
    """The hour that is running, early enough in the day for two hours of practice."""
    return time(min(now.hour, 21))


def _as_sent(event: events.Event) -> Mapping[str, Any]:
    said = {"uuid": str(event.uuid), "kind": event.kind, "at": event.at.isoformat(), "sequence": event.sequence}
    return {**said, **events.plain(event.content)}
