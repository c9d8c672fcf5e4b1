"""What holds for any stream of reps and decisions over the shipped shape of progression."""

import json

from hypothesis import given, settings
from hypothesis import strategies as st

from athletes.core.gates import standing
from athletes.core.opening import Item, replay, step
from athletes.core.progression import Risk
from athletes.core.readiness import Outcome
from athletes.core.standing import Attempt, Book, ChangeKind, Decision, DecisionKind, OpenedBy, Standing
from tests.athletes.opening_stream import DEFAULTS, PROGRESSION, START, place, stream

OPEN = (Standing.OPEN, Standing.SETTLED)
CONTACT = [key for key, drill in PROGRESSION.drills.items() if drill.risk is Risk.CONTACT]
# Mostly good runs, so that streams get as far as contact; the rest is anything at all.
MARKS = st.one_of(st.integers(5, 14).map(lambda n: "1" * n), st.text("1110-!", min_size=1, max_size=8))
WHAT = st.one_of(
    MARKS,
    MARKS,
    MARKS.map(lambda marks: "h" + marks),
    st.sampled_from(DecisionKind),
    st.sampled_from([DecisionKind.TOUCH, DecisionKind.PLACE]),
    st.just("not head coach"),
)
VISIT = st.tuples(st.sampled_from([0, 0, 0, 2, 3, 60]), st.sampled_from([*PROGRESSION.drills]), WHAT)
VISITS = st.lists(VISIT, max_size=25)


def items_of(visits: list[tuple[int, str, str | DecisionKind]]) -> list[Item]:
    parts, day = [], 0
    for gap, drill, what in visits:
        day += gap
        parts.append((day, drill, what))
    return stream(*parts)


def open_drills(book: Book) -> set[str]:
    return {key for key in PROGRESSION.drills if standing(book, key, PROGRESSION) in OPEN}


@given(VISITS)
@settings(max_examples=300)
def test_nobody_is_open_at_contact_without_the_head_coachs_own_act_since_it_was_last_closed(visits):
    book, acted = Book(), set()
    for item in items_of(visits):
        was_open = open_drills(book)
        if isinstance(item, Decision) and item.by_head_coach and item.kind in (DecisionKind.TOUCH, DecisionKind.PLACE):
            acted.add(item.drill)
        book = step(book, item, PROGRESSION, DEFAULTS).book
        now_open = open_drills(book)
        acted -= {key for key in CONTACT if key in was_open and key not in now_open}
        assert now_open & set(CONTACT) <= acted


@given(VISITS)
@settings(max_examples=300)
def test_a_touch_opens_contact_only_on_an_entry_drill_settled_over_two_days_and_ten_reps_from_anything_unsafe(visits):
    """Judged from the raw stream: nothing here asks the fold what it thinks."""
    items = items_of(visits)
    for change in replay({}, START, items, PROGRESSION, DEFAULTS).changes:
        if change.kind is ChangeKind.OPENED and change.by is OpenedBy.CONTACT_TOUCH:
            before = [i for i in items if i.place < change.cause]
            for need in PROGRESSION.rests_on(PROGRESSION.drills[change.drill]):
                reps = [i for i in before if isinstance(i, Attempt) and i.drill == need]
                coached = [i for i in reps if i.outcome in (Outcome.GOOD, Outcome.BAD) and not i.by_helper]
                unsafe = [i.place for i in reps if i.outcome is Outcome.UNSAFE]
                ended = [i.place for i in before if _ends_settled(i, need)]
                assert len({i.day for i in coached}) >= 2
                assert not unsafe or sum(i.place > max(unsafe) for i in coached) >= 10
                assert not ended or any(i.place > max(ended) and i.outcome is Outcome.GOOD for i in coached)


def _ends_settled(item: Item, drill: str) -> bool:
    ending = (DecisionKind.EASIER_DRILL, DecisionKind.START_OVER)
    return isinstance(item, Decision) and item.drill == drill and item.by_head_coach and item.kind in ending


@given(VISITS)
@settings(max_examples=200)
def test_figures_open_a_drill_only_when_each_need_passes_its_own_test(visits):
    for change in replay({}, START, items_of(visits), PROGRESSION, DEFAULTS).changes:
        if change.kind is ChangeKind.OPENED and change.by is OpenedBy.FIGURES:
            assert PROGRESSION.drills[change.drill].risk is not Risk.CONTACT
            for test in change.tests:
                if PROGRESSION.drills[test.need].risk is Risk.FLOOR:
                    assert len(test.recent) == 5 and test.recent.count("1") >= 4 and test.recent[-1] == "1"
                else:
                    assert test.low >= 0.55 and test.n >= 8


@given(VISITS, st.integers(1, 2000))
@settings(max_examples=200)
def test_time_passing_changes_nothing_that_is_legal(visits, days):
    """A rep not seen, long after, is only a date: every standing stays."""
    items = items_of(visits)
    book = replay({}, START, items, PROGRESSION, DEFAULTS).book
    last = items[-1].place if items else place(0, 0)
    later = Attempt(place((last.day - START).days + days, len(items)), "hold", Outcome.NOT_SEEN)
    after = step(book, later, PROGRESSION, DEFAULTS).book
    assert [standing(after, key, PROGRESSION) for key in PROGRESSION.drills] == [
        standing(book, key, PROGRESSION) for key in PROGRESSION.drills
    ]


@given(st.lists(VISIT, max_size=8), st.data())
@settings(max_examples=100)
def test_any_order_of_arrival_gives_the_book_of_one_fold(visits, data):
    items = items_of(visits)
    whole = replay({}, START, items, PROGRESSION, DEFAULTS)
    arrived: list[Item] = []
    book, snapshots = Book(), {}
    for item in data.draw(st.permutations(items)):
        arrived = sorted([*arrived, item], key=lambda i: i.place)
        since = [i for i in arrived if i.day >= item.day]
        done = replay(snapshots, item.day, since, PROGRESSION, DEFAULTS)
        snapshots = {day: kept for day, kept in snapshots.items() if day < item.day} | done.snapshots
        book = done.book
    assert (book, snapshots) == (whole.book, whole.snapshots)


@given(VISITS, st.integers(0, 40))
@settings(max_examples=200)
def test_a_book_survives_storage_as_json_and_replays_on_from_it(visits, split):
    items = items_of(visits)
    whole = replay({}, START, items, PROGRESSION, DEFAULTS)
    book = replay({}, START, items[:split], PROGRESSION, DEFAULTS).book
    book = Book.from_row(json.loads(json.dumps(book.to_row())))
    for item in items[split:]:
        book = step(book, item, PROGRESSION, DEFAULTS).book
    assert book == whole.book


@given(VISITS)
@settings(max_examples=200)
def test_every_change_of_openness_is_told_and_nothing_else_is(visits):
    told: set[str] = {"hold"}
    book = Book()
    for item in items_of(visits):
        stepped = step(book, item, PROGRESSION, DEFAULTS)
        book = stepped.book
        for change in stepped.changes:
            if change.kind is ChangeKind.OPENED:
                assert change.drill not in told
                told.add(change.drill)
            elif change.kind is ChangeKind.CLOSED:
                told.remove(change.drill)
        assert told == open_drills(book)
