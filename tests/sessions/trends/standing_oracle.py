"""Who stands where with which drill, folded once more, plainly, from the rule in words.

It judges what is stored, so it shares no code with the site: it reads tables, and uses the standard library and SciPy's
quantiles. It is slow and keeps nothing between days.

A drill opens when every need is met. A need is met only while it is open itself; then
  by a floor need: 4 of its last 5 counted reps good, the last one good;
  by a moving need: low end >= .55, weight of evidence >= 8;
  towards contact, by the entry drill and contact needs: settled by figures (without helpers' marks), and at least 10
  counted reps since the last unsafe one. A contact drill then waits for the head coach's touch.
Opened by figures, a drill is checked through each of its floor needs: over the next 3 days with a rep of the athlete,
2 bad of the first 3 counted reps there close it, and what opened through it while that is still being checked.
An unsafe rep, "easier drill", "start over" or a closing closes what is open at contact and rests on that drill.
"""

import json
from collections import defaultdict
from typing import Any

from scipy.stats import beta

from tests.sessions.trends.fold_oracle import REPS, _date, _rows, _said, _sets, _text, after, empty

AT_CONTACT = ("contact touch", "placement")
SHOWN = ("state", "opened_by", "closed_by", "settled_by", "since", "asks", "unmet")
TRACK = {"opened_by": None, "opened_on": None, "closed_by": None, "closed_on": None, "settled_by": None,
         "settled_on": None, "settled_coached": False, "reps": 0, "good": 0.0, "bad": 0.0}  # fmt: skip


def low_end(good: float, bad: float) -> float:
    return float(beta.ppf(0.10, 2 + good, 2 + bad))


def differences() -> list[str]:
    """A line for each stored standing, and each book of a day's end, that is not what reps and decisions say."""
    found = []
    drill_of = {row[0]: row[1] for row in _rows("SELECT id, key FROM drills_drill")}
    for club, editions in _editions().items():
        standings, days = _stored(club, drill_of)
        items = _items(club, drill_of)
        for athlete in _athletes(club):
            vaulter = Vaulter(editions)
            for day, fold in _by_day(items[athlete]):
                for item in fold:
                    vaulter.live(*item)
                found += vaulter.differs_from(f"athletes_bookday {athlete} {day}", days.pop((athlete, day), None))
            for drill in editions[-1][1]:
                should, stored = vaulter.shown(drill), standings.get((athlete, drill))
                if (stored or vaulter.untouched(drill)) != should:
                    found.append(f"athletes_standing {athlete} {drill}: is {stored}; should be {should}")
        found += [f"athletes_bookday {key}: nothing happened on that day" for key in days]
    return found


