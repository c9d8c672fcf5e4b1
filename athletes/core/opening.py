"""Who may try which drill: a fold over one athlete's reps and the coach's decisions, in their order.

Each need is met by the row of its own risk class: floor, 4 of the last 5 counted reps good and the last one good;
moving, low end of the likely range and weight of evidence; contact, settled by figures. A contact drill opens only by
the head coach's touch while its entry drill and contact needs are settled by figures, or by the head coach's placement.

Nothing here takes `today`: a need is tested on the state as of its last counted rep, so fading with time changes
nothing that is legal. What the fold says is rebuilt on replay; touches and placements are events in it.

Choices made where the rule leaves room:
- a need counts only while it is itself open, so nothing opens through a drill that is closed again;
- the warm-up check runs over the next 3 practices of the athlete, that is the next 3 days with a rep of theirs, after
  the day of opening. When it closes a drill, what figures opened through that one closes too while its own check
  still runs;
- a head coach's touch or placement of an open drill ends its checks: the coach has looked;
- what opens a contact drill must also stay: an unsafe rep, *easier drill*, *start over* or a closing, of the contact
  drill itself, its entry drill or a contact need, closes it until the head coach touches again. After an unsafe rep
  at the contact drill itself the touch is enough; after one at what it rests on, 10 counted reps there must follow
  first;
- marks of helpers count on the floor and in motion, and for nothing that leads to contact, except unsafe ones;
- after *easier drill*, settled begins again at the next counted rep at which the advice says so.
"""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, replace
from datetime import date

from athletes.core import sequence
from athletes.core.gates import is_open, lacks, need_test
from athletes.core.progression import Drill, Editions, Progression, Risk
from athletes.core.readiness import Outcome, Rep, Settings, fold, says_settled, start_over
from athletes.core.standing import (
    Attempt,
    Book,
    Change,
    ChangeKind,
    ClosedBy,
    Decision,
    DecisionKind,
    NeedTest,
    OpenedBy,
    SettledBy,
    Track,
    WarmUpCheck,
)

Item = Attempt | Decision


@dataclass(frozen=True, slots=True)
class Stepped:
    """The book after one item, and what changed."""

    book: Book
    changes: tuple[Change, ...]


@dataclass(frozen=True, slots=True)
class ReplayedBook:
    """The book after the last item, the books at each replayed day's end, and all changes since then."""

    book: Book
    snapshots: dict[date, Book]
    changes: tuple[Change, ...]


def step(book: Book, item: Item, progression: Progression, settings: Settings) -> Stepped:
    """One rep or decision on. Pass the progression in force at the item's day: an edited catalogue does not undo what
    was open. Raises UnknownDrill, and ValueError for a counted rep out of order."""
    turn = _Turn(book, item, progression, settings)
    if isinstance(item, Decision):
        turn.decide(item)
    else:
        turn.attempt(item)
    return Stepped(Book(turn.tracks, turn.day), tuple(turn.changes))


def replay(
    snapshots: Mapping[date, Book],
    since: date,
    items: Iterable[Item],
    progression: Progression | Editions,
    settings: Settings,
) -> ReplayedBook:
    """Fold all items of day `since` and later, in order, from the snapshot before `since`, each by the progression in
    force on its day. See `sequence.replay`."""
    changes: list[Change] = []

    def remembering(book: Book, item: Item) -> Book:
        stepped = step(book, item, progression.on(item.day), settings)
        changes.extend(stepped.changes)
        return stepped.book

    done = sequence.replay(remembering, Book(), snapshots, since, items)
    return ReplayedBook(done.state, done.snapshots, tuple(changes))


