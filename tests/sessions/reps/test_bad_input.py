"""Each kind of event, with each of its fields spoiled in every way: answered with a reason, nothing half-stored."""

import re
from collections.abc import Iterator
from pathlib import Path
from typing import Any
from uuid import UUID, uuid4

import pytest
from django.db import transaction

from sessions import reps
from sessions.reps.actions import take_events
from sessions.reps.core.events import Kind
from sessions.reps.core.reading import Refused
from sessions.reps.models import NeedsLook
from sessions.reps.words import MESSAGES, message
from tests.builders import (
    make_adjustment,
    make_athlete,
    make_checkpoint,
    make_club,
    make_drill,
    make_person,
    make_practice,
    make_station,
)
from tests.sessions.reps.ground import SECOND, Ground, Sent, dump

WRONG: dict[str, Any] = {
    "null": None, "true": True, "zero": 0, "below": -1, "broken": 1.5, "large": 2**40, "huge number": 10**400,
    "no text": "", "blank": "  ", "long": "x" * 5000, "nul": "\x00", "half a pair": "\ud800", "word": "surprise",
    "empty list": [], "list of null": [None], "nested": [[]], "twice": ["timing", "timing"], "keys": ["no-such-key"],
    "many keys": [f"key-{n}" for n in range(5000)], "empty object": {}, "object": {"no-such-key": 1},
    "count as text": {"timing-late": "1"}, "count of none": {"timing-late": 0}, "date": "2026-03-02",
    "local time": "2026-03-02T17:30:00", "before time": "0001-01-01T00:00:00+14:00",
    "after time": "9999-12-31T23:59:59-14:00", "braces": "{00000000-0000-0000-0000-000000000001}",
    "an id nobody has": "00000000-0000-0000-0000-000000000001",
}  # fmt: skip

# What is no spoiling: a field that may be left out, another value that is as good.
TEXTS = {"word", "date", "local time", "before time", "after time", "braces", "an id nobody has"}
FINE: dict[str, set[str]] = {
    "rep": {"station dropped", "unsafe dropped", "unsafe: true", "watched: empty list", "faults: empty list"},
    "set": {"station dropped", "counts: empty object"},
    "look": {"station dropped", "unsafe dropped", "unsafe: true", "watched: empty list", "faults: empty list"},
    "named look": {"watched: empty list", "faults: empty list", "target: an id nobody has"},
    "void": {"target: an id nobody has"},
    "correction": {
        "athlete dropped", "drill dropped", "watched dropped", "faults dropped", "unsafe dropped", "unsafe: true",
        "watched: empty list", "faults: empty list", "target: an id nobody has",
    },
    "hold": {"takes_over dropped", "takes_over: an id nobody has"},
    "note": {f"text: {label}" for label in TEXTS},
}  # fmt: skip
FREE = "uuid: an id nobody has"
EVERYWHERE = {"sequence: zero", FREE}


def events_of(ground: Ground) -> dict[str, Sent]:
    """One usable event of each kind, with every field."""
    there = ground.rep(-60)
    ground.send(there)
    athlete, station = ground.cast.vaulter.pk, ground.station.pk
    return {
        "rep": ground.rep(unsafe=False, faults=["timing-late"]),
        "set": ground.set(),
        "look": ground.look(station=station, unsafe=False),
        "named look": ground.look(target=there["uuid"]),
        "void": ground.void(there),
        "correction": ground.correct(there, athlete=athlete, drill="drop", watched=["timing"], faults=[], unsafe=True),
        "hold": ground.event(0, kind="hold", station=station, takes_over=SECOND),
        "release": ground.event(0, kind="release", station=station),
        "attendance": ground.event(0, kind="attendance", athlete=athlete, state="here"),
        "out_of_practice": ground.event(0, kind="out_of_practice", athlete=athlete, reason="other"),
        "note": ground.event(0, kind="note", athlete=athlete, text="x", reader="coaches"),
        "adjustment": ground.event(0, kind="adjustment", athlete=athlete, drill="drop", adjustment="hold-lower"),
    }


NAMES = [*(kind.value for kind in Kind), "named look"]


def spoiled(sent: Sent, elsewhere: Sent) -> Iterator[tuple[str, Sent]]:
    """Every field dropped, of another type, unknown, another club's, doubled, huge; and one field too many."""
    for name in sent:
        yield f"{name} dropped", {k: v for k, v in sent.items() if k != name}
        for label, wrong in WRONG.items():
            yield f"{name}: {label}", {**sent, name: wrong}
        if name in elsewhere:
            yield f"{name} of another club", {**sent, name: elsewhere[name]}
    yield "one field more", {**sent, "surprise": 1}
    yield "a strange field", {**sent, "\ud800\x00" * 90: 1}


def elsewhere() -> Sent:
    club = make_club()
    checkpoint = make_checkpoint(club, key="theirs")
    make_drill(club, gate=(checkpoint,), key="their-drill")
    return {
        "athlete": str(make_athlete(club, make_person(club, "athlete")).pk),
        "drill": "their-drill",
        "station": str(make_station(make_practice(club)).pk),
        "watched": ["theirs"],
        "watch_set": ["theirs"],
        "faults": ["theirs-late"],
        "counts": {"theirs-late": 1},
        "adjustment": make_adjustment(club, key="their-adjustment").key,
    }


