"""Voids, corrections and other observers' looks, before and after what they speak of."""

from datetime import timedelta
from itertools import permutations
from uuid import UUID

import pytest

from sessions.reps.core.identity import set_rep
from sessions.reps.models import Look, NeedsLook, Rep
from tests.sessions.reps.ground import SECOND, Ground


def child(sent: dict[str, object], place: int) -> UUID:
    return set_rep(UUID(str(sent["uuid"])), place)


def reasons() -> list[str]:
    return sorted(NeedsLook.objects.values_list("reason", flat=True))


@pytest.mark.parametrize("void_first", [False, True])
def test_a_void_takes_a_rep_out_even_if_it_comes_first(ground: Ground, void_first: bool) -> None:
    sent = ground.rep()
    void = ground.void(sent)
    if void_first:
        assert ground.states(void) == [("kept", "no_target")]
        ground.send(sent)
    else:
        ground.send(sent)
        assert ground.states(void) == [("accepted", "")]
    assert Rep.objects.get().state == "void" and reasons() == []


def test_a_void_of_a_set_takes_all_its_reps_and_of_one_rep_only_that(ground: Ground) -> None:
    whole, one = ground.set(), ground.set(60)
    ground.send(ground.void(child(one, 2)), whole, one, ground.void(whole))
    assert set(Rep.objects.filter(source=whole["uuid"]).values_list("state", flat=True)) == {"void"}
    assert list(Rep.objects.filter(source=one["uuid"], state="void").values_list("place_in_set", flat=True)) == [2]


def test_not_her_moves_the_rep_to_who_it_was(ground: Ground) -> None:
    sent = ground.rep(faults=["timing-late"])
    ground.send(sent)
    ground.send(ground.correct(sent, athlete=ground.cast.team_mate.pk))
    rep = Rep.objects.get()
    assert rep.athlete == ground.cast.team_mate and rep.looks.get().faults.get().fault.key == "timing-late"


def test_a_correction_changes_what_was_seen(ground: Ground) -> None:
    sent = ground.rep(faults=["timing-late"], unsafe=True)
    ground.send(sent)
    ground.send(ground.correct(sent, watched=["timing", "feet"], faults=["feet-bent"], unsafe=False))
    look = Look.objects.get()
    assert not look.rep.unsafe and look.watch_set.watched.count() == 2
    assert [(f.fault.key, f.inside) for f in look.faults.all()] == [("feet-bent", True)]


def test_another_drill_keeps_of_what_was_seen_what_it_offers(ground: Ground) -> None:
    sent = ground.rep(watched=["timing", "feet"], faults=["feet-bent", "timing-late"])
    ground.send(sent)
    ground.send(ground.correct(sent, drill="walk"))
    look = Look.objects.get()
    assert look.rep.drill == ground.walk
    assert [c.key for c in look.watch_set.checkpoints.all()] == ["timing"]
    assert [f.fault.key for f in look.faults.all()] == ["timing-late"]


def test_of_several_corrections_the_first_in_order_counts_and_the_others_wait(ground: Ground) -> None:
    sent = ground.rep()
    second, first = ground.correct(sent, 90, faults=["timing-early"]), ground.correct(sent, 80, faults=["timing-late"])
    assert ground.states(sent, second) == [("accepted", ""), ("accepted", "")]
    ground.send(first)
    assert Look.objects.get().faults.get().fault.key == "timing-late"
    need = NeedsLook.objects.get()
    assert (need.reason, str(need.event)) == ("second_correction", second["uuid"])
    ground.send(ground.void(first))
    assert Look.objects.get().faults.get().fault.key == "timing-early" and reasons() == []


@pytest.mark.parametrize("order", list(permutations(range(3))))
def test_a_correction_that_was_taken_back_changes_nothing_whichever_came_first(
    ground: Ground, order: tuple[int, ...]
) -> None:
    sent = ground.rep()
    correction = ground.correct(sent, 80, faults=["timing-late"])
    coming = [sent, correction, ground.void(correction, 90)]
    for number in order:
        ground.send(coming[number])
    assert not Look.objects.get().faults.exists() and reasons() == []


