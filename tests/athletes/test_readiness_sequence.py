"""Order, sets, voids, corrections and replay: a fixed set of stored events gives one state, however it is processed."""

from collections import Counter
from datetime import UTC, date, datetime, timedelta
from uuid import UUID, uuid5

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from athletes.core.readiness import EMPTY, Outcome, Rep, Settings, State, fold
from athletes.core.sequence import (
    Correction,
    Place,
    Recorded,
    SetMarks,
    Void,
    expand,
    first_day_changed,
    replay,
    resolve,
)

DEFAULTS = Settings()
START = date(2025, 3, 3)
SET = UUID("6f1d3c1e-0000-4000-8000-000000000001")
Event = Recorded[Outcome] | Correction[Outcome] | Void


def place(day: int = 0, minute: int = 0, device: str = "a", sequence: int = 0, uuid: int = 0, index: int = 0) -> Place:
    at = datetime(2025, 3, 3, 17, tzinfo=UTC) + timedelta(days=day, minutes=minute)
    return Place(START + timedelta(days=day), at, device, sequence, UUID(int=uuid), index)


# Order


def test_the_order_is_day_then_time_then_device_then_sequence_then_uuid_then_place_in_the_set():
    rising = [
        place(day=0, minute=999),
        place(day=1, minute=0, device="b"),
        place(day=1, minute=1, device="a", sequence=7),
        place(day=1, minute=1, device="b", sequence=1, uuid=9),
        place(day=1, minute=1, device="b", sequence=2, uuid=1),
        place(day=1, minute=1, device="b", sequence=2, uuid=2, index=1),
        place(day=1, minute=1, device="b", sequence=2, uuid=2, index=2),
    ]
    scrambled = rising[::2] + rising[1::2]
    assert sorted(scrambled) == rising


# Sets


@pytest.mark.parametrize(
    ("done", "watched", "faulty", "expected"),
    [  # worked out by hand: . not watched, 1 good, 0 faulty
        (5, 0, 0, "....."),
        (5, 5, 1, "01111"),
        (5, 5, 4, "10000"),
        (6, 3, 1, ".0.1.1"),
        (6, 3, 2, ".1.0.0"),
        (4, 4, 2, "1010"),
        (7, 4, 2, ".1.0.10"),
    ],
)
def test_a_set_spreads_what_was_watched_and_what_was_faulty(done, watched, faulty, expected):
    reps = expand(SET, SetMarks(done, watched, faulty))
    marks = "".join("." if not rep.watched else "0" if rep.faulty else "1" for rep in reps)
    assert marks == expected


@given(st.data())
def test_a_set_keeps_every_count(data):
    done = data.draw(st.integers(0, 40))
    watched = data.draw(st.integers(0, done))
    faulty = data.draw(st.integers(0, watched))
    faults = data.draw(st.dictionaries(st.sampled_from("xyz"), st.integers(0, faulty)))
    reps = expand(SET, SetMarks(done, watched, faulty, faults))
    assert (len(reps), sum(r.watched for r in reps), sum(r.faulty for r in reps)) == (done, watched, faulty)
    assert Counter(fault for rep in reps for fault in rep.faults) == Counter({f: n for f, n in faults.items() if n})
    assert all(rep.watched or not rep.faulty for rep in reps)


def test_a_fault_marks_the_first_faulty_reps_and_a_rep_has_a_uuid_of_its_set():
    reps = expand(SET, SetMarks(4, 4, 3, {"early": 1, "late": 2}))
    assert [sorted(rep.faults) for rep in reps if rep.faulty] == [["early", "late"], ["late"], []]
    assert [rep.uuid for rep in reps] == [uuid5(SET, str(i)) for i in (1, 2, 3, 4)]


@pytest.mark.parametrize("counts", [(3, 4, 0), (3, 2, 3), (3, 2, -1)])
def test_counts_that_do_not_nest_are_refused(counts):
    with pytest.raises(ValueError, match="do not nest"):
        SetMarks(*counts)
    with pytest.raises(ValueError, match="faulty ones"):
        SetMarks(3, 2, 1, {"early": 2})


# Voids and corrections


def recorded(number: int, outcome: Outcome = Outcome.GOOD, **where: int) -> Recorded[Outcome]:
    return Recorded(UUID(int=number), place(uuid=number, **where), outcome)


def corrected(number: int, target: int, outcome: Outcome, **where: int) -> Correction[Outcome]:
    return Correction(UUID(int=number), place(uuid=number, **where), UUID(int=target), outcome)


def test_a_voided_rep_is_gone_and_a_void_without_a_target_waits_harmlessly():
    voids = [Void(UUID(int=8), UUID(int=1)), Void(UUID(int=9), UUID(int=77))]
    assert resolve([recorded(1), recorded(2)], voids=voids).standing == (recorded(2),)


def test_a_void_of_a_set_takes_all_its_reps():
    reps = [Recorded(r.uuid, place(index=r.index), Outcome.GOOD, SET) for r in expand(SET, SetMarks(3, 3, 0))]
    assert resolve(reps, voids=[Void(UUID(int=1), reps[1].uuid)]).standing == (reps[0], reps[2])
    assert resolve(reps, voids=[Void(UUID(int=1), SET)]).standing == ()


