"""A club that goes up the progression: floor, moving, contact, with what the head coach decides on the way."""

import random
from datetime import date, datetime, timedelta
from typing import Any

from athletes.actions import CannotDecide, decide, place, take_back
from athletes.core.standing import DecisionKind
from athletes.models import Athlete, Decision, Standing
from club.members import Member
from drills.models import Drill, Need
from sessions.practices.models import Practice
from sessions.reps.models import Event, Rep
from tests.builders import DAY, aware, make_athlete, make_checkpoint, make_club, make_drill, make_member, make_person
from tests.sessions.trends.rep_builders import ask, log, practice_on, roll_up

DAYS = tuple(DAY + timedelta(days=gap) for gap in (0, 2, 4, 7, 9, 11, 14, 16))
TOUCH, KEEP_ON = DecisionKind.TOUCH, DecisionKind.KEEP_ON


def make_course(club: Any) -> dict[str, Drill]:
    """hold → walk → jog → run → wall → box, each one's gate a checkpoint of its own; wall and box are contact."""
    made: dict[str, Drill] = {}
    needs = {"hold": (), "walk": ("hold",), "jog": ("walk", "hold"), "run": ("jog",), "wall": ("run",),
             "box": ("run", "wall")}  # fmt: skip
    for order, (key, needed) in enumerate(needs.items()):
        risk = "contact" if key in ("wall", "box") else "moving" if key in ("jog", "run") else "floor"
        made[key] = make_drill(
            club,
            gate=(make_checkpoint(club, key=f"{key}-gate"),),
            key=key,
            name=key.title(),
            order=order,
            risk=risk,
            needs=tuple(made[need] for need in needed),
            entry_drill=made["run"] if risk == "contact" else None,
            adult="contact" if risk == "contact" else "floor",
        )
    return made


