"""What an assistant does with a tablet at a station, all of it by touch: reps, sets, taking them back, mending them."""

import random
import time
from collections.abc import Callable
from typing import Any

from playwright.sync_api import Error

from tests.faults.soak.tablet import Lost, Tab, Tablet
from tests.faults.soak.truth import Entry

Content = dict[str, Any]
DEAF_S = 1.6  # between two sets; at a turn, picking who it is ends the wait
MOST_FAULTS = 2
PRESSED = "eyes.texts('#rail [aria-pressed=true]').includes(value)"


class Hands:
    def __init__(self, tablet: Tablet, chance: random.Random) -> None:
        self.tablet, self.chance = tablet, chance
        self.last_set = 0.0

    @property
    def tab(self) -> Tab:
        return self.tablet.tab

    @property
    def drill(self) -> Content:
        return self.tablet.world["drills"][self.tab.station["drill"]]

    @property
    def is_for_sets(self) -> bool:
        return self.drill["unit"] == "set"

    def one(self, *, kill: bool = False) -> None:
        """Something, at random. kill: the browser dies of it."""
        self.chosen()(kill)

    def chosen(self) -> Callable[[bool], None]:
        entry = self.tab.entries[-1] if self.tab.entries else None
        what: dict[Callable[[bool], None], int] = {self.set if self.is_for_sets else self.rep: 80, self.note: 1}
        what[self.attendance] = 1
        if entry:
            what[self.undo] = 7
        if entry and entry.seen:
            what |= {self.give: 4, self.change: 4}
        if not self.is_for_sets:
            what[self.focus] = 2
        (found,) = self.chance.choices(list(what), list(what.values()))
        return found

    # --- a turn ---

    def rep(self, kill: bool) -> None:
        tab, drill = self.tab, self.drill
        name = self.chance.choice(list(tab.station["athletes"]))
        self.tablet.touch("#line .pick", name)
        self.tablet.see("document.getElementById('athlete').textContent === value", name)
        how = self.chance.choices(("#area", "#did-not-see", "#unsafe"), (90, 7, 3))[0]
        faults = [] if how == "#did-not-see" else self.faults()
        content: Content = {"athlete": tab.station["athletes"][name], **self.place()}
        content |= {"watched": [] if how == "#did-not-see" else self.watched(), "faults": faults}
        unsafe = how == "#unsafe" or any(drill["faults"][key]["unsafe"] for key in faults)
        if unsafe:
            content["unsafe"] = True
        kind = "look" if tab.watches else "rep"
        said = self.tablet.commit(how, [(kind, content)], kill=kill)
        if kill:
            return
        tab.entries.append(Entry(said, None if tab.watches else {**content, "unsafe": unsafe}))
        if unsafe:
            self.tablet.touch("#unsafe-go-on")

    def faults(self) -> list[str]:
        """Of those that the page offers, by what is written on them."""
        times = self.chance.choices((0, 1, 2), (5, 4, 1))[0]
        labels = [label for label in self.tablet.texts("#rail [data-fault]") if label in self.keys()]
        chosen = self.chance.sample(labels, min(times, len(labels)))
        for label in chosen:
            self.tablet.touch("#rail [data-fault]", label)
            self.tablet.see(PRESSED, label)
        return [self.keys()[label] for label in chosen]

    def keys(self) -> dict[str, str]:
        return {fault["label"]: key for key, fault in self.drill["faults"].items()}

    def place(self) -> Content:
        return {"drill": self.tab.station["drill"], "station": self.tab.station["id"]}

    def watched(self) -> list[str]:
        return list(self.tab.focus or self.drill["gate"])

    def focus(self, kill: bool) -> None:
        """Another thing to watch, or again what decides."""
        self.tablet.touch("#focus")
        if self.tab.focus and self.chance.random() < 0.6:
            self.tablet.touch("#focus-gate")
            self.tab.focus = None
        else:
            names = {point["name"]: point["key"] for point in self.drill["checkpoints"]}
            there = [name for name in self.tablet.texts("#focus-list [data-watch]") if name in names]
            name = self.chance.choice(there)
            self.tablet.touch("#focus-list [data-watch]", name)
            self.tab.focus = (names[name],)
        self.tablet.see("!document.getElementById('focus-dialog').open")

    # --- a set ---

    def set(self, kill: bool) -> None:
        tab = self.tab
        time.sleep(max(0.0, self.last_set + DEAF_S - time.monotonic()))
        names = self.tablet.texts(".set-row .whose")
        each = self.chance.randint(1, 5)
        self.tablet.touch("#set-pad [data-each]", str(each))
        self.tablet.see("document.querySelector('#set-pad [aria-pressed=true]')?.dataset.each === value", str(each))
        rows = {name: {"done": each, "watched": 0, "faulty": 0, "fault": ""} for name in names}
        for name in self.chance.sample(names, min(len(names), self.chance.choice((0, 1, 2)))):
            self.exception(tab.station["athletes"][name], rows[name])
        means = [
            ("set", self.of_set(tab.station["athletes"][name], **row)) for name, row in rows.items() if row["done"]
        ]
        self.last_set = time.monotonic()
        said = self.tablet.commit("#set-log", means, kill=kill)
        self.last_set = time.monotonic()
        if not kill:
            tab.entries.append(Entry(said))

    def exception(self, athlete: str, row: Content) -> None:
        """One of the rows, not like the others."""
        what = self.chance.choice(("fewer", "saw", "faulty"))
        if what == "fewer":
            self.step(athlete, "did", -1)
            row["done"] -= 1
        elif what == "saw":
            self.tablet.touch(f'[data-saw="{athlete}"]')
            row["watched"] = row["done"]
        else:
            self.step(athlete, "faulty", 1)
            row |= {"watched": 1, "faulty": 1}
            self.tablet.touch(f'[data-which="{athlete}"]')
            label = self.chance.choice([one for one in self.tablet.texts("#which-list .fchip") if one in self.keys()])
            self.tablet.touch("#which-list .fchip", label)
            self.tablet.see("!document.getElementById('which-dialog').open")
            row["fault"] = self.keys()[label]

    def step(self, athlete: str, name: str, by: int) -> None:
        self.tablet.touch(f'[data-step="{name}"][data-by="{by}"][data-athlete="{athlete}"]')

    def of_set(self, athlete: str, done: int, watched: int, faulty: int, fault: str) -> Content:
        watch = self.watched() if watched else []
        counts = {fault: faulty} if fault else {}
        said = {"athlete": athlete, **self.place(), "done": done, "watch_set": watch}
        return {**said, "watched": watched, "faulty": faulty, "counts": counts}

    # --- afterwards ---

    def undo(self, kill: bool) -> None:
        entry = self.tab.entries[-1]
        self.tablet.commit("#undo", [("void", {"target": one.uuid}) for one in entry.said], kill=kill)
        if not kill:
            self.tab.entries.pop()
            self.last_set = 0.0

    def give(self, kill: bool) -> None:
        """It was somebody else's."""
        entry = self.tab.entries[-1]
        assert entry.seen
        athletes = self.tab.station["athletes"]
        name = self.chance.choice([name for name, athlete in athletes.items() if athlete != entry.seen["athlete"]])
        self.tablet.touch("#not-her")
        change = {"athlete": athletes[name], "drill": self.tab.station["drill"]}
        self.correct(entry, "#whose-list [data-whose]", change, kill, name)

    def change(self, kill: bool) -> None:
        """Other faults were seen: what was chosen is touched again, then another one."""
        entry = self.tab.entries[-1]
        assert entry.seen
        self.tablet.touch("#change-seen")
        labels = {key: label for label, key in self.keys().items()}
        for key in entry.seen["faults"]:
            self.tablet.touch("#change-list [data-mend]", labels[key])
        there = [label for label in self.tablet.texts("#change-list [data-mend]") if label in self.keys()]
        faults = [self.keys()[label] for label in self.chance.sample(there, self.chance.choice((0, 1, 1)))]
        for key in faults:
            self.tablet.touch("#change-list [data-mend]", labels[key])
        unsafe = entry.seen["unsafe"] or any(self.drill["faults"][key]["unsafe"] for key in faults)
        seen = {"watched": entry.seen["watched"], "faults": faults, "unsafe": unsafe}
        self.correct(entry, "#change-keep", seen, kill)

    def correct(self, entry: Entry, selector: str, change: Content, kill: bool, text: str | None = None) -> None:
        means: list[tuple[str, Content]] = []
        if entry.correction:
            means.append(("void", {"target": entry.correction}))
        means.append(("correction", {"target": entry.said[0].uuid, **entry.change, **change}))
        said = self.tablet.commit(selector, means, text=text, kill=kill)
        if not kill:
            assert entry.seen
            entry.change |= change
            entry.seen |= change
            entry.correction = said[-1].uuid

    # --- beside reps ---

    def about(self) -> str:
        athlete = self.chance.choice(list(self.tab.station["athletes"].values()))
        self.tablet.touch(f'[data-about="{athlete}"]')
        return athlete

    def note(self, kill: bool) -> None:
        if self.is_for_sets:
            return self.set(kill)
        athlete = self.about()
        text = f"Said {self.chance.randrange(10**9)}."
        self.tablet.touch("#note-open")
        try:
            self.tab.page.fill("#note-text", text)
        except Error as error:
            raise Lost from error
        self.tablet.commit("#note-keep", [("note", {"athlete": athlete, "text": text, "reader": "coaches"})], kill=kill)
        return None

    def attendance(self, kill: bool) -> None:
        athlete, state = self.about(), self.chance.choice(("here", "late"))
        self.tablet.commit(
            f'#attend [data-state="{state}"]', [("attendance", {"athlete": athlete, "state": state})], kill=kill
        )
