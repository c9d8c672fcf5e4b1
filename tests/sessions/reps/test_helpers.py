"""A helper logs floor drills at the station they stand at, and takes back what they logged themselves."""

import pytest

from sessions.reps.models import Look, NeedsLook, Rep
from sessions.reps.queries import turns_done
from tests.builders import make_athlete, make_person
from tests.sessions.reps.ground import Ground


def as_helper(ground: Ground, *sent: object) -> list[tuple[str, str]]:
    return ground.states(*sent, by=ground.cast.helper)


def test_a_helpers_rep_carries_the_helper(ground: Ground) -> None:
    assert as_helper(ground, ground.rep(), ground.set(60)) == [("accepted", "")] * 2
    assert {look.observer for look in Look.objects.all()} == {ground.cast.helper.person}


@pytest.mark.parametrize("kind", ["rep", "set", "look"])
def test_a_helper_logs_nowhere_else_and_no_other_class_of_drill(ground: Ground, kind: str) -> None:
    make = getattr(ground, kind)
    assert as_helper(ground, make(station=None)) == [("rejected", "station_needed")]
    assert as_helper(ground, make(station=ground.other_station.pk)) == [("rejected", "unknown_station")]
    assert as_helper(ground, make(station=ground.station.pk, drill="wall")) == [("rejected", "floor_drills_only")]


def test_a_helper_knows_only_the_athletes_of_the_practice(ground: Ground) -> None:
    other = make_athlete(ground.cast.club, make_person(ground.cast.club, "athlete"))
    assert as_helper(ground, ground.rep(athlete=other.pk)) == [("rejected", "unknown_athlete")]
    assert ground.states(ground.rep(athlete=other.pk)) == [("accepted", "")]


@pytest.mark.parametrize("speak", ["void", "correct"])
def test_a_helper_changes_their_own_reps_alone(ground: Ground, speak: str) -> None:
    theirs, own = ground.rep(), ground.rep(60)
    ground.send(theirs)
    as_helper(ground, own)
    changes = {"faults": ["timing-late"]} if speak == "correct" else {}
    make = getattr(ground, speak)
    assert as_helper(ground, make(theirs, **changes), make(own, **changes)) == [
        ("rejected", "not_yours"),
        ("accepted", ""),
    ]


def test_a_helpers_void_that_comes_before_somebody_elses_rep_waits_for_a_coach(ground: Ground) -> None:
    from sessions.reps import actions

    sent = ground.rep()
    assert as_helper(ground, ground.void(sent)) == [("kept", "no_target")]
    ground.send(sent)
    need = NeedsLook.objects.get()
    assert Rep.objects.get().state == "counts" and need.reason == "not_yours"
    actions.accept(by=ground.cast.assistant, need=need)
    assert Rep.objects.get().state == "void"


def test_a_helper_corrects_nothing_into_a_contact_drill(ground: Ground) -> None:
    own = ground.rep()
    as_helper(ground, own)
    assert as_helper(ground, ground.correct(own, drill="wall")) == [("rejected", "floor_drills_only")]


def test_notes_and_attendance_are_for_coaches(ground: Ground) -> None:
    athlete = ground.cast.vaulter.pk
    note = ground.event(0, kind="note", athlete=athlete, text="x", reader="coaches")
    here = ground.event(0, kind="attendance", athlete=athlete, state="here")
    assert as_helper(ground, note, here) == [("rejected", "coaches_only")] * 2


def test_a_helper_reads_the_turns_at_their_own_station_alone(ground: Ground) -> None:
    ground.send(ground.rep(), ground.rep(1), ground.rep(2, station=ground.other_station.pk))
    helper = ground.cast.helper.acting("reps.log")  # type: ignore[arg-type]
    assert turns_done(helper, ground.station) == {ground.cast.vaulter.pk: 2}
    assert turns_done(helper, ground.other_station) == {}
