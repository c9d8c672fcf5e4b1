"""Readiness folded once more, plainly, from the rule in words: good and bad counts that fade, and the slip.

It judges what is stored, so it shares no code with the site: it reads tables and uses the standard library.

Each counted rep in order, y = 1 good, Δ days since the last one:
  f = 2^(-1/15) · 2^(-Δ/42);  good ← f·good + y;  bad ← f·bad + (1 - y)
  slip ← min(5, max(0, slip + ln(.40/.65) if good else + ln(.60/.35)))
Counted: every gate checkpoint watched, not unsafe. Good: none of them faulty, and no fault left unnamed. A rep that is
void or waits is nowhere; only that it was unsafe is known at once. Started over: all is forgotten but the unsafe rep.
"""

import math
from collections import defaultdict
from collections.abc import Iterable, Iterator
from datetime import date
from typing import Any

from django.db import connection

FLOATS = ("good", "bad", "slip")
COLUMNS = ("good", "bad", "reps", "days", "last_day", "slip", "recent", "since_unsafe")

REPS = """
SELECT r.athlete_id, r.drill_id, r.day, r.at, d.uuid, r.sequence, r.source, r.place_in_set,
       r.state, r.unsafe, l.id, l.watch_set_id, l.unnamed_fault
FROM reps_rep r JOIN reps_device d ON d.id = r.device_id LEFT JOIN reps_look l ON l.rep_id = r.id AND l.deciding
WHERE r.state <> 'void'
"""


STARTS = """
SELECT d.athlete_id, d.drill_id, d.day, d.at, d.id FROM athletes_decision d
WHERE d.kind = 'start over' AND NOT EXISTS (SELECT 1 FROM athletes_decision t WHERE t.takes_back_id = d.id)
"""


def empty() -> dict[str, Any]:
    return {"good": 0.0, "bad": 0.0, "reps": 0, "days": 0, "last_day": None, "slip": 0.0, "recent": "",
            "since_unsafe": None}  # fmt: skip


def after(state: dict[str, Any], day: Any, said: str) -> dict[str, Any]:
    """The state after one more rep, one of "good", "bad", "not seen", "unsafe", or after it was "started over"."""
    state = dict(state)
    if said == "started over":
        return {**empty(), "since_unsafe": state["since_unsafe"]}
    if said == "unsafe":
        state["since_unsafe"] = 0
    elif said in ("good", "bad"):
        y = 1 if said == "good" else 0
        gap = (day - state["last_day"]).days if state["last_day"] else 0
        f = 2 ** (-1 / 15) * 2 ** (-gap / 42)
        state["good"] = f * state["good"] + y
        state["bad"] = f * state["bad"] + (1 - y)
        step = math.log(0.40 / 0.65) if y else math.log(0.60 / 0.35)
        state["slip"] = min(5.0, max(0.0, state["slip"] + step))
        state["reps"] += 1
        state["days"] += state["last_day"] != day
        state["last_day"] = day
        state["recent"] = (state["recent"] + str(y))[-5:]
        if state["since_unsafe"] is not None:
            state["since_unsafe"] += 1
    return state


def folded(reps: Iterable[tuple[Any, str]]) -> Iterator[tuple[Any, dict[str, Any]]]:
    """The state after each rep, given as (day, what it said)."""
    state = empty()
    for day, said in reps:
        state = after(state, day, said)
        yield day, state


def differences() -> list[str]:
    """A line for each stored state, of now or of a day's end, that is not what the reps say."""
    now, days = _expected()
    found = _compare("athletes_readiness", now, _stored("athletes_readiness", ("athlete_id", "drill_id")))
    return found + _compare(
        "athletes_readinessday", days, _stored("athletes_readinessday", ("athlete_id", "drill_id", "day"))
    )


def _expected() -> tuple[dict[Any, Any], dict[Any, Any]]:
    now: dict[Any, Any] = {}
    days: dict[Any, Any] = {}
    for pair, reps in _reps().items():
        for day, state in folded(reps):
            now[pair] = days[(*pair, str(day))] = state
    return now, days


def _reps() -> dict[Any, list[tuple[Any, str]]]:
    gates = _sets("SELECT drill_id, checkpoint_id FROM drills_drillcheckpoint WHERE gate")
    watched = _sets("SELECT watch_set_id, checkpoint_id FROM reps_watched")
    faulty = _sets("SELECT look_id, checkpoint_id FROM reps_lookfault WHERE inside")
    in_order: dict[Any, list[tuple[Any, Any, str]]] = defaultdict(list)
    for athlete, drill, day, at, device, sequence, source, place, state, unsafe, look, watch_set, unnamed in _rows(
        REPS
    ):
        if state == "counts" or unsafe:
            said = _said(gates[drill], watched[watch_set], faulty[look], unsafe, unnamed)
            key = (_date(day), str(at), str(device), sequence, str(source), place)
            in_order[_text(athlete), drill].append((key, _date(day), said))
    for athlete, drill, day, at, decision in _rows(STARTS):
        in_order[_text(athlete), drill].append(
            ((_date(day), str(at), "", 0, str(decision), 0), _date(day), "started over")
        )
    return {pair: [(day, said) for _, day, said in sorted(reps)] for pair, reps in in_order.items()}


def _said(gate: set[Any], watched: set[Any], faulty: set[Any], unsafe: Any, unnamed: Any) -> str:
    if unsafe:
        return "unsafe"
    if not gate or gate - watched:
        return "not seen"
    return "bad" if unnamed or gate & faulty else "good"


def _stored(table: str, key: tuple[str, ...]) -> dict[Any, dict[str, Any]]:
    rows = _rows(f"SELECT {', '.join(key + COLUMNS)} FROM {table}")
    found = {}
    for row in rows:
        state = dict(zip(COLUMNS, row[len(key) :], strict=True))
        state["last_day"] = _date(state["last_day"])
        athlete, *rest = row[: len(key)]
        found[(_text(athlete), rest[0], *(str(value) for value in rest[1:]))] = state
    return found


def _compare(table: str, expected: dict[Any, Any], stored: dict[Any, Any]) -> list[str]:
    lines = []
    for key in sorted({*expected, *stored}, key=str):
        should, found = expected.get(key), stored.get(key)
        if found is None or not _same(should or (empty() if len(key) == 2 else {}), found):
            lines.append(f"{table} {key}: is {found}; should be {should}")
    return lines


def _same(one: dict[str, Any], other: dict[str, Any]) -> bool:
    return one.keys() == other.keys() and all(
        math.isclose(one[name], other[name], rel_tol=1e-9, abs_tol=1e-12)
        if name in FLOATS
        else one[name] == other[name]
        for name in COLUMNS
    )


def _sets(sql: str) -> dict[Any, set[Any]]:
    found: dict[Any, set[Any]] = defaultdict(set)
    for one, many in _rows(sql):
        found[one].add(many)
    return found


def _rows(sql: str) -> list[tuple[Any, ...]]:
    with connection.cursor() as cursor:
        cursor.execute(sql)
        return cursor.fetchall()


def _date(value: Any) -> Any:
    return date.fromisoformat(value) if isinstance(value, str) else value


def _text(athlete: Any) -> str:
    return str(athlete).replace("-", "")