def sent_in_parts(ground: Ground, items: list[tuple[str, Sent]]) -> dict[str, Any]:
    results: dict[str, Any] = {}
    for start in range(0, len(items), 150):
        part = items[start : start + 150]
        answer = ground.send(*(sent for _, sent in part))
        results |= {what: result for (what, _), result in zip(part, answer.results, strict=True)}
    return results


@pytest.mark.parametrize("name", NAMES)
def test_a_spoiled_event_is_answered_with_a_reason_and_leaves_no_trace(ground: Ground, name: str) -> None:
    usable, other = events_of(ground)[name], elsewhere()
    items = [
        (what, sent if what.startswith("uuid") and what != FREE else {**sent, "uuid": str(uuid4())})
        for what, sent in spoiled(usable, other)
    ]
    with transaction.atomic():
        results = sent_in_parts(ground, items)
        taken = {what for what, result in results.items() if result.state in ("accepted", "kept")}
        transaction.set_rollback(True)
    assert taken == FINE.get(name, set()) | EVERYWHERE
    before = dump()
    refused = sent_in_parts(ground, [(what, sent) for what, sent in items if what not in taken])
    assert dump() == before
    for what, result in refused.items():
        assert result.state == "rejected" and result.reason in MESSAGES, what
        assert result.message and "%(" not in result.message, what


@pytest.mark.parametrize("junk", [None, True, 7, "text", [], [[]], {}])
def test_an_item_that_is_no_event_is_answered_in_its_place(ground: Ground, junk: Any) -> None:
    sent = ground.rep()
    first, second = ground.send(junk, sent).results
    assert (first.uuid, first.state) == (None, "rejected")
    assert (second.uuid, second.state) == (sent["uuid"], "accepted")


@pytest.mark.parametrize(
    ("counts", "reason"),
    [
        ({"watched": 6}, "more_than_done"),
        ({"faulty": 5}, "more_than_watched"),
        ({"counts": {"timing-late": 3}}, "more_than_faulty"),
        ({"watch_set": []}, "nothing_watched"),
        ({"counts": {"feet-bent": 1}}, "fault_not_watched"),
        ({"done": 201}, "out_of_range"),
        ({"watch_set": ["elsewhere"]}, "not_at_this_drill"),
    ],
)
def test_a_set_whose_numbers_do_not_nest_is_rejected(ground: Ground, counts: Sent, reason: str) -> None:
    assert ground.states(ground.set(**counts)) == [("rejected", reason)]


def test_a_fault_of_a_checkpoint_that_the_drill_does_not_offer_is_rejected(ground: Ground) -> None:
    assert ground.states(ground.rep(faults=["elsewhere-late"])) == [("rejected", "not_at_this_drill")]
    assert ground.states(ground.rep(drill="walk", watched=["feet"])) == [("rejected", "not_at_this_drill")]


@pytest.mark.parametrize(
    ("change", "reason"),
    [
        ({"version": 3}, "unknown_version"),
        ({"version": 2}, "missing"),
        ({"version": 2, "by": str(UUID(int=1))}, "other_person"),
        ({"version": 1, "by": str(UUID(int=1))}, "unknown_field"),
        ({"version": True}, "not_a_number"),
        ({"device": {}}, "missing"),
        ({"device": {"uuid": "x"}}, "not_an_id"),
        ({"device": {"uuid": str(UUID(int=1)), "name": "x" * 61}}, "too_long"),
        ({"device": {"uuid": str(UUID(int=1)), "more": 1}}, "unknown_field"),
        ({"sent_at": "yesterday"}, "not_a_time"),
        ({"events": {}}, "not_a_list"),
        ({"events": [1] * 201}, "too_many"),
        ({"surprise": 1}, "unknown_field"),
    ],
)
def test_a_batch_that_cannot_be_read_is_refused_whole(ground: Ground, change: Sent, reason: str) -> None:
    with pytest.raises(Refused) as refused:
        take_events(by=ground.cast.assistant, practice=ground.practice, batch={**ground.batch(), **change})
    problem = refused.value.problem
    assert problem.reason == reason and message(problem)


def test_more_reps_at_once_than_one_transaction_should_hold_are_refused(ground: Ground) -> None:
    with pytest.raises(Refused, match="too_many_reps"):
        ground.send(*(ground.set(n, done=200) for n in range(11)))


def test_every_reason_has_its_sentence() -> None:
    """Reasons are raised by their code; each of them in the sources is one that words.py can say."""
    raised: set[str] = set()
    for path in Path(reps.__file__).parent.rglob("*.py"):
        raised |= set(re.findall(r'(?:Refused|Problem)\(\s*"(\w+)"', path.read_text(encoding="utf-8")))
        raised |= set(re.findall(r'Need\([^"()]*"(\w+)"', path.read_text(encoding="utf-8")))
    assert len(raised) > 40 and raised <= set(MESSAGES)
    assert set(NeedsLook.Reason.values) <= set(MESSAGES)
