"""A small club with everything in it that the roll-up must tell apart, and what happens to it later."""

import random
from datetime import date, timedelta
from typing import Any

from athletes.actions.decisions import decide, take_back
from athletes.core.standing import DecisionKind
from athletes.models import Athlete
from club.models import Club
from drills.models import Checkpoint, Drill
from sessions.reps.models import Rep
from tests.builders import DAY, aware, make_athlete, make_checkpoint, make_club, make_drill, make_member, make_person
from tests.sessions.trends.rep_builders import ask, log, make_look, roll_up

DAYS = tuple(DAY + timedelta(days=gap) for gap in (0, 2, 3, 9))


class GeneratedClub:
    """Two athletes, two drills (a gate of two checkpoints, a gate of one), four days of random reps by seed."""

    def __init__(self, seed: int) -> None:
        self.random = random.Random(seed)
        self.club: Club = make_club()
        self.observer = make_person(self.club)
        self.coach = make_member(self.club, "head_coach")
        self.athletes: list[Athlete] = [
            make_athlete(self.club, make_person(self.club, "athlete", given_name=name)) for name in ("Nandi", "Eero")
        ]
        # The catalogue lists them against the order of the run.
        self.checkpoints: list[Checkpoint] = [
            make_checkpoint(self.club, phase=phase, order=9 - place)
            for place, phase in enumerate(("carry", "drop", "plant", "contact"))
        ]
        carry, drop, plant, contact = self.checkpoints
        self.drills: list[Drill] = [
            make_drill(self.club, gate=(drop, plant), offers=(carry, contact)),
            make_drill(self.club, gate=(plant,), offers=(drop,)),
        ]

    def live(self) -> None:
        """Practices as they come, each rolled up; then what comes late: a rep, a void, a day that loses all."""
        for day in DAYS:
            self.practise(day, reps=16)
            roll_up()
            if day == DAYS[1]:
                self.start_over(self.athletes[0], self.drills[0], day, minute=50)
                self.start_over(self.athletes[1], self.drills[0], day, minute=50, taken_back=True)
        for athlete in self.athletes:
            self.rep(athlete, self.drills[0], DAYS[0], watched=self.checkpoints, faults=1)
        roll_up()
        self.rep(self.athletes[0], self.drills[0], DAYS[3], state=Rep.State.WAITS, unsafe=True, minute=200)
        self.take_back(self.athletes[0], self.drills[1], DAYS[3])
        self.take_back(self.athletes[1], self.drills[1], DAYS[1])
        roll_up()
        self.start_over(self.athletes[0], self.drills[0], DAYS[3], minute=50)

    def start_over(self, athlete: Athlete, drill: Drill, day: date, minute: int, taken_back: bool = False) -> None:
        """In the middle of a practice that was rolled up already."""
        at = aware(day) + timedelta(minutes=minute)
        made = decide(by=self.coach, athlete=athlete, drill=drill, kind=DecisionKind.START_OVER, today=day, now=at)
        roll_up()
        if taken_back:
            take_back(by=self.coach, decision=made, today=day, now=at + timedelta(minutes=1))
            roll_up()

    def practise(self, day: date, reps: int) -> None:
        for _ in range(reps):
            self.rep(self.random.choice(self.athletes), self.random.choice(self.drills), day)

    def rep(self, athlete: Athlete, drill: Drill, day: date, **given: Any) -> Rep:
        """A rep of one of all sorts. given: watched, how many faults, and fields of the rep."""
        chance = self.random.random
        watched = given.pop("watched", None) or self.random.sample(self.checkpoints, self.random.randint(0, 4))
        faults = given.pop("faults", self.random.choice((0, 0, 1, 2)))
        values = {
            "day": day,
            "minute": self.random.randrange(100),
            "unsafe": chance() < 0.15,
            "state": self.random.choice(["counts"] * 6 + ["void", "waits"]),
            "sequence": self.random.randrange(3),
        }
        every = [fault for checkpoint in self.checkpoints for fault in checkpoint.faults.all()]
        unnamed = not faults and bool(watched) and chance() < 0.4
        rep = log(athlete, drill, watched, self.random.sample(every, faults), unnamed, **{**values, **given})
        if chance() < 0.4:
            self.second_look(rep)
        return rep

    def second_look(self, rep: Rep) -> None:
        checkpoint = self.random.choice(self.checkpoints)
        make_look(rep, [checkpoint], checkpoint.faults.all()[:1], deciding=False, observer=self.observer)

    def take_back(self, athlete: Athlete, drill: Drill, day: date) -> None:
        rows = Rep.objects.filter(athlete=athlete, drill=drill, day=day)
        rows.update(state=Rep.State.VOID)
        for rep in rows[:1]:
            ask(rep)

    def correct(self, day: date) -> None:
        """A rep of that day turns out to have been another athlete's, at the other drill, and unsafe or not."""
        rows = list(Rep.objects.filter(club=self.club, day=day).order_by("pk"))
        if not rows:
            return
        rep = self.random.choice(rows)
        ask(rep)
        rep.athlete, rep.drill = self.random.choice(self.athletes), self.random.choice(self.drills)
        rep.unsafe = self.random.random() < 0.3
        rep.save(update_fields=["athlete", "drill", "unsafe"])
        ask(rep)
