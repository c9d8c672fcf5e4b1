"""Rows depend on which events are stored, not on the order, the batches or the doubles in which they came."""

from collections.abc import Iterable
from random import Random
from typing import Any
from uuid import UUID

import pytest
from django.db import transaction
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from sessions.reps.core.identity import set_rep
from sessions.reps.models import Event, Hold, Look, NeedsLook, Rep
from tests.sessions.reps.ground import SECOND, TABLET, Ground, Sent, derived

pytestmark = pytest.mark.django_db
Coming = tuple[Sent, UUID, str]
"""An event with its device and its author."""

KINDS = ["rep", "rep", "rep", "rep", "set", "look", "named look", "hold", "release", "attendance", "out", "note"]
MARKS = [([], []), (["timing"], []), (["timing"], ["timing-late"]), (["timing"], ["feet-jumps"])]


def story(dice: Random) -> list[tuple[Any, ...]]:
    """What happened: perhaps both devices hold; things done; things said of them by number (or of a set's rep).

    Thrown rather than drawn, so that short stories do not crowd out the long ones in which things meet.
    """

    def one(kind: str) -> tuple[Any, ...]:
        author = dice.choice(["assistant", "assistant", "head_coach", "helper"])
        return (kind, 10 * dice.randint(0, 15), dice.choice(MARKS), dice.choice([TABLET, SECOND]), author)

    def said() -> tuple[Any, ...]:
        what = dice.choice(["athlete", "drill", "marks"])
        return (*one(dice.choice(["void", "correct"])), dice.randint(0, 12), dice.randint(0, 3), what)

    holds = [("hold", 0, MARKS[0], device, "assistant") for device in (TABLET, SECOND)] if dice.random() < 0.6 else []
    done = [one(dice.choice(KINDS)) for _ in range(dice.randint(2, 9))]
    return [*holds, *done, *(said() for _ in range(dice.randint(0, 7)))]


def told(ground: Ground, happened: list[tuple[Any, ...]]) -> list[Coming]:
    """The story as events with fixed uuids."""
    found: list[Coming] = []
    for number, (kind, at, (watched, faults), device, author, *of) in enumerate(happened):
        sent = _sent(ground, kind, at, watched, faults, found, *of)
        found.append(({**sent, "uuid": str(UUID(int=1000 + number)), "sequence": number}, device, author))
    return found


def _sent(ground: Ground, kind: str, at: int, watched: Any, faults: Any, told: list[Coming], *of: Any) -> Sent:
    seen = {"watched": watched, "faults": faults}
    athlete = ground.cast.vaulter.pk if at % 40 else ground.cast.team_mate.pk
    if kind == "rep":
        return ground.rep(at, **seen, athlete=athlete)
    if kind == "set":
        return ground.set(at, done=3, watched=2, faulty=1, athlete=athlete, counts={"timing-late": 1} if faults else {})
    if kind == "look":
        return ground.look(at, **seen, athlete=athlete, station=ground.station.pk)
    if kind == "named look":
        return ground.look(at, **seen, target=UUID(int=1000 + at % 70 // 10))
    if kind in ("hold", "release"):
        return ground.event(at, kind=kind, station=ground.station.pk)
    if kind == "attendance":
        return ground.event(at, kind=kind, athlete=athlete, state="late" if faults else "here")
    if kind == "out":
        return ground.event(at, kind="out_of_practice", athlete=athlete, reason="unwell")
    if kind == "note":
        return ground.event(at, kind="note", athlete=athlete, text=f"note {at}", reader="coaches")
    return _speaker(ground, kind, at, seen, told, *of)


def _speaker(
    ground: Ground, kind: str, at: int, seen: Sent, told: list[Coming], number: int, place: int, what: str
) -> Sent:
    spoken_of = UUID(told[number % len(told)][0]["uuid"])
    target = set_rep(spoken_of, place) if place and told[number % len(told)][0]["kind"] == "set" else spoken_of
    if kind == "void":
        return ground.void(target, at)
    change = {"athlete": {"athlete": ground.cast.team_mate.pk}, "drill": {"drill": "walk"}, "marks": seen}[what]
    return ground.correct(target, at, **change)


def outcome(ground: Ground, coming: Iterable[Coming], sizes: Iterable[int]) -> tuple[dict[str, Any], set[str]]:
    """The rows, and which events were stored, after sending them so. Leaves nothing behind."""
    with transaction.atomic():
        for batch in _batches(list(coming), list(sizes)):
            _, device, author = batch[0]
            ground.send(*(sent for sent, _, _ in batch), device=device, by=getattr(ground.cast, author))
        found = derived(), {str(uuid) for uuid in Event.objects.values_list("uuid", flat=True)}
        transaction.set_rollback(True)
    return found


def _batches(coming: list[Coming], sizes: list[int]) -> list[list[Coming]]:
    """Neighbours with one device and one author, at most as many as the next size says."""
    batches: list[list[Coming]] = []
    room = 0
    for one in coming:
        if room and batches[-1][0][1:] == one[1:]:
            batches[-1].append(one)
            room -= 1
        else:
            batches.append([one])
            room = (sizes[len(batches) % len(sizes)] if sizes else 1) - 1
    return batches


@settings(
    max_examples=80,
    deadline=None,
    derandomize=True,
    suppress_health_check=[HealthCheck.function_scoped_fixture, HealthCheck.too_slow],
)
@given(seed=st.integers(0, 2**32))
def test_any_order_and_any_batches_come_to_the_same_rows(ground: Ground, seed: int) -> None:
    dice = Random(seed)
    coming = told(ground, story(dice))
    shuffled = dice.sample(coming, len(coming))
    doubles = dice.choices(shuffled, k=dice.randint(0, 2))
    sizes = [dice.randint(1, 5) for _ in range(3)]
    rows, stored = outcome(ground, coming, [1])
    others, stored_so = outcome(ground, [*shuffled, *doubles], sizes)
    if stored != stored_so:  # something was rejected because its target was there already: it waits for no look then
        rows, others = ({**r, "needs": []} for r in (rows, others))
    assert others == rows


def test_the_stories_reach_every_kind_of_row(ground: Ground) -> None:
    """So that the property is about something."""
    seen: set[str] = set()
    for seed in range(40):
        with transaction.atomic():
            for sent, device, author in told(ground, story(Random(seed))):
                ground.send(sent, device=device, by=getattr(ground.cast, author))
            seen.update(Rep.objects.values_list("state", flat=True))
            seen.update(NeedsLook.objects.values_list("reason", flat=True))
            seen.update({"second look"} if Look.objects.filter(deciding=False).exists() else ())
            seen.update({"hold ended"} if Hold.objects.filter(until__isnull=False).exists() else ())
            transaction.set_rollback(True)
    assert seen >= {
        "counts", "void", "waits", "second look", "hold ended", "two_devices", "no_rep", "no_target",
        "second_correction", "does_not_fit",
    }  # fmt: skip
