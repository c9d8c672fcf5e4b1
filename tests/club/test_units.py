"""Metres and kilograms inside, feet-inches and pounds at the edge: exact both ways."""

from decimal import Decimal

import pytest
from hypothesis import given
from hypothesis import strategies as st

from club.core.units import (
    KG_PER_POUND,
    FeetInches,
    NotALength,
    NotAMass,
    feet_inches,
    parse_length_m,
    parse_mass_kg,
    plain,
    pounds,
)


@pytest.mark.parametrize(
    ("text", "metres"),
    [
        ("1.62", "1.62"),
        ("1,62 m", "1.62"),
        ("162 cm", "1.62"),
        ("162", "1.62"),
        ("3.40", "3.40"),
        ("1620 mm", "1.62"),
        # 5 ft 4 in = 64 in of 0.0254 m (exact by the agreement of 1959)
        ("5'4\"", "1.6256"),
        ("5’4”", "1.6256"),
        ("5 ft 4 in", "1.6256"),
        ("5-4", "1.6256"),
        ("5'", "1.524"),
        ("5 ft", "1.524"),
        ("5' 3 1/2\"", "1.6129"),
        ("64 in", "1.6256"),
        ("11'6", "3.5052"),
    ],
)
def test_a_length_is_read_as_it_is_written(text: str, metres: str) -> None:
    assert parse_length_m(text) == Decimal(metres)
    assert parse_length_m(f" {text} ") == Decimal(metres)


@pytest.mark.parametrize(
    "text", ["", "tall", "5'12\"", "5'4 1/3\"", "-1.6", "1.6.2", "30", "1e3", "NaN", "1'2'3", "∞", "٣"]
)
def test_what_is_no_length_or_could_be_two_is_refused(text: str) -> None:
    with pytest.raises(NotALength):
        parse_length_m(text)


def test_in_a_club_of_feet_a_bare_number_is_refused_and_a_unit_wins() -> None:
    with pytest.raises(NotALength):
        parse_length_m("5.4", imperial=True)
    assert parse_length_m("1.62 m", imperial=True) == Decimal("1.62")


def test_a_mass_is_read_in_the_clubs_unit_unless_it_says_its_own() -> None:
    assert parse_mass_kg("58,5") == Decimal("58.5")
    assert parse_mass_kg("130", imperial=True) == Decimal("58.9670081")
    assert parse_mass_kg("58.5 kg", imperial=True) == Decimal("58.5")
    assert parse_mass_kg("130 lbs") == Decimal("58.9670081")
    for text in ("", "heavy", "-5", "1e9", "50 st"):
        with pytest.raises(NotAMass):
            parse_mass_kg(text)


@given(st.integers(1, 30), st.integers(0, 1199))
def test_feet_and_inches_come_back_as_they_went_in(feet: int, hundredths: int) -> None:
    inches = plain(Decimal(hundredths) / 100)
    assert feet_inches(parse_length_m(f"{feet}' {inches}\"")) == FeetInches(feet, inches)


@given(st.integers(1, 99_999))
def test_tenths_of_a_pound_come_back_as_they_went_in(tenths: int) -> None:
    said = plain(Decimal(tenths) / 10)
    assert pounds(parse_mass_kg(f"{said} lb")) == said


def test_a_length_just_under_a_foot_is_never_said_as_twelve_inches() -> None:
    assert feet_inches(Decimal("1.82879")) == FeetInches(6, Decimal(0))
    assert feet_inches(Decimal("1.8287")) == FeetInches(6, Decimal(0))
    assert feet_inches(Decimal("1.8285")) == FeetInches(5, Decimal("11.99"))


def test_nine_decimals_of_a_kilogram_hold_a_tenth_of_a_pound_exactly() -> None:
    assert (KG_PER_POUND / 10).as_tuple().exponent == -9
