"""Which pole fits: exact at the boundary."""

from datetime import date, timedelta
from decimal import Decimal

import pytest
from hypothesis import given
from hypothesis import strategies as st

from athletes.core.poles import Answer, Evidence, Fit, Pole, Why, check, is_due, latest
from club.core.units import parse_mass_kg

TODAY = date(2026, 3, 2)


def weighed(text: str, days_ago: int = 0) -> Evidence:
    return Evidence(parse_mass_kg(text), TODAY - timedelta(days=days_ago))


def rated(text: str, **more: object) -> Pole:
    return Pole(parse_mass_kg(text), **more)  # type: ignore[arg-type]


# The rule of the US high schools (NFHS): the vaulter weighs at or under the pole's rating; equal is legal, 0.1 lb over
# is not.
@pytest.mark.parametrize(
    ("mass", "fit"), [("130 lb", Fit.FITS), ("129.9 lb", Fit.FITS), ("130.1 lb", Fit.DOES_NOT_FIT)]
)
def test_at_or_under_the_rating_is_legal_and_a_tenth_of_a_pound_over_is_not(mass: str, fit: Fit) -> None:
    assert check(rated("130 lb"), weighed(mass), TODAY).fit is fit


@given(st.integers(600, 3000))
def test_every_rating_in_tenths_of_a_pound_is_exact_at_its_boundary(tenths: int) -> None:
    pole = rated(f"{Decimal(tenths) / 10} lb")
    assert check(pole, weighed(f"{Decimal(tenths) / 10} lb"), TODAY).fit is Fit.FITS
    over = check(pole, weighed(f"{Decimal(tenths + 1) / 10} lb"), TODAY)
    assert over == Answer(Fit.DOES_NOT_FIT, (Why.OVER_RATING,))


def test_evidence_is_due_on_the_31st_day() -> None:
    pole = rated("60 kg")
    assert check(pole, weighed("55 kg", 30), TODAY).fit is Fit.FITS
    assert check(pole, weighed("55 kg", 31), TODAY) == Answer(Fit.CHECK_DUE, (Why.TOO_LONG_AGO,))
    assert check(pole, None, TODAY) == Answer(Fit.CHECK_DUE, (Why.NEVER_WEIGHED,))
    assert is_due(None, TODAY) and not is_due(weighed("55 kg", 30), TODAY)


def test_what_was_over_the_rating_stays_refused_however_old_the_weighing() -> None:
    assert check(rated("60 kg"), weighed("60.1 kg", 90), TODAY).fit is Fit.DOES_NOT_FIT


def test_hands_stay_below_the_band() -> None:
    pole = rated("60 kg", band_m=Decimal("3.40"))
    assert check(pole, weighed("55"), TODAY, Decimal("3.39")).fit is Fit.FITS
    for grip in ("3.40", "3.4001"):
        assert check(pole, weighed("55"), TODAY, Decimal(grip)) == Answer(Fit.DOES_NOT_FIT, (Why.ABOVE_BAND,))


def test_a_withdrawn_pole_and_one_without_a_rating_fit_nobody() -> None:
    assert check(rated("60", in_use=False), weighed("50"), TODAY).why == (Why.WITHDRAWN,)
    assert check(Pole(None), weighed("50"), TODAY).why == (Why.NO_RATING,)


def test_the_newest_evidence_counts_and_of_one_day_the_heavier() -> None:
    older, newer = weighed("50", 20), weighed("58", 3)
    assert latest([newer, older], TODAY) == newer
    assert latest([weighed("50", 3), newer], TODAY) == newer
    assert latest([Evidence(Decimal(70), TODAY + timedelta(days=1)), older], TODAY) == older
    assert latest([], TODAY) is None
