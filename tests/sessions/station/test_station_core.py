"""Names, blocks and places of faults at a station."""

from datetime import UTC, datetime, timedelta

from hypothesis import given
from hypothesis import strategies as st

from sessions.station.core import BlockSpan, FullName, OfferedFault, block_now, called, columns, in_run_order

FIVE = datetime(2026, 3, 2, 17, 0, tzinfo=UTC)
BLOCKS = [
    BlockSpan(number, FIVE + timedelta(minutes=20 * (number - 1)), FIVE + timedelta(minutes=20 * number))
    for number in (1, 2, 3)
]


def test_an_athlete_goes_by_the_first_name() -> None:
    assert called({1: FullName("Nandi", "Kestrel"), 2: FullName("Eero", "Vinter")}) == {1: "Nandi", 2: "Eero"}


def test_two_of_one_first_name_are_told_apart_by_as_little_as_does_it() -> None:
    names = {1: FullName("Nandi", "Kestrel"), 2: FullName("Nandi", "Kehoe"), 3: FullName("Nandi", "Dune")}
    assert called(names) == {1: "Nandi Kes.", 2: "Nandi Keh.", 3: "Nandi D."}


def test_a_family_name_that_begins_another_is_written_out() -> None:
    assert called({1: FullName("Ana", "Pine"), 2: FullName("Ana", "Pinewood")}) == {1: "Ana Pine", 2: "Ana Pinew."}


@given(st.lists(st.builds(FullName, st.sampled_from(["Ana", "Bo"]), st.text("ab", max_size=3)), max_size=7))
def test_no_two_athletes_are_ever_called_the_same(names: list[FullName]) -> None:
    written = called(dict(enumerate(names)))
    assert len(set(written.values())) == len(names)


def test_the_block_is_the_one_that_runs_now() -> None:
    assert block_now(BLOCKS, FIVE + timedelta(minutes=20)) == 2
    assert block_now(BLOCKS, FIVE + timedelta(minutes=59)) == 3


def test_before_and_after_the_practice_the_first_block_is_shown() -> None:
    assert block_now(BLOCKS, FIVE - timedelta(minutes=1)) == 1
    assert block_now(BLOCKS, FIVE + timedelta(hours=3)) == 1
    assert block_now([], FIVE) is None


FAULTS = [
    OfferedFault("looks-down", "all", False, (5, 0)),
    OfferedFault("bent-arm", "contact", True, (4, 0)),
    OfferedFault("starts-low", "carry", False, (0, 0)),
    OfferedFault("hand-high", "drop", False, (1, 0)),
    OfferedFault("drop-late", "drop", True, (2, 1)),
    OfferedFault("drop-early", "drop", True, (2, 0)),
]


def test_faults_of_the_gate_stand_first_in_their_column() -> None:
    assert columns(FAULTS) == {
        "carry": ["starts-low", "looks-down"],
        "drop": ["drop-early", "drop-late", "hand-high"],
        "plant": [],
        "contact": ["bent-arm"],
    }


def test_the_main_fault_is_the_earliest_in_the_run() -> None:
    assert [fault.key for fault in in_run_order(FAULTS)][:2] == ["starts-low", "hand-high"]
    assert in_run_order(FAULTS)[-1].key == "looks-down"
