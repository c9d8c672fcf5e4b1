"""The simulator of the invented club, without a database."""

from collections import Counter
from datetime import timedelta

import pytest

from athletes.core.gates import is_open
from sessions.demo.core.learners import Away, attempt, wake
from sessions.demo.core.learning import ENDS, new_skill
from sessions.demo.core.season import FLOOR_AFTER_DAYS
from sessions.reps.core.clock import corrected, offset
from sessions.reps.core.events import Correction, Kind, RepMarks, SetOfReps, Void
from tests.sessions.demo.played import DAY, SPOTS, make_played, play, slot_on, trade

RUN = "running-drop-and-plant"


def test_the_same_seed_makes_the_same_club_and_another_one_another() -> None:
    assert play(seed=5).sent == play(seed=5).sent
    assert play(seed=5).sent != play(seed=6).sent


@pytest.mark.parametrize("placed", [None, RUN])
def test_nobody_is_planned_for_what_is_not_open_to_them_and_nobody_at_contact(placed: str | None) -> None:
    played, drills = make_played(placed=placed), trade().drills
    planned = Counter()
    for number in range(12):
        books = [learner.book for learner in played.learners]
        for groups in played.practise(DAY + timedelta(days=3 * number)):
            for group in groups:
                if group.drill:
                    planned[group.drill] += len(group.vaulters)
                    step = trade().progression.drills[group.drill]
                    assert all(is_open(books[n].track(group.drill), step) for n in group.vaulters)
    assert {drills[key].risk.value for key in planned} <= {"floor", "moving"}
    assert sum(planned.values()) > 200


def test_everybody_has_one_place_a_block_and_a_station_one_family() -> None:
    played, drills = play(practices=6), trade().drills
    for groups in played.plan(DAY + timedelta(days=30)):
        assert sorted(n for group in groups for n in group.vaulters) == list(range(8))
        for spot in SPOTS:
            here = [group for group in groups if group.area == spot.area and group.drill]
            assert len({drills[group.drill].family for group in here}) <= 1
            assert sum(len(group.vaulters) for group in here) <= spot.places
            assert all(spot.fits(drills[group.drill]) for group in here)


def test_a_restriction_keeps_somebody_off_what_it_excludes_from_its_first_day() -> None:
    played, drills = make_played(placed=RUN), trade().drills
    held = played.learners[0]
    held.excludes, held.excluded_from = frozenset({drills[RUN].risk}), DAY + timedelta(days=9)
    risks = {number: set() for number in range(8)}
    for number in range(8):
        for groups in played.practise(DAY + timedelta(days=3 * number)):
            for group in groups:
                risks[number] |= {drills[group.drill].risk.value for n in group.vaulters if n == 0 and group.drill}
    assert any("moving" in found for number, found in risks.items() if number < 3)
    assert all("moving" not in found for number, found in risks.items() if number >= 3)


def test_after_three_weeks_away_there_are_floor_drills_first() -> None:
    played, drills = make_played(placed=RUN), trade().drills
    one = played.learners[0]
    played.practise(DAY)
    one.last_day = DAY  # came, whatever the dice said
    one.away = Away(DAY + timedelta(days=1), DAY + timedelta(days=FLOOR_AFTER_DAYS - 1))
    groups = [g for groups in played.plan(DAY + timedelta(days=FLOOR_AFTER_DAYS)) for g in groups if 0 in g.vaulters]
    assert groups and all(drills[g.drill].risk.value == "floor" for g in groups if g.drill)
    assert all(0 not in g.vaulters for groups in played.plan(DAY + timedelta(days=9)) for g in groups)


def test_every_device_is_a_little_off_and_the_servers_correction_brings_it_back() -> None:
    played = play(practices=3)
    off = [abs((sending.received_at - sending.sent_at).total_seconds()) for sent in played.sent for sending in sent]
    assert max(off) > 5
    for number, sent in enumerate(played.sent):
        slot = slot_on(DAY + timedelta(days=3 * number))
        for sending in sent:
            right = offset(sending.sent_at, sending.received_at, None)
            for event in sending.events:
                at = corrected(event.at, right)
                assert slot.begins - timedelta(minutes=6) <= at <= slot.ends + timedelta(minutes=6)


def test_what_is_logged_nests_and_names_what_was_logged_before() -> None:
    events = play(practices=20, vaulters=16).events()
    there, sets = set(), 0
    for event in events:
        content = event.content
        if isinstance(content, SetOfReps):
            sets += 1
            assert content.done >= content.watched >= content.faulty >= max((n for _, n in content.counts), default=0)
        if isinstance(content, Void | Correction):
            assert content.target in there
        there.add(event.uuid)
    kinds = Counter(event.kind for event in events)
    assert sets > 100 and kinds[Kind.VOID] and kinds[Kind.CORRECTION] and kinds[Kind.NOTE] and kinds[Kind.LOOK]


def test_asked_for_an_unsafe_rep_it_is_one_and_in_motion() -> None:
    played = make_played(placed=RUN)
    played.season.unsafe = 1
    for number in range(4):
        played.practise(DAY + timedelta(days=3 * number))
    unsafe = [e.content for e in played.events() if isinstance(e.content, RepMarks) and e.content.unsafe]
    assert [trade().drills[marks.drill].risk.value for marks in unsafe] == ["moving"]


def test_who_stops_early_is_logged_no_more() -> None:
    played = make_played()
    played.season.leaving = 1
    played.practise(DAY)
    out = next(event for event in played.events() if event.kind is Kind.OUT_OF_PRACTICE)
    ahead = {s.device: s.sent_at - s.received_at for s in played.sent[0]}
    sent = [(event, ahead[s.device]) for s in played.sent[0] for event in s.events]
    gone = next(event.at - by for event, by in sent if event is out)
    later = [e for e, by in sent if e.at - by > gone + timedelta(seconds=3) and e.athlete == out.athlete]
    assert [event for event in later if event.kind in {Kind.REP, Kind.SET}] == []


def test_practice_makes_better_a_plateau_does_not_and_time_away_sets_back() -> None:
    import random

    skill = new_skill(random.Random(3), next(iter(ENDS)))
    skill.plateaus = ((40, 60),)
    was = skill.logit
    for _ in range(45):
        skill.practise(1)
    on_the_plateau = skill.logit
    assert on_the_plateau > was
    skill.practise(10)
    assert skill.logit == on_the_plateau
    skill.away(21)
    assert skill.logit < on_the_plateau


@pytest.mark.parametrize("fault", ["top-hand-sinks", "drop-starts-late", "tip-above"])
def test_a_fault_makes_what_it_leads_to_likelier(fault: str) -> None:
    played, drill = make_played(placed=RUN), trade().drills["plant-run-6"]
    to = trade().leads[fault][0]
    table = Counter()
    for learner in played.learners:
        today = wake(played.season.dice, learner, DAY)
        for _ in range(150):
            seen = attempt(played.season.dice, trade(), learner, today, drill, 6, frozenset())
            table[fault in seen, to in seen] += 1
    odds = (table[True, True] + 0.5) * (table[False, False] + 0.5)
    assert odds > 2 * (table[True, False] + 0.5) * (table[False, True] + 0.5)