class Vaulter:
    """One athlete while days go by. editions: (first day, drills by key), oldest first."""

    def __init__(self, editions: list[tuple[Any, dict[str, Any]]]) -> None:
        self.editions = editions
        self.drills: dict[str, Any] = {}
        self.at: dict[str, dict[str, Any]] = {}
        self.day: Any = None
        self.practice: Any = None
        self.use(editions[-1][0])

    def use(self, day: Any) -> None:
        """The progression in force on the day, with what only came later."""
        now = max([n for n, (since, _) in enumerate(self.editions) if since <= day], default=0)
        self.drills = {}
        for _, drills in self.editions[now:]:
            self.drills = {**drills, **self.drills}

    def drill(self, key: str) -> dict[str, Any]:
        return self.at.setdefault(
            key, {**{name: v for name, v in TRACK.items() if name not in ("reps", "good", "bad")},
                  "all": empty(), "coached": empty(), "checks": []}
        )  # fmt: skip

    def leads_to(self, key: str) -> list[str]:
        return [other for other, drill in self.drills.items() if key in drill["needs"]]

    def contact(self, key: str) -> bool:
        return self.drills[key]["risk"] == "contact"

    def is_open(self, key: str) -> bool:
        at = self.drill(key)
        if at["opened_by"]:
            return not self.contact(key) or at["opened_by"] in AT_CONTACT
        return not at["closed_by"] and not self.drills[key]["needs"] and not self.contact(key)

    # what happens

    def live(self, day: Any, what: str, key: str, said: str, helper: bool) -> None:
        self.use(day)
        self.day = day
        if what == "rep":
            self.rep(key, said, helper)
        else:
            self.decide(key, said)

    def rep(self, key: str, said: str, helper: bool) -> None:
        if self.practice != self.day:
            self.practice = self.day
            for at in self.at.values():
                for check in at["checks"]:
                    check["practices"] += check["last"] < self.day
                    check["last"] = self.day
                at["checks"] = [check for check in at["checks"] if check["practices"] <= 3]
        at = self.drill(key)
        if not at["opened_by"] and self.is_open(key):
            at["opened_by"], at["opened_on"] = "no needs", self.day
        at["all"] = after(at["all"], self.day, said)
        if said == "unsafe" or not helper:
            at["coached"] = after(at["coached"], self.day, said)
        if said == "unsafe":
            self.shake(key, "unsafe rep")
        elif said in ("good", "bad"):
            if at["settled_by"] != "figures" and self.settles(at["all"]):
                at["settled_by"], at["settled_on"] = "figures", self.day
            at["settled_coached"] = at["settled_coached"] or self.settles(at["coached"])
            self.check(key, said == "bad")
            self.open_what_needs(key)

    def settles(self, state: dict[str, Any]) -> bool:
        n = state["good"] + state["bad"]
        seen = state["days"] >= 2 and n >= 8 and state["recent"].endswith("1")
        return seen and low_end(state["good"], state["bad"]) >= 0.65

    def check(self, need: str, bad: bool) -> None:
        for key in self.leads_to(need):
            for check in list(self.drill(key)["checks"]):
                if check["need"] == need and check["practices"]:
                    check["seen"] += 1
                    check["bad"] += bad
                    if check["bad"] >= 2:
                        self.close(key, "warm-up check")
                    elif check["seen"] >= 3:
                        self.drill(key)["checks"].remove(check)

    def open_what_needs(self, need: str) -> None:
        for key in self.leads_to(need):
            if not self.contact(key) and not self.is_open(key) and not self.unmet(key):
                floor = [n for n in self.drills[key]["needs"] if self.drills[n]["risk"] == "floor"]
                checks = [{"need": n, "last": self.day, "practices": 0, "seen": 0, "bad": 0} for n in floor]
                self.open(key, "figures", checks)

    def open(self, key: str, by: str, checks: list[dict[str, Any]]) -> None:
        was, at = self.is_open(key), self.drill(key)
        if not was or not at["opened_on"]:
            at["opened_on"] = self.day
        at |= {"opened_by": by, "closed_by": None, "closed_on": None, "checks": checks}
        if not was:
            self.open_what_needs(key)

    def close(self, key: str, by: str) -> None:
        self.drill(key).update(opened_by=None, opened_on=None, closed_by=by, closed_on=self.day, checks=[])
        for other in self.leads_to(key):
            through = any(check["need"] == key for check in self.drill(other)["checks"])
            if self.is_open(other) and (through or self.rests(other, key)):
                self.close(other, "below")

    def rests(self, key: str, need: str) -> bool:
        return self.contact(key) and (self.drills[key]["entry"] == need or self.contact(need))

    def shake(self, key: str, by: str) -> None:
        if self.contact(key) and self.is_open(key):
            self.close(key, by)
        for other in self.leads_to(key):
            if self.rests(other, key) and self.is_open(other):
                self.close(other, by)

    def decide(self, key: str, kind: str) -> None:
        at = self.drill(key)
        if kind == "place":
            self.open(key, "placement", [])
        elif kind == "touch" and not self.contact(key):
            self.open(key, "touch", [])
        elif kind == "touch" and not self.is_open(key) and self.drills[key]["entry"] and not self.unmet(key):
            self.open(key, "contact touch", [])
        elif kind == "settled" and not at["settled_by"]:
            at["settled_by"], at["settled_on"] = "coach", self.day
        elif kind in ("easier drill", "start over"):
            at |= {"settled_by": None, "settled_on": None, "settled_coached": False}
            if kind == "start over":
                at["all"] = empty() | {"since_unsafe": at["all"]["since_unsafe"]}
                at["coached"] = empty() | {"since_unsafe": at["coached"]["since_unsafe"]}
            self.shake(key, kind)

    # what it comes to

    def unmet(self, key: str) -> list[str]:
        return sorted(need for need in self.drills[key]["needs"] if not self.met(key, need))

    def met(self, key: str, need: str) -> bool:
        at = self.drill(need)
        if not self.is_open(need):
            return False
        if need == self.drills[key]["entry"] or self.contact(need):
            unsafe = at["coached"]["since_unsafe"]
            return at["settled_by"] == "figures" and at["settled_coached"] and (unsafe is None or unsafe >= 10)
        state = at["coached"] if self.contact(key) else at["all"]
        if self.drills[need]["risk"] == "floor":
            recent = state["recent"]
            return len(recent) == 5 and recent.count("1") >= 4 and recent.endswith("1")
        return state["good"] + state["bad"] >= 8 and low_end(state["good"], state["bad"]) >= 0.55

    def shown(self, key: str) -> dict[str, Any]:
        self.use(self.editions[-1][0])
        at, is_open = self.drill(key), self.is_open(key)
        never = not at["opened_by"] and not at["closed_by"]
        state = ("settled" if at["settled_by"] else "open") if is_open else "not open" if never else "closed again"
        since = {"settled": "settled_on", "open": "opened_on", "closed again": "closed_on"}.get(state)
        unmet = [] if is_open else self.unmet(key)
        asks = self.contact(key) and bool(self.drills[key]["entry"]) and not is_open and not unmet
        values = [state, at["opened_by"], at["closed_by"], at["settled_by"], since and at[since], asks, unmet]
        return dict(zip(SHOWN, values, strict=True))

    def untouched(self, key: str) -> dict[str, Any]:
        """What is shown where no row is kept."""
        return Vaulter(self.editions).shown(key)

    def differs_from(self, name: str, book: dict[str, Any] | None) -> list[str]:
        if book is None:
            return [f"{name}: is not there"]
        found = []
        for key in sorted({*self.at, *book}):
            at = self.drill(key)
            should = {**{n: at[n] for n in TRACK if n in at}, **{n: at["all"][n] for n in ("reps", "good", "bad")}}
            stored = _track(book[key]) if key in book else dict(TRACK)
            if {n: _round(v) for n, v in should.items()} != {n: _round(v) for n, v in stored.items()}:
                found.append(f"{name} {key}: is {stored}; should be {should}")
        return found


