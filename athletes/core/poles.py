"""Which pole: *fits*, *does not fit* or *check due*, for contact drills and jumps.

The vaulter weighs at or under the pole's rating, in every club; the hands stay below the maker's band. Everything is
``Decimal`` and exact: equal is legal, 0.1 lb over is not (US high school rule, NFHS). Local rules, the facility's rules
and the licensed or certified coach in charge come first.
"""

import enum
from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date, timedelta
from decimal import Decimal

CHECK_DAYS = 30
"""Evidence of a mass older than this many days is due for a check (club practice)."""


class Fit(enum.Enum):
    FITS = "fits"
    DOES_NOT_FIT = "does not fit"
    CHECK_DUE = "check due"


class Why(enum.Enum):
    """For the head coach alone; others are told only the fit."""

    WITHDRAWN = "withdrawn"
    NO_RATING = "no rating"
    OVER_RATING = "over rating"
    ABOVE_BAND = "above band"
    NEVER_WEIGHED = "never weighed"
    TOO_LONG_AGO = "too long ago"


@dataclass(frozen=True, slots=True)
class Pole:
    """rating_kg: the maker's, None if it is not marked. band_m: from the tip; None if there is none to be seen."""

    rating_kg: Decimal | None
    band_m: Decimal | None = None
    in_use: bool = True


@dataclass(frozen=True, slots=True)
class Evidence:
    """That the vaulter's mass is at most ``at_most_kg``: weighed, or "cleared up to rating", on that day."""

    at_most_kg: Decimal
    on: date


@dataclass(frozen=True, slots=True)
class Answer:
    fit: Fit
    why: tuple[Why, ...] = ()


def latest(evidence: Iterable[Evidence], today: date) -> Evidence | None:
    """The newest evidence up to today; of two of one day the heavier."""
    known = [one for one in evidence if one.on <= today]
    return max(known, key=lambda one: (one.on, one.at_most_kg), default=None)


def is_due(evidence: Evidence | None, today: date, days: int = CHECK_DAYS) -> bool:
    """Whether the vaulter has to be weighed, or cleared, again: on the day after ``days`` days."""
    return evidence is None or today - evidence.on > timedelta(days=days)


def check(
    pole: Pole, evidence: Evidence | None, today: date, grip_m: Decimal | None = None, days: int = CHECK_DAYS
) -> Answer:
    """May this vaulter use this pole at a contact drill or jump today?

    grip_m: tip to top hand; None: not looked at. What can never fit does not fit, however old the evidence.
    """
    against = tuple(_against(pole, evidence, grip_m))
    if against:
        return Answer(Fit.DOES_NOT_FIT, against)
    if is_due(evidence, today, days):
        return Answer(Fit.CHECK_DUE, (Why.TOO_LONG_AGO if evidence else Why.NEVER_WEIGHED,))
    return Answer(Fit.FITS)


def _against(pole: Pole, evidence: Evidence | None, grip_m: Decimal | None) -> Iterable[Why]:
    if not pole.in_use:
        yield Why.WITHDRAWN
    if pole.rating_kg is None:
        yield Why.NO_RATING
    elif evidence and evidence.at_most_kg > pole.rating_kg:
        yield Why.OVER_RATING
    if grip_m is not None and pole.band_m is not None and grip_m >= pole.band_m:
        yield Why.ABOVE_BAND  # below the band, so not at it
