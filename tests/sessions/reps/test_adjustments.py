"""What was adjusted for an athlete: kept for the day, taken back like anything else, and no other club's."""

import pytest

from sessions.reps.models import AdjustmentUsed
from tests.builders import make_adjustment
from tests.sessions.reps.ground import Ground, Sent


def lower(ground: Ground, seconds: float = 0, **changes: object) -> Sent:
    said = {"kind": "adjustment", "athlete": ground.cast.vaulter.pk, "drill": "drop", "adjustment": "hold-lower"}
    return ground.event(seconds, **{**said, **changes})


def test_an_adjustment_is_remembered_for_the_athlete_and_the_practice(ground: Ground) -> None:
    assert ground.states(lower(ground)) == [("accepted", "")]
    used = AdjustmentUsed.objects.get()
    assert (used.athlete, used.practice, used.drill) == (ground.cast.vaulter, ground.practice, ground.drop)
    assert used.adjustment.key == "hold-lower" and used.by == ground.cast.assistant.person


def test_taken_back_it_is_gone_whichever_arrives_first(ground: Ground) -> None:
    first, second = lower(ground), lower(ground, 5)
    ground.send(first, ground.void(first))
    ground.send(ground.void(second))
    ground.send(second)
    assert not AdjustmentUsed.objects.exists()


def test_sent_again_it_is_one(ground: Ground) -> None:
    sent = lower(ground)
    ground.send(sent)
    assert ground.states(sent) == [("duplicate", "")]
    assert AdjustmentUsed.objects.count() == 1


@pytest.mark.parametrize("key", ["their-own", "no-such"])
def test_an_adjustment_of_no_catalogue_of_ours_is_refused(ground: Ground, key: str) -> None:
    make_adjustment(ground.cast.other_club, key="their-own")
    assert ground.states(lower(ground, adjustment=key)) == [("rejected", "unknown_adjustment")]


def test_a_helper_records_none(ground: Ground) -> None:
    assert ground.states(lower(ground), by=ground.cast.helper) == [("rejected", "coaches_only")]
