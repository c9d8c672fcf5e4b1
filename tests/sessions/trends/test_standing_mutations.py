"""Breaking the fold of the book in named ways: check_counts notices each of them."""

from collections.abc import Callable
from dataclasses import replace
from datetime import date, timedelta
from io import StringIO
from typing import Any
from uuid import UUID

import pytest
from django.core.management import call_command
from django.db import transaction

import athletes.actions.standing
import athletes.queries.standing
from athletes.core import gates, opening
from athletes.core.sequence import Place
from athletes.core.standing import Book, DecisionKind
from athletes.core.standing import Decision as DecisionValue
from athletes.models import BookDay, Decision
from club.models import Club
from sessions.trends import queries
from tests.sessions.trends.generated_course import GeneratedCourse
from tests.sessions.trends.test_check_counts import check_counts

pytestmark = pytest.mark.django_db

Patch = Callable[..., None]
SEEDS = (7, 2, 0)
standing_queries = athletes.queries.standing


def decisions_are_left_out(patch: Patch) -> None:
    patch(standing_queries, "decisions_since", lambda *where: [])


def what_was_taken_back_still_counts(patch: Patch) -> None:
    def all_of_them(club: Club, athlete_id: UUID, day: date) -> list[DecisionValue]:
        rows = Decision.objects.filter(athlete_id=athlete_id, day__gte=day).exclude(kind="taken back")
        return [
            DecisionValue(Place(r.day, r.at, "", 0, r.pk), r.drill.key, DecisionKind(r.kind), by_head_coach=True)
            for r in rows
        ]

    patch(standing_queries, "decisions_since", all_of_them)


def decisions_come_before_the_reps_of_their_day(patch: Patch) -> None:
    read = standing_queries.decisions_since
    patch(
        standing_queries,
        "decisions_since",
        lambda *where: [replace(d, place=replace(d.place, at=d.place.at - timedelta(hours=12))) for d in read(*where)],
    )


def helpers_marks_lead_to_contact(patch: Patch) -> None:
    read = queries.attempts_of
    patch(queries, "attempts_of", lambda *where: [replace(attempt, by_helper=False) for attempt in read(*where)])


def the_book_starts_from_nothing(patch: Patch) -> None:
    patch(standing_queries, "book_before", lambda *where: {})


def the_book_starts_from_the_end_of_its_own_day(patch: Patch) -> None:
    def book(club: Club, athlete_id: UUID, day: date) -> dict[date, Book]:
        row = BookDay.objects.filter(athlete_id=athlete_id, day__lte=day).order_by("-day").first()
        return {date.min: Book.from_row(row.book)} if row else {}

    patch(standing_queries, "book_before", book)


def the_latest_changed_day_wins_over_the_earliest(patch: Patch) -> None:
    mark = athletes.actions.standing.mark

    def of_today(*, club: Club, athlete_ids: list[UUID], since: date) -> None:
        mark(club=club, athlete_ids=athlete_ids, since=since + timedelta(days=1))

    patch(athletes.actions.standing, "mark", of_today)


def warm_up_checks_are_forgotten(patch: Patch) -> None:
    patch(opening._Turn, "_check_warm_ups", lambda turn, need, *, bad: None)


def warm_up_checks_run_on_the_day_of_the_opening(patch: Patch) -> None:
    def at_once(turn: Any, need: str, *, bad: bool) -> None:
        for key in turn.progression.opens[need]:
            for check in turn.track(key).checks:
                if check.need == need:
                    turn._check_warm_up(key, check, replace(check, seen=check.seen + 1, bad=check.bad + bad))

    patch(opening._Turn, "_check_warm_ups", at_once)


def contact_asks_for_nothing_settled(patch: Patch) -> None:
    patch(gates, "_lacking_to_rest_on", lambda track, settings: ())


def nothing_closes_contact_again(patch: Patch) -> None:
    patch(opening._Turn, "_shaken", lambda turn, key, by: None)


def three_of_five_open_the_next(patch: Patch) -> None:
    fewer = replace(athletes.queries.readiness.SETTINGS, floor_good=3)
    patch(
        athletes.actions.standing.opening,
        "replay",
        lambda books, since, items, editions, settings: replay(books, since, items, editions, fewer),
    )


replay = opening.replay

FOLDS = (
    decisions_are_left_out,
    what_was_taken_back_still_counts,
    decisions_come_before_the_reps_of_their_day,
    helpers_marks_lead_to_contact,
    warm_up_checks_are_forgotten,
    warm_up_checks_run_on_the_day_of_the_opening,
    contact_asks_for_nothing_settled,
    nothing_closes_contact_again,
    three_of_five_open_the_next,
)
STEPS = (  # a fold from the beginning would hide these
    the_book_starts_from_nothing,
    the_book_starts_from_the_end_of_its_own_day,
    the_latest_changed_day_wins_over_the_earliest,
)


def test_check_counts_notices_each_broken_fold_and_nothing_in_a_fold_as_it_should_be() -> None:
    """The clubs live once; each mutation folds them again from the beginning."""
    unnoticed = set(FOLDS)
    for seed in SEEDS:
        with transaction.atomic():
            GeneratedCourse(seed, skill=0.8).live()
            assert differences_folded_again(lambda patch: None) == 0
            unnoticed -= {mutation for mutation in unnoticed if differences_folded_again(mutation)}
            transaction.set_rollback(True)
        if not unnoticed:
            break
    assert not {mutation.__name__ for mutation in unnoticed}


def differences_folded_again(break_it: Callable[[Patch], None]) -> int:
    with transaction.atomic(), pytest.MonkeyPatch.context() as patch:
        break_it(patch.setattr)
        call_command("rebuild_counts", stdout=StringIO())
        found = check_counts()
        transaction.set_rollback(True)
    return found


@pytest.mark.parametrize("break_it", STEPS, ids=lambda mutation: mutation.__name__)
def test_check_counts_notices_a_book_in_which(break_it: Callable[[Patch], None], monkeypatch: Any) -> None:
    break_it(monkeypatch.setattr)
    GeneratedCourse(SEEDS[0], skill=0.8).live()
    assert check_counts() > 0
