"""What the database says in the end, held against what the driver touched: ids and contents, each once, and no more."""

from collections import Counter
from collections.abc import Iterable
from datetime import timedelta
from typing import Any

from tests.faults.answered import as_uuid, stored
from tests.faults.forked import Duties
from tests.faults.soak.truth import Content, Said, Truth, folded, plain

TRIP = timedelta(seconds=20)
"""How far a stored time may be from the true one: a request that was on its way for long makes its tablet's clock look
slow by as much, and up to 10 s are never corrected."""

REPS = """SELECT r.source, r.place_in_set, r.athlete_id, d.key, r.day, r.state, r.unsafe, l.watch_set_id, l.id
    FROM reps_rep r JOIN drills_drill d ON d.id = r.drill_id
    LEFT JOIN reps_look l ON l.rep_id = r.id AND l.uuid = r.uuid"""
WATCHED = "SELECT w.watch_set_id, c.key FROM reps_watched w JOIN drills_checkpoint c ON c.id = w.checkpoint_id"
FAULTS = "SELECT s.look_id, f.key FROM reps_lookfault s JOIN drills_fault f ON f.id = s.fault_id"


def there(duties: Duties) -> set[str]:
    return {as_uuid(row[0]) for row in duties.ask("SELECT uuid FROM reps_event")}


def wrong(truth: Iterable[Truth], duties: Duties, world: Content) -> list[str]:
    truth = list(truth)
    ticked = [one for part in truth for one in part.ticked]
    unsure = [one for part in truth for one in part.unsure]
    rows = {row["uuid"]: row for row in stored(duties)}
    authors = {as_uuid(uuid): as_uuid(by) for uuid, by in duties.ask("SELECT uuid, by_id FROM reps_event")}
    lost = Counter(f"tablet {one.tablet}: {one.kind}" for one in ticked if one.uuid not in rows)
    found = [f"{what} is not there, {times} times of {len(ticked)}" for what, times in lost.items()]
    found += [f"{one} is not there" for one in ticked if one.uuid not in rows]
    found += [
        why for one in ticked if one.uuid in rows for why in _unlike(one, rows[one.uuid], authors[one.uuid], world)
    ]
    known = {one.uuid for one in ticked}
    extra = [row for uuid, row in rows.items() if uuid not in known]
    recognised, unknown = _recognised(extra, unsure, authors, world)
    found += [f"nobody touched {row}" for row in unknown]
    twice = Counter((row["practice"], one.tablet, row["sequence"]) for one in ticked if (row := rows.get(one.uuid)))
    found += [f"{place}: one sequence {times} times" for place, times in twice.items() if times > 1]
    return found + _reps_unlike([one for one in ticked if one.uuid in rows] + recognised, duties, world)


def _unlike(one: Said, row: dict[str, Any], author: str, world: Content) -> list[str]:
    there = (row["kind"], _comparable(row["kind"], row["content"]), row["practice"], author)
    meant = (one.kind, _comparable(one.kind, one.content), world["practice"], one.by)
    found = [f"{one.uuid} was touched as {meant}, is there as {there}"] if there != meant else []
    if abs(row["at"] - one.true) > TRIP:
        found.append(f"{one.kind} {one.uuid} was touched at {one.true}, is there as of {row['at']}")
    return found


def _comparable(kind: str, content: Content) -> Content:
    """Whose hold was taken over is the server's to know."""
    return plain({name: value for name, value in content.items() if (kind, name) != ("hold", "takes_over")})


def _recognised(
    extra: list[dict[str, Any]], unsure: list[Said], authors: dict[str, str], world: Content
) -> tuple[list[Said], list[dict[str, Any]]]:
    """Of what came without a tick: what may have been stored just before a browser died, and what nobody touched."""
    left, recognised, unknown = list(unsure), [], []
    for row in extra:
        found = next((one for one in left if not _unlike(one, row, authors[row["uuid"]], world)), None)
        if found is None:
            unknown.append(row)
        else:
            left.remove(found)
            recognised.append(Said(found.kind, found.content, found.by, found.true, found.tablet, row["uuid"]))
    return recognised, unknown


def _reps_unlike(events: list[Said], duties: Duties, world: Content) -> list[str]:
    """Reps that are not what the events, folded here again, make of them."""
    meant = Counter(_meant(folded(events), world))
    made = Counter(_made(duties))
    found = [f"{times} × {rep} is missing" for rep, times in (meant - made).items()]
    return found + [f"{times} × {rep} should not be" for rep, times in (made - meant).items()]


def _meant(reps: dict[str, tuple[Content, bool]], world: Content) -> Iterable[tuple[Any, ...]]:
    for uuid, (rep, void) in reps.items():
        one = (uuid, rep["athlete"], rep["drill"], world["day"], void)
        if "done" not in rep:
            yield (*one, frozenset(rep["watched"]), frozenset(rep["faults"]), bool(rep.get("unsafe")))
            continue
        watch, named = frozenset(rep["watch_set"]), [key for key, times in rep["counts"].items() for _ in range(times)]
        for place in range(rep["done"]):
            seen = watch if place < rep["watched"] else frozenset()
            yield (*one, seen, frozenset(named[place : place + 1]), False)


def _made(duties: Duties) -> Iterable[tuple[Any, ...]]:
    """A set's reps are told apart by nothing but what was seen of each."""
    watched, faults = _grouped(duties.ask(WATCHED)), _grouped(duties.ask(FAULTS))
    for source, _place, athlete, drill, day, state, unsafe, watch_set, look in duties.ask(REPS):
        one = (as_uuid(source), as_uuid(athlete), drill, str(day), state == "void")
        yield (*one, watched.get(watch_set, frozenset()), faults.get(look, frozenset()), bool(unsafe))


def _grouped(rows: list[Any]) -> dict[Any, frozenset[str]]:
    found: dict[Any, set[str]] = {}
    for group, key in rows:
        found.setdefault(group, set()).add(key)
    return {group: frozenset(keys) for group, keys in found.items()}