class GeneratedCourse:
    """Two athletes who mostly succeed, a head coach who touches when asked and sometimes before, by seed."""

    def __init__(self, seed: int, skill: float = 0.9) -> None:
        self.random, self.skill = random.Random(seed), skill
        self.club = make_club()
        self.coach: Member = make_member(self.club, "head_coach")
        self.helper = make_person(self.club, "helper")
        self.drills = make_course(self.club)
        names = ("Nandi", "Eero")
        self.athletes: list[Athlete] = [
            make_athlete(self.club, make_person(self.club, "athlete", given_name=name)) for name in names
        ]

    def live(self) -> None:
        for number, day in enumerate(DAYS):
            self.practise(day)
            roll_up()
            self.decide(day, minute=110)
            if number == 2:
                self.place(self.athletes[1], "run", day)
            roll_up()
        self.late()
        self.surely()
        roll_up()

    def practise(self, day: date, reps: int = 8) -> None:
        """Eight reps of each drill that is open, and of one that is not."""
        for athlete in self.athletes:
            keys = [key for key in self.drills if self.is_open(athlete, key)]
            shut = [key for key in self.drills if key not in keys]
            for place_, key in enumerate([*keys, *self.random.sample(shut, min(1, len(shut)))]):
                for n in range(reps if key in keys else 2):
                    self.rep(athlete, key, day, minute=place_ * 10 + n)

    def is_open(self, athlete: Athlete, key: str) -> bool:
        row = Standing.objects.filter(athlete=athlete, drill=self.drills[key]).first()
        return row.state in ("open", "settled") if row else key == "hold"

    def rep(self, athlete: Athlete, key: str, day: date, minute: int, **given: Any) -> Rep:
        drill, chance = self.drills[key], self.random.random
        gate = [offer.checkpoint for offer in drill.offers.all()]
        good = given.pop("good", chance() < self.skill)
        seen = given.pop("seen", chance() < 0.95)
        values = {"day": day, "minute": minute, "unsafe": given.pop("unsafe", chance() < 0.01), **given}
        rep = log(athlete, drill, gate if seen else [], [] if good or not seen else [gate[0].faults.first()], **values)
        if chance() < 0.1:
            self.by_helper(rep)
        return rep

    def by_helper(self, rep: Rep) -> None:
        Event.objects.bulk_create([
            Event(club=self.club, uuid=rep.source, version=1, kind="rep", practice=rep.practice, device=rep.device,
                  by=self.helper, athlete=rep.athlete, target=rep.source, device_at=rep.at, at=rep.at,
                  sequence=rep.sequence, received_at=rep.at, content={}, content_hash="", corrects_others=False)
        ])  # fmt: skip

    def decide(self, day: date, minute: int) -> None:
        """Touches what asks; now and then opens early, calls settled, gives an easier drill, starts over."""
        for row in Standing.objects.filter(club=self.club, asks=True).select_related("athlete", "drill"):
            self.touch(row.athlete, row.drill.key, day, minute, TOUCH)
        for kind in (TOUCH, DecisionKind.SETTLED, KEEP_ON, DecisionKind.EASIER_DRILL, DecisionKind.START_OVER):
            if self.random.random() < 0.15:
                key = self.random.choice(list(self.drills))
                self.touch(self.random.choice(self.athletes), key, day, minute + 1, kind)

    def touch(self, athlete: Athlete, key: str, day: date, minute: int, kind: DecisionKind) -> Decision | None:
        at = aware(day) + timedelta(minutes=minute)
        try:
            made = decide(by=self.coach, athlete=athlete, drill=self.drills[key], kind=kind, today=day, now=at)
        except CannotDecide:
            return None
        if self.random.random() < 0.1:
            self.undo(made, at)
        return made

    def undo(self, decision: Decision, at: datetime) -> None:
        try:
            take_back(by=self.coach, decision=decision, today=decision.day, now=at + timedelta(minutes=3))
        except CannotDecide:
            return

    def place(self, athlete: Athlete, key: str, day: date, minute: int = 115) -> None:
        try:
            at = aware(day) + timedelta(minutes=minute)
            place(by=self.coach, athlete=athlete, drill=self.drills[key], day=day, now=at, seen="ten years of it")
        except CannotDecide:
            return

    def late(self) -> None:
        """What comes in afterwards: faulty and unsafe reps of old days, a day that loses its reps."""
        self.rep(self.athletes[0], "walk", DAYS[1], 200, good=False, seen=True)
        self.rep(self.athletes[0], "run", DAYS[5], 1, unsafe=True)
        self.take_back(self.athletes[1], "jog", DAYS[3])
        self.take_back(self.athletes[0], "run", DAYS[6])

    def surely(self) -> None:
        """What chance may leave out: bad reps right after an opening, a touch taken back, contact lost as unsafe."""
        athlete = make_athlete(self.club, make_person(self.club, "athlete", given_name="Saoirse"))
        sure = {"seen": True, "unsafe": False}
        other = make_athlete(self.club, make_person(self.club, "athlete", given_name="Tavi"))
        for n, good in enumerate("1111100"):
            self.rep(other, "hold", DAYS[0], n, good=good == "1", **sure)
        place(by=self.coach, athlete=athlete, drill=self.drills["run"], day=DAYS[0], now=aware(DAYS[0]), seen="once")
        for day in DAYS[:2]:
            for n in range(10):
                self.rep(athlete, "run", day, 30 + n, good=True, **sure)
        roll_up()
        at = aware(DAYS[1]) + timedelta(minutes=60)
        for key in ("wall", "jog"):
            made = self.touch(athlete, key, DAYS[1], 60, TOUCH)
            if made and key == "jog":
                self.undo(made, at)
        self.rep(athlete, "wall", DAYS[2], 0, **{**sure, "unsafe": True})

    def take_back(self, athlete: Athlete, key: str, day: date) -> None:
        rows = Rep.objects.filter(athlete=athlete, drill=self.drills[key], day=day)
        first = rows.first()
        rows.update(state=Rep.State.VOID)
        if first:
            ask(first)

    def raise_a_need(self) -> None:
        """From now on the run needs the hold, too."""
        Need.objects.create(club=self.club, drill=self.drills["run"], needed=self.drills["hold"], order=5)

    def practice(self, day: date) -> Practice:
        return practice_on(self.club, day)
