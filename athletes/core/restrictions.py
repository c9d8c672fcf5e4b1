"""What an athlete must not do today.

A restriction binds from its first day to its last. One that a guardian reported binds until a coach has answered it,
whatever its last day. One that needs a clearance (a suspected head injury) binds until it is lifted, which only a
recorded written clearance does.
"""

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date

from drills.core.catalogue import RiskClass

ALL = frozenset(RiskClass)
_RISING = tuple(RiskClass)


@dataclass(frozen=True, slots=True)
class Restriction:
    """lifted: a coach took it away. unanswered: a guardian reported it and no coach has answered yet."""

    excludes: frozenset[RiskClass]
    starts_on: date
    ends_on: date | None = None
    needs_clearance: bool = False
    lifted: bool = False
    unanswered: bool = False


def upward(excludes: Iterable[RiskClass]) -> frozenset[RiskClass]:
    """The named classes and every riskier one: whoever must not run with the pole must not run it into a box either."""
    least = min((_RISING.index(risk) for risk in excludes), default=len(_RISING))
    return frozenset(_RISING[least:])


def in_force(restriction: Restriction, day: date) -> bool:
    """Whether it binds on that day."""
    if restriction.lifted or restriction.starts_on > day:
        return False
    stays = restriction.needs_clearance or restriction.unanswered or restriction.ends_on is None
    return stays or (restriction.ends_on is not None and restriction.ends_on >= day)


def excluded(restrictions: Iterable[Restriction], day: date) -> frozenset[RiskClass]:
    """All risk classes that may not be assigned on that day."""
    return upward(risk for one in restrictions if in_force(one, day) for risk in one.excludes)


def may_lift(needs_clearance: bool, clearance_by: str, clearance_on: date | None, today: date) -> bool:
    """A head injury's is lifted only by a written clearance: whose, and of a day that has come."""
    return not needs_clearance or bool(clearance_by.strip() and clearance_on and clearance_on <= today)
