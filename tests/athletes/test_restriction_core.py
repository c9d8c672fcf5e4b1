"""What is excluded today."""

from dataclasses import replace
from datetime import date, timedelta

import pytest

from athletes.core.restrictions import ALL, Restriction, excluded, in_force, may_lift
from drills.core.catalogue import RiskClass

TODAY = date(2026, 3, 2)
DAY = timedelta(days=1)
CONTACT = frozenset({RiskClass.CONTACT})
PLAIN = Restriction(CONTACT, TODAY - DAY, TODAY)


def test_a_restriction_binds_from_its_first_day_to_its_last() -> None:
    bound = [in_force(PLAIN, TODAY + n * DAY) for n in (-2, -1, 0, 1)]
    assert bound == [False, True, True, False]
    assert in_force(replace(PLAIN, ends_on=None), TODAY + 900 * DAY)


def test_what_a_guardian_reported_binds_until_a_coach_answers() -> None:
    reported = replace(PLAIN, unanswered=True)
    assert in_force(reported, TODAY + 30 * DAY)
    assert not in_force(replace(reported, unanswered=False), TODAY + 30 * DAY)


def test_a_head_injury_binds_beyond_its_last_day_until_it_is_lifted() -> None:
    head = replace(PLAIN, needs_clearance=True)
    assert in_force(head, TODAY + 30 * DAY)
    assert not in_force(replace(head, lifted=True), TODAY)


def test_the_exclusions_of_all_that_bind_add_up() -> None:
    later = Restriction(ALL, TODAY + DAY)
    assert excluded([PLAIN, later], TODAY) == CONTACT
    assert excluded([PLAIN, later], TODAY + DAY) == ALL
    assert excluded([], TODAY) == frozenset()


@pytest.mark.parametrize(
    ("named", "kept_from"),
    [({"contact"}, {"contact"}), ({"moving"}, {"moving", "contact"}), ({"floor"}, {"floor", "moving", "contact"})],
)
def test_whoever_must_not_run_must_not_run_into_a_box(named: set[str], kept_from: set[str]) -> None:
    one = replace(PLAIN, excludes=frozenset(map(RiskClass, named)))
    assert excluded([one], TODAY) == frozenset(map(RiskClass, kept_from))


def test_only_a_written_clearance_of_a_day_that_has_come_lifts_a_head_injury() -> None:
    assert may_lift(False, "", None, TODAY)
    assert may_lift(True, "Dr Hollis", TODAY, TODAY)
    assert not may_lift(True, "  ", TODAY, TODAY)
    assert not may_lift(True, "Dr Hollis", None, TODAY)
    assert not may_lift(True, "Dr Hollis", TODAY + DAY, TODAY)