def test_the_first_correction_in_order_counts_and_the_others_wait():
    early, late = corrected(5, 1, Outcome.BAD, minute=1), corrected(4, 1, Outcome.UNSAFE, minute=2)
    resolved = resolve([recorded(1)], [late, early])
    assert [rep.value for rep in resolved.standing] == [Outcome.BAD]
    assert resolved.waiting == (late,)


def test_voiding_a_correction_lets_the_next_one_count():
    early, late = corrected(5, 1, Outcome.BAD, minute=1), corrected(4, 1, Outcome.UNSAFE, minute=2)
    resolved = resolve([recorded(1)], [late, early], [Void(UUID(int=9), early.uuid)])
    assert [rep.value for rep in resolved.standing] == [Outcome.UNSAFE]
    assert resolved.waiting == ()


# Replay


def test_replay_starts_from_the_snapshot_before_the_day():
    snapshots = {START: "kept", START + timedelta(days=2): "to be replaced"}
    items = [Rep(START + timedelta(days=day), Outcome.GOOD) for day in (2, 2, 5)]
    done = replay(lambda text, rep: f"{text}+", "", snapshots, START + timedelta(days=1), items)
    assert done.state == "kept+++"
    assert done.snapshots == {START + timedelta(days=2): "kept++", START + timedelta(days=5): "kept+++"}


def test_replay_refuses_items_before_its_day_and_days_that_go_back():
    for days in ((0,), (3, 2)):
        items = [Rep(START + timedelta(days=day), Outcome.GOOD) for day in days]
        with pytest.raises(ValueError, match="after"):
            replay(lambda state, rep: state, None, {}, START + timedelta(days=1), items)


@st.composite
def stored_events(draw: st.DrawFn) -> list[Event]:
    """Reps, sets, corrections and voids of any of them (and of nothing), each with its own uuid."""
    events: list[Event] = []
    targets: list[UUID] = [UUID(int=10**6)]

    def where() -> dict[str, int]:
        return {"day": draw(st.integers(0, 4)), "minute": draw(st.integers(0, 3)), "sequence": draw(st.integers(0, 2))}

    for number, kind in enumerate(draw(st.lists(st.sampled_from("rrrrscv"), max_size=14)), 1):
        uuid = UUID(int=number)
        if kind == "r":
            events.append(recorded(number, draw(st.sampled_from(Outcome)), **where()))
        elif kind == "s":
            events.extend(_set(draw, uuid, place(uuid=number, **where())))
            targets.extend(e.uuid for e in events if isinstance(e, Recorded) and e.within == uuid)
        elif kind == "c":
            outcome = draw(st.sampled_from(Outcome))
            events.append(Correction(uuid, place(uuid=number, **where()), draw(st.sampled_from(targets)), outcome))
        else:
            events.append(Void(uuid, draw(st.sampled_from(targets))))
        targets.append(uuid)
    return events


def _set(draw: st.DrawFn, uuid: UUID, where: Place) -> list[Event]:
    done = draw(st.integers(1, 6))
    watched = draw(st.integers(0, done))
    marks = SetMarks(done, watched, draw(st.integers(0, watched)))
    return [
        Recorded(
            rep.uuid,
            Place(where.day, where.at, where.device, where.sequence, uuid, rep.index),
            Outcome.NOT_SEEN if not rep.watched else Outcome.BAD if rep.faulty else Outcome.GOOD,
            uuid,
        )
        for rep in expand(uuid, marks)
    ]


def standing(events: list[Event]) -> tuple[Recorded[Outcome], ...]:
    return resolve(
        [e for e in events if isinstance(e, Recorded)],
        [e for e in events if isinstance(e, Correction)],
        [e for e in events if isinstance(e, Void)],
    ).standing


def step(state: State, rep: Rep) -> State:
    return fold(state, rep, DEFAULTS)


def as_reps(events: tuple[Recorded[Outcome], ...]) -> list[Rep]:
    return [Rep(event.place.day, event.value) for event in events]


@given(stored_events(), st.data())
@settings(max_examples=200)
def test_any_order_of_processing_gives_the_state_of_one_fold(events, data):
    """Events arrive one at a time, voids before their targets too; each replays from the snapshot before its day."""
    whole = replay(step, EMPTY, {}, START, as_reps(standing(events)))
    arrivals = data.draw(st.permutations(events))
    state, snapshots, before = EMPTY, {}, ()
    for count in range(1, len(arrivals) + 1):
        after = standing(arrivals[:count])
        since = first_day_changed(before, after)
        if since is not None:
            done = replay(step, EMPTY, snapshots, since, [r for r in as_reps(after) if r.day >= since])
            snapshots = {day: kept for day, kept in snapshots.items() if day < since} | done.snapshots
            state = done.state
        before = after
    assert state == whole.state
    assert snapshots == whole.snapshots
