"""Breaking the roll-up in named ways: check_counts notices each of them."""

from collections.abc import Callable, Iterable, Iterator, Set
from dataclasses import replace
from datetime import date
from typing import Any
from uuid import UUID

import pytest
from django.db.models import Q

import athletes.actions.decisions
import athletes.actions.readiness
import athletes.queries.readiness
from athletes.core import readiness
from athletes.core.readiness import Outcome, Rep, Settings, StartOver, State
from athletes.models import ReadinessDay
from club.models import Club
from sessions.trends import actions, queries
from sessions.trends.core import counts as core
from sessions.trends.core.counts import Place, SeenRep
from tests.sessions.trends.generated_club import GeneratedClub
from tests.sessions.trends.test_check_counts import check_counts

pytestmark = pytest.mark.django_db

Patch = Callable[..., None]
SEED = 11


def unsafe_reps_are_averaged(patch: Patch) -> None:
    say, rate = core.outcome, core.enters_rates
    patch(core, "outcome", lambda rep, gate: say(replace(rep, unsafe=False), gate))
    patch(core, "enters_rates", lambda rep: rate(replace(rep, unsafe=False)))


def reps_taken_back_are_counted(patch: Patch) -> None:
    patch(queries, "STANDS", Q())


def waiting_reps_are_counted(patch: Patch) -> None:
    read = queries.seen_reps
    patch(queries, "seen_reps", lambda *where, **since: [replace(rep, waits=False) for rep in read(*where, **since)])


def the_unsafe_mark_of_a_waiting_rep_is_left_for_later(patch: Patch) -> None:
    fold = core.attempts
    patch(core, "attempts", lambda reps, gate, starts: fold([rep for rep in reps if not rep.waits], gate, starts))


def looks_that_do_not_decide_are_counted(patch: Patch) -> None:
    patch(queries, "DECIDES", Q(looks__deciding=False) | Q(looks__deciding=True))


def one_watched_checkpoint_of_the_gate_is_enough(patch: Patch) -> None:
    def outcome_of(gate: Set[str], watched: Set[str], faulty: Set[str], *, unsafe: bool = False) -> Outcome:
        return readiness.outcome_of(gate & watched, watched, faulty, unsafe=unsafe)

    patch(core, "outcome_of", outcome_of)


def later_days_are_not_replayed(patch: Patch) -> None:
    def of_the_first_day(reps: Iterable[SeenRep], gate: Set[str], starts: list[StartOver]) -> Iterator[Rep]:
        reps = list(reps)
        return fold([rep for rep in reps if rep.day == reps[0].day], gate, starts)

    fold = core.attempts
    patch(core, "attempts", of_the_first_day)


def the_replay_starts_from_the_end_of_its_own_day(patch: Patch) -> None:
    def snapshot(club: Club, athlete_id: UUID, drill_id: int, day: date) -> dict[date, State]:
        rows = ReadinessDay.objects.filter(athlete_id=athlete_id, drill_id=drill_id, day__lte=day)
        row = rows.order_by("-day").first()
        return {date.min: athletes.queries.readiness.state_of(row)} if row else {}

    patch(athletes.queries.readiness, "snapshot_before", snapshot)


def the_replay_starts_from_nothing(patch: Patch) -> None:
    patch(athletes.queries.readiness, "snapshot_before", lambda *pair: {})


def a_day_that_lost_its_reps_keeps_its_counts(patch: Patch) -> None:
    put = actions._replace
    patch(
        actions, "_replace", lambda club, where, rows: put(club, where, {k: made for k, made in rows.items() if made})
    )


def a_day_that_lost_its_reps_keeps_its_state(patch: Patch) -> None:
    replay = athletes.actions.readiness.replay_readiness

    def only_if_any(*, items: Iterable[Rep | StartOver], **pair: Any) -> None:
        if items := list(items):
            replay(items=items, **pair)

    patch(athletes.actions.readiness, "replay_readiness", only_if_any)


def pairs_stand_in_the_order_of_the_catalogue(patch: Patch) -> None:
    def by_number(places: Iterable[Place]) -> tuple[str, ...]:
        return tuple(place.key for place in sorted(places, key=lambda place: (place.order, place.key)))

    patch(queries, "run_order", by_number)


def unnamed_faults_are_forgotten(patch: Patch) -> None:
    read = queries.seen_reps
    patch(
        queries,
        "seen_reps",
        lambda *where, **since: [replace(rep, unnamed_fault=False) for rep in read(*where, **since)],
    )


def an_unnamed_fault_makes_no_checkpoint_unsure(patch: Patch) -> None:
    patch(core, "enters_rates", lambda rep: not rep.unsafe)


def faults_merely_noticed_are_held_against_the_rep(patch: Patch) -> None:
    def noticed(rep: SeenRep) -> frozenset[str]:
        return frozenset(fault.checkpoint for fault in rep.faults)

    def closer(rep: SeenRep, gate: Set[str]) -> Outcome:
        seen = rep.watched | noticed(rep)
        return readiness.outcome_of(gate, seen, gate if rep.unnamed_fault else noticed(rep), unsafe=rep.unsafe)

    patch(core, "outcome", closer)


def counts_fade_twice(patch: Patch) -> None:
    def faded_again(state: State, rep: Rep, settings: Settings) -> State:
        once = fold(state, rep, settings)
        if once.reps == state.reps:
            return once
        return replace(once, good=once.good * settings.rep_fade, bad=once.bad * settings.rep_fade)

    fold = readiness.fold
    patch(readiness, "fold", faded_again)


def starting_over_is_forgotten(patch: Patch) -> None:
    patch(actions, "started_over", lambda *pair: [])


def starting_over_asks_for_no_new_figures(patch: Patch) -> None:
    patch(athletes.actions.decisions, "_fold_again", lambda by, athlete_id, drill_id, day: None)


def reps_are_folded_as_they_were_stored(patch: Patch) -> None:
    read = queries._reps
    patch(queries, "_reps", lambda *where: read(*where).order_by("day", "pk"))


MUTATIONS = (
    unsafe_reps_are_averaged,
    reps_taken_back_are_counted,
    waiting_reps_are_counted,
    the_unsafe_mark_of_a_waiting_rep_is_left_for_later,
    looks_that_do_not_decide_are_counted,
    one_watched_checkpoint_of_the_gate_is_enough,
    later_days_are_not_replayed,
    the_replay_starts_from_the_end_of_its_own_day,
    the_replay_starts_from_nothing,
    a_day_that_lost_its_reps_keeps_its_counts,
    a_day_that_lost_its_reps_keeps_its_state,
    pairs_stand_in_the_order_of_the_catalogue,
    unnamed_faults_are_forgotten,
    an_unnamed_fault_makes_no_checkpoint_unsure,
    faults_merely_noticed_are_held_against_the_rep,
    counts_fade_twice,
    starting_over_is_forgotten,
    starting_over_asks_for_no_new_figures,
    reps_are_folded_as_they_were_stored,
)


@pytest.mark.parametrize("break_it", MUTATIONS, ids=lambda mutation: mutation.__name__)
def test_check_counts_notices_a_roll_up_in_which(break_it: Callable[[Patch], None], monkeypatch: Any) -> None:
    generated = GeneratedClub(SEED)
    break_it(monkeypatch.setattr)
    generated.live()
    assert check_counts() >= 1


def test_the_same_club_rolled_up_as_it_should_be_has_no_difference() -> None:
    GeneratedClub(SEED).live()
    assert check_counts() == 0