def _track(row: dict[str, Any]) -> dict[str, Any]:
    plain = {name: row[name] for name in TRACK if name in row}
    return plain | {name: row["state"][name] for name in ("reps", "good", "bad")}


def _round(value: Any) -> Any:
    return round(value, 9) if isinstance(value, float) else str(value) if hasattr(value, "year") else value


# reading


def _json(value: Any) -> Any:
    return json.loads(value) if isinstance(value, str) else value


def _editions() -> dict[Any, list[tuple[Any, dict[str, Any]]]]:
    found: dict[Any, list[tuple[Any, dict[str, Any]]]] = defaultdict(list)
    for club, since, drills in _rows("SELECT club_id, since, drills FROM athletes_progressionedition ORDER BY since"):
        found[club].append((_date(since), {drill["key"]: drill for drill in _json(drills)}))
    return found


def _athletes(club: Any) -> list[str]:
    return sorted(_text(row[0]) for row in _rows("SELECT id, club_id FROM athletes_athlete") if row[1] == club)


def _items(club: Any, drill_of: dict[int, str]) -> dict[str, list[Any]]:
    """By athlete, in order: (day, what, drill, what it said, whether a helper marked it)."""
    gates = _sets("SELECT drill_id, checkpoint_id FROM drills_drillcheckpoint WHERE gate")
    watched = _sets("SELECT watch_set_id, checkpoint_id FROM reps_watched")
    faulty = _sets("SELECT look_id, checkpoint_id FROM reps_lookfault WHERE inside")
    helpers = {row[0] for row in _rows("SELECT uuid FROM reps_event WHERE NOT corrects_others")}
    whose = {_text(row[0]): row[1] for row in _rows("SELECT id, club_id FROM athletes_athlete")}
    found: dict[str, list[Any]] = defaultdict(list)
    for athlete, drill, day, at, device, sequence, source, place, state, unsafe, look, watch_set, unnamed in _rows(
        REPS
    ):
        if whose[_text(athlete)] == club and (state == "counts" or unsafe):
            said = _said(gates[drill], watched[watch_set], faulty[look], unsafe, unnamed)
            key = (_date(day), str(at), str(device), sequence, _text(source), place)
            found[_text(athlete)].append((key, (_date(day), "rep", drill_of[drill], said, source in helpers)))
    undone = {row[0] for row in _rows("SELECT takes_back_id FROM athletes_decision WHERE takes_back_id IS NOT NULL")}
    for pk, athlete, drill, kind, day, at, owner in _rows(
        "SELECT id, athlete_id, drill_id, kind, day, at, club_id FROM athletes_decision WHERE kind <> 'taken back'"
    ):
        if owner == club and pk not in undone:
            key = (_date(day), str(at), "", 0, _text(pk), 0)
            found[_text(athlete)].append((key, (_date(day), "decision", drill_of[drill], kind, False)))
    return defaultdict(list, {athlete: [item for _, item in sorted(rows)] for athlete, rows in found.items()})


def _by_day(items: list[Any]) -> list[tuple[str, list[Any]]]:
    days: dict[str, list[Any]] = defaultdict(list)
    for item in items:
        days[str(item[0])].append(item)
    return sorted(days.items())


def _stored(club: Any, drill_of: dict[int, str]) -> tuple[dict[Any, Any], dict[Any, Any]]:
    standings = {}
    columns = "athlete_id, drill_id, state, opened_by, closed_by, settled_by, since, asks, lacking, club_id"
    for athlete, drill, state, opened, closed, settled, since, asks, lacking, owner in _rows(
        f"SELECT {columns} FROM athletes_standing"
    ):
        if owner == club:
            unmet = sorted(need["need"] for need in _json(lacking) if need["lacks"])
            values = [state, opened or None, closed or None, settled or None, _date(since), bool(asks), unmet]
            standings[_text(athlete), drill_of[drill]] = dict(zip(SHOWN, values, strict=True))
    rows = _rows("SELECT athlete_id, day, book, club_id FROM athletes_bookday")
    days = {(_text(athlete), str(day)): _json(book)["tracks"] for athlete, day, book, owner in rows if owner == club}
    return standings, days