def test_a_correction_of_one_rep_of_a_set_goes_before_that_of_the_set(ground: Ground) -> None:
    sent, mate = ground.set(done=3, watched=0, faulty=0, counts={}), ground.cast.team_mate
    ground.send(
        ground.correct(child(sent, 2), watched=["timing"], faults=["timing-late"]),
        ground.correct(child(sent, 3), athlete=ground.cast.vaulter.pk),
        ground.correct(sent, athlete=mate.pk),
        sent,
    )
    reps = list(Rep.objects.order_by("place_in_set"))
    assert [rep.athlete for rep in reps] == [mate, mate, ground.cast.vaulter]
    assert [rep.looks.get().faults.count() for rep in reps] == [0, 1, 0]


def test_what_was_seen_in_a_set_is_corrected_rep_by_rep(ground: Ground) -> None:
    sent = ground.set()
    ground.send(sent)
    assert ground.states(ground.correct(sent, faults=[])) == [("kept", "does_not_fit")]


def test_a_correction_that_the_drill_does_not_offer_is_kept(ground: Ground) -> None:
    sent = ground.rep()
    ground.send(sent)
    assert ground.states(ground.correct(sent, watched=["elsewhere"])) == [("kept", "does_not_fit")]
    assert Look.objects.get().watch_set.watched.count() == 1


def test_what_belongs_to_another_practice_is_changed_there(ground: Ground) -> None:
    from dataclasses import replace

    from tests.builders import make_practice

    sent = ground.rep()
    ground.send(sent)
    elsewhere = replace(ground, practice=make_practice(ground.cast.club))
    assert elsewhere.states(ground.void(sent)) == [("rejected", "other_practice")]


def test_a_void_of_a_hold_is_rejected(ground: Ground) -> None:
    hold = ground.event(0, kind="hold", station=ground.station.pk)
    ground.send(hold)
    assert ground.states(ground.void(hold)) == [("rejected", "cannot_be_changed")]


# --- other observers -----------------------------------------------------------------------------


def test_a_look_that_names_its_rep_stands_beside_the_deciding_one(ground: Ground) -> None:
    sent = ground.rep()
    ground.send(sent)
    ground.send(ground.look(3, target=sent["uuid"]), device=SECOND, by=ground.cast.head_coach)
    assert list(Look.objects.order_by("at").values_list("deciding", flat=True)) == [True, False]


def test_a_look_without_a_name_is_matched_to_the_nearest_rep_within_a_minute(ground: Ground) -> None:
    early, late = ground.rep(0), ground.rep(50)
    look = ground.look(20)
    ground.send(early)
    ground.send(look, device=SECOND)
    assert str(Look.objects.get(deciding=False).rep.uuid) == early["uuid"]
    ground.send({**late, "at": (ground.at + timedelta(seconds=25)).isoformat()})
    assert str(Look.objects.get(deciding=False).rep.uuid) == late["uuid"]
    ground.send(ground.void(late))
    assert str(Look.objects.get(deciding=False).rep.uuid) == early["uuid"]


def test_a_look_with_no_rep_near_waits_for_one(ground: Ground) -> None:
    assert ground.states(ground.look(0), device=SECOND) == [("kept", "no_rep")]
    ground.send(ground.rep(61))
    ground.send(ground.rep(1, athlete=ground.cast.team_mate.pk), ground.rep(1, drill="walk"))
    assert reasons() == ["no_rep"] and not Look.objects.filter(deciding=False).exists()
    ground.send(ground.rep(59))
    assert reasons() == [] and Look.objects.filter(deciding=False).count() == 1


def test_a_look_at_another_station_is_no_look_at_this_rep(ground: Ground) -> None:
    ground.send(ground.rep(0))
    look = ground.look(1, station=ground.other_station.pk)
    assert ground.states(look, device=SECOND) == [("kept", "no_rep")]


def test_an_unsafe_look_makes_the_rep_unsafe_until_it_is_taken_back(ground: Ground) -> None:
    sent = ground.rep()
    look = ground.look(5, watched=[], faults=["feet-jumps"])
    ground.send(sent)
    ground.send(look, device=SECOND)
    assert Rep.objects.get().unsafe
    ground.send(ground.correct(sent, faults=["timing-late"]))
    assert Rep.objects.get().unsafe
    ground.send(ground.void(look))
    assert not Rep.objects.get().unsafe and not Look.objects.filter(deciding=False).exists()
