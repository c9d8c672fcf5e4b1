"""Whether a name said at the gate is one that the club was warned of."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from sessions.practices.core.pick_up import is_warned_of, warned_of

BARRED = "Marek Novák-Brandt"


@pytest.mark.parametrize(
    "said",
    [
        "Marek Novák-Brandt",
        "novak-brandt MAREK",
        "  brandt,  marek novak ",
        "Novak",
        "Mr. Marek Novák Brandt",
        "marek",
    ],
)
def test_any_order_case_accent_and_part_of_the_name_is_warned_of(said: str) -> None:
    assert is_warned_of(said, BARRED)


@pytest.mark.parametrize("said", ["", "  ", "--", "Thandi Kestrel", "Mark Nowak", "Marek Kestrel"])
def test_another_name_or_none_is_not(said: str) -> None:
    assert not is_warned_of(said, BARRED)


def test_all_whom_it_may_mean_are_named() -> None:
    assert warned_of("Novak", [BARRED, "Ada Novak", "Eero Vinter"]) == (BARRED, "Ada Novak")
    assert warned_of("ada", [BARRED, "Ada Novak"]) == ("Ada Novak",)


@given(st.lists(st.text("abcdefé", min_size=1, max_size=6), min_size=1, max_size=4), st.randoms())
def test_no_order_of_its_words_hides_a_name(parts: list[str], dice: object) -> None:
    name = " ".join(parts)
    dice.shuffle(parts)  # type: ignore[attr-defined]
    assert is_warned_of(" ".join(parts).upper(), name)