class _Turn:
    """The work on one item. Nobody outside sees it half done."""

    def __init__(self, book: Book, item: Item, progression: Progression, settings: Settings) -> None:
        self.tracks = dict(book.tracks)
        self.day = book.day
        self.cause = item.place
        self.progression = progression
        self.settings = settings
        self.changes: list[Change] = []

    def track(self, key: str) -> Track:
        return self.tracks.get(key, Track())

    def is_open(self, key: str) -> bool:
        return is_open(self.track(key), self.progression.drills[key])

    def note(self, key: str, kind: ChangeKind, by: OpenedBy | ClosedBy | SettledBy | DecisionKind | None = None,
             through: str | None = None, tests: tuple[NeedTest, ...] = ()) -> None:  # fmt: skip
        self.changes.append(Change(key, kind, self.cause, by, through, tests))

    # Reps

    def attempt(self, item: Attempt) -> None:
        drill = self.progression.drill(item.drill)
        if item.day != self.day:
            self._new_practice(item.day)
        if drill.risk is Risk.CONTACT and not self.is_open(drill.key):
            self.note(drill.key, ChangeKind.TRIED_UNOPENED)
        self._count(item, drill)
        if item.outcome is Outcome.UNSAFE:
            self._shaken(drill.key, ClosedBy.UNSAFE_REP)
        elif item.outcome is not Outcome.NOT_SEEN:
            self._settle_by_figures(drill.key)
            self._check_warm_ups(drill.key, bad=item.outcome is Outcome.BAD)
            self._open_through(drill.key)

    def _new_practice(self, day: date) -> None:
        self.day = day
        for key, track in list(self.tracks.items()):
            if track.checks:
                later = tuple(replace(c, practices=c.practices + 1, last=day) for c in track.checks if c.last < day)
                kept = tuple(c for c in later if c.practices <= self.settings.warm_up_practices)
                same_day = tuple(c for c in track.checks if c.last >= day)
                self.tracks[key] = replace(track, checks=same_day + kept)
                for check in later:
                    if check not in kept:
                        self.note(key, ChangeKind.CHECK_LAPSED, through=check.need)

    def _count(self, item: Attempt, drill: Drill) -> None:
        track = self.track(drill.key)
        if not track.opened_by and is_open(track, drill):
            # Kept from now on: a need that an edited catalogue adds later does not close what was practised.
            track = replace(track, opened_by=OpenedBy.NO_NEEDS, opened_on=item.day)
        rep = Rep(item.day, item.outcome)
        coached = track.coached
        if item.by_helper and item.outcome is not Outcome.UNSAFE:
            coached = coached or track.state
        elif coached:
            coached = fold(coached, rep, self.settings)
        self.tracks[drill.key] = replace(track, state=fold(track.state, rep, self.settings), coached=coached)

    def _settle_by_figures(self, key: str) -> None:
        track = self.track(key)
        if track.settled_by is not SettledBy.FIGURES and says_settled(track.state, self.settings):
            track = replace(track, settled_by=SettledBy.FIGURES, settled_on=self.cause.day)
            self.note(key, ChangeKind.SETTLED, SettledBy.FIGURES)
        if not track.settled_coached and says_settled(track.coached or track.state, self.settings):
            track = replace(track, settled_coached=True)
        self.tracks[key] = track

    def _check_warm_ups(self, need: str, *, bad: bool) -> None:
        for key in self.progression.opens[need]:
            for check in self.track(key).checks:
                if check.need == need and check.practices:
                    self._check_warm_up(key, check, replace(check, seen=check.seen + 1, bad=check.bad + bad))

    def _check_warm_up(self, key: str, old: WarmUpCheck, new: WarmUpCheck) -> None:
        if new.bad >= self.settings.warm_up_bad:
            self._close(key, ClosedBy.WARM_UP_CHECK, through=new.need)
            return
        passed = new.seen >= self.settings.warm_up_reps
        track = self.track(key)
        others = tuple(c for c in track.checks if c != old)
        self.tracks[key] = replace(track, checks=others if passed else (*others, new))
        if passed:
            self.note(key, ChangeKind.CHECK_PASSED, through=new.need)

    # Opening and closing

    def _open_through(self, need: str) -> None:
        for key in self.progression.opens[need]:
            drill = self.progression.drills[key]
            if drill.risk is not Risk.CONTACT and not self.is_open(key) and not self._lacks(drill):
                floor = (n for n in drill.needs if self.progression.drills[n].risk is Risk.FLOOR)
                checks = tuple(WarmUpCheck(n, self.cause.day) for n in floor)
                self._open(key, OpenedBy.FIGURES, checks)

    def _lacks(self, drill: Drill) -> bool:
        return lacks(self.tracks, drill, self.progression, self.settings)

    def _tests(self, drill: Drill) -> tuple[NeedTest, ...]:
        return tuple(need_test(self.tracks, drill, n, self.progression, self.settings) for n in drill.needs)

    def _open(self, key: str, by: OpenedBy, checks: tuple[WarmUpCheck, ...] = ()) -> None:
        was_open = self.is_open(key)
        if not was_open:
            self.note(key, ChangeKind.OPENED, by, tests=self._tests(self.progression.drills[key]))
        track = self.track(key)
        self.tracks[key] = replace(
            track,
            opened_by=by,
            opened_on=(was_open and track.opened_on) or self.cause.day,
            closed_by=None,
            closed_on=None,
            checks=checks,
        )
        if not was_open:
            self._open_through(key)

    def _close(self, key: str, by: ClosedBy, through: str | None = None) -> None:
        self.note(key, ChangeKind.CLOSED, by, through)
        self.tracks[key] = replace(
            self.track(key), opened_by=None, opened_on=None, closed_by=by, closed_on=self.cause.day, checks=()
        )
        for later in self.progression.opens[key]:
            checked = any(check.need == key for check in self.track(later).checks)
            if self.is_open(later) and (checked or self._rests_on(later, key)):
                self._close(later, ClosedBy.BELOW, through=key)

    def _rests_on(self, key: str, need: str) -> bool:
        drill = self.progression.drills[key]
        return drill.risk is Risk.CONTACT and need in self.progression.rests_on(drill)

    def _shaken(self, key: str, by: ClosedBy) -> None:
        """Close what is open at contact and is this drill or rests on it."""
        if self.progression.drills[key].risk is Risk.CONTACT and self.is_open(key):
            self._close(key, by)
        for later in self.progression.opens[key]:
            if self._rests_on(later, key) and self.is_open(later):
                self._close(later, by, through=key)

    # Decisions

    def decide(self, decision: Decision) -> None:
        drill = self.progression.drill(decision.drill)
        if not decision.by_head_coach:
            self.note(drill.key, ChangeKind.REFUSED, decision.kind)
            return
        match decision.kind:
            case DecisionKind.TOUCH:
                self._touch(drill)
            case DecisionKind.PLACE:
                self._open(drill.key, OpenedBy.PLACEMENT)
            case DecisionKind.SETTLED:
                self._settle_by_coach(drill.key)
            case DecisionKind.EASIER_DRILL:
                self._unsettle(drill.key, DecisionKind.EASIER_DRILL)
                self._shaken(drill.key, ClosedBy.EASIER_DRILL)
            case DecisionKind.START_OVER:
                self._begin_again(drill.key)
            case DecisionKind.KEEP_ON:
                pass

    def _touch(self, drill: Drill) -> None:
        if drill.risk is not Risk.CONTACT:
            self._open(drill.key, OpenedBy.TOUCH)
        elif not self.is_open(drill.key):
            if self._lacks(drill):
                self.note(drill.key, ChangeKind.REFUSED, DecisionKind.TOUCH, tests=self._tests(drill))
            else:
                self._open(drill.key, OpenedBy.CONTACT_TOUCH)

    def _settle_by_coach(self, key: str) -> None:
        track = self.track(key)
        if not track.settled_by:
            self.tracks[key] = replace(track, settled_by=SettledBy.COACH, settled_on=self.cause.day)
            self.note(key, ChangeKind.SETTLED, SettledBy.COACH)

    def _unsettle(self, key: str, by: DecisionKind) -> None:
        track = self.track(key)
        if track.settled_by:
            self.note(key, ChangeKind.NO_LONGER_SETTLED, by)
        self.tracks[key] = replace(track, settled_by=None, settled_on=None, settled_coached=False)

    def _begin_again(self, key: str) -> None:
        self._unsettle(key, DecisionKind.START_OVER)
        track = self.track(key)
        coached = start_over(track.coached) if track.coached else None
        self.tracks[key] = replace(track, state=start_over(track.state), coached=coached)
        self._shaken(key, ClosedBy.START_OVER)
