"""Lengths and masses: metres and kilograms inside, feet-inches and pounds only at the edge, all exact.

Everything is ``Decimal``: 130 lb is 58.9670081 kg and nothing near it, so that "at the rating" and "a tenth of a pound
over" stay two things.
"""

import re
from dataclasses import dataclass
from decimal import Decimal
from fractions import Fraction

# International yard and pound agreement of 1959; exact by definition.
M_PER_INCH = Decimal("0.0254")
KG_PER_POUND = Decimal("0.45359237")
INCHES_A_FOOT = 12

_NUMBER = r"\d{1,4}(?:[.,]\d{1,4})?"
_METRIC = re.compile(rf"({_NUMBER})\s*(m|cm|mm)?", re.I | re.A)
_FOOT = r"(?:'|’|′|ft\.?|feet|foot)"
_INCH = r"(?:\"|”|″|''|in\.?|inch|inches)"
_FRACTION = r"(?:\s+(\d{1,2})/(\d{1,2}))?"
_FEET_INCHES = re.compile(
    rf"(\d{{1,2}})\s*(?:{_FOOT}\s*-?|-)\s*(?:(\d{{1,2}}(?:[.,]\d{{1,3}})?){_FRACTION}\s*{_INCH}?)?",
    re.I | re.A,
)
_INCHES = re.compile(rf"({_NUMBER}){_FRACTION}\s*{_INCH}", re.I | re.A)
_MASS = re.compile(rf"({_NUMBER})\s*(kg|kgs|kilo|kilos|lb|lbs|lb\.|pounds?)?", re.I | re.A)
MOST_METRES, LEAST_CENTIMETRES = 20, 50


class NotALength(ValueError):
    """The text is no length, or does not say in what it is."""


class NotAMass(ValueError):
    """The text is no mass."""


@dataclass(frozen=True, slots=True)
class FeetInches:
    """A length as it is said: whole feet, and inches to a hundredth from 0 up to 12."""

    feet: int
    inches: Decimal


def parse_length_m(text: str, *, imperial: bool = False) -> Decimal:
    """Metres from "1.62", "1,62 m", "162 cm", "5'4\"", "5 ft 3 1/2 in", "5-4", "64 in".

    imperial: what a bare number is in. Metric: up to 20 it is metres, from 50 on centimetres; between them it could be
    either and is refused. Imperial: "5-4" is feet and inches; a bare number could be either and is refused. A unit in
    the text always wins. Raises NotALength.
    """
    said = text.strip()
    if found := _FEET_INCHES.fullmatch(said):
        feet, inches, top, bottom = found.groups()
        return _inches_m(Decimal(feet) * INCHES_A_FOOT + _with_fraction(inches or "0", top, bottom, limit=True))
    if found := _INCHES.fullmatch(said):
        return _inches_m(_with_fraction(*found.groups(), limit=False))
    found = _METRIC.fullmatch(said)
    if found is None or (imperial and not found[2]):
        raise NotALength(text)
    return _metric_m(_number(found[1]), (found[2] or "").lower(), text)


def _metric_m(number: Decimal, unit: str, text: str) -> Decimal:
    if unit == "mm":
        return number / 1000
    if unit == "cm" or (not unit and number >= LEAST_CENTIMETRES):
        return number / 100
    if unit == "m" or number <= MOST_METRES:
        return number
    raise NotALength(text)


def _inches_m(inches: Decimal) -> Decimal:
    return inches * M_PER_INCH


def _with_fraction(inches: str, top: str | None, bottom: str | None, *, limit: bool) -> Decimal:
    whole = _number(inches)
    if top and bottom:
        if int(bottom) not in (2, 4, 8, 16) or int(top) >= int(bottom):
            raise NotALength(f"{top}/{bottom}")
        whole += Decimal(int(top)) / Decimal(int(bottom))
    if limit and whole >= INCHES_A_FOOT:
        raise NotALength(inches)
    return whole


def parse_mass_kg(text: str, *, imperial: bool = False) -> Decimal:
    """Kilograms from "58.5", "58,5 kg", "130 lb"; imperial: a bare number is in pounds. Raises NotAMass."""
    found = _MASS.fullmatch(text.strip())
    if found is None:
        raise NotAMass(text)
    unit = (found[2] or ("lb" if imperial else "kg")).lower()
    number = _number(found[1])
    return number if unit.startswith("k") else number * KG_PER_POUND


def _number(text: str) -> Decimal:
    return Decimal(text.replace(",", "."))


def feet_inches(metres: Decimal) -> FeetInches:
    """The length to the hundredth of an inch, half up; never "12 inches"."""
    hundredths = round(Fraction(metres) / Fraction(M_PER_INCH) * 100)
    feet, rest = divmod(hundredths, INCHES_A_FOOT * 100)
    return FeetInches(feet, plain(Decimal(rest) / 100))


def pounds(kilograms: Decimal) -> Decimal:
    """The mass in pounds to the thousandth; exact for whatever was entered in pounds to that."""
    return plain((kilograms / KG_PER_POUND).quantize(Decimal("0.001")))


def plain(number: Decimal) -> Decimal:
    """The same number without trailing zeros and without an exponent: 5, not 5.00 or 5E+0."""
    cut = number.normalize()
    return cut.quantize(Decimal(1)) if cut == cut.to_integral_value() else cut
