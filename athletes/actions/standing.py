"""The book of one athlete: folded again from its earliest changed day, and what pages read of it written down.

Whoever changes a rep or decides marks the day (``mark``), which leaves the duty ``standing`` for the athlete. The fold
runs under the lock of the athlete's head row and reads everything after it holds the lock, so it builds on nothing
stale. Leaving the duty comes before marking, for everybody: both are rows that others wait for.
"""

from collections.abc import Iterable, Mapping, Sequence
from datetime import date, datetime
from uuid import UUID

from django.db.models import Q

from athletes.core import gates, opening
from athletes.core.progression import Editions, Progression
from athletes.core.readiness import Settings
from athletes.core.standing import Attempt, Book, Change, ChangeKind, DecisionKind
from athletes.core.standing import Standing as State
from athletes.models import AthleteBook, BookDay, Notice, ProgressionEdition, Standing
from athletes.queries import readiness
from athletes.queries import standing as queries
from club import duties
from club.models import Club

COLUMNS = ("state", "opened_by", "closed_by", "settled_by", "since", "asks", "lacking")


def mark(*, club: Club, athlete_ids: Sequence[UUID], since: date) -> None:
    """From that day on something changed for these athletes, and their books are to be folded again. Two statements,
    and one for each duty."""
    duties.leave("standing", club, [str(pk) for pk in athlete_ids])
    heads = [_new_head(club, pk) for pk in sorted(athlete_ids)]
    AthleteBook.objects.bulk_create(heads, ignore_conflicts=True)
    later = Q(dirty_from__isnull=True) | Q(dirty_from__gt=since)
    AthleteBook.objects.for_club(club).filter(later, athlete__in=athlete_ids).update(dirty_from=since)


def _new_head(club: Club, athlete_id: UUID) -> AthleteBook:
    """Nothing was folded for this athlete yet, so everything is to be."""
    return AthleteBook(club=club, athlete_id=athlete_id, dirty_from=date.min)


def note_progression(*, club: Club, today: date) -> bool:
    """Writes down the progression of today if it is another than the last one; whether it was.

    The first one ever noted holds for all days before.
    """
    if not queries.progression_moved(club):
        return False
    drills = [drill.to_row() for drill in queries.current_drills(club)]
    first = not ProgressionEdition.objects.for_club(club).exists()
    ProgressionEdition.objects.bulk_create(
        [ProgressionEdition(club=club, since=date.min if first else today, drills=drills)],
        update_conflicts=True,
        unique_fields=["club", "since"],
        update_fields=["drills"],
    )
    return True


def adopt_progression(*, club: Club, today: date) -> None:
    """Notes a changed progression, and asks that everybody's book is folded again from today on."""
    if note_progression(club=club, today=today):
        ask_for_everybody(club=club, since=today)


def ask_for_everybody(*, club: Club, since: date) -> int:
    """Every athlete's book is to be folded again from that day on; how many."""
    athletes = queries.athletes_of(club)
    mark(club=club, athlete_ids=athletes, since=since)
    return len(athletes)


def lock_book(*, club: Club, athlete_id: UUID) -> AthleteBook:
    """Holds the athlete's head row until the surrounding transaction ends, making it first if need be."""
    AthleteBook.objects.bulk_create([_new_head(club, athlete_id)], ignore_conflicts=True)
    return AthleteBook.objects.for_club(club).select_for_update().get(athlete_id=athlete_id)


def replay_book(
    *,
    head: AthleteBook,
    attempts: Iterable[Attempt],
    now: datetime,
    settings: Settings = readiness.SETTINGS,
) -> None:
    """Folds the athlete's book again from ``head.dirty_from``. attempts: all reps since that day.

    The caller holds the lock of ``head`` and has noted the progression.
    """
    since = head.dirty_from
    if since is None:
        return
    club, athlete_id = head.club, head.athlete_id
    editions = Editions(queries.editions(club))
    decided = queries.decisions_since(club, athlete_id, since)
    items = sorted((*attempts, *decided), key=lambda item: item.place)
    before = queries.book_of(head)
    done = opening.replay(queries.book_before(club, athlete_id, since), since, items, editions, settings)
    _write_days(head, since, done.snapshots)
    drills = queries.drill_ids(club)
    _write_standings(head, drills, done.book, editions.latest, settings)
    _notice_losses(head, drills, before, done.book, editions.latest, now)
    _notice_changes(head, drills, since, done.changes, now)
    AthleteBook.objects.for_club(club).filter(pk=head.pk).update(dirty_from=None, book=done.book.to_row())


def _write_days(head: AthleteBook, since: date, books: Mapping[date, Book]) -> None:
    rows = BookDay.objects.for_club(head.club)
    rows.filter(athlete_id=head.athlete_id, day__gte=since).delete()
    rows.bulk_create(
        BookDay(club=head.club, athlete_id=head.athlete_id, day=day, book=book.to_row()) for day, book in books.items()
    )


def _write_standings(
    head: AthleteBook, drills: Mapping[str, int], book: Book, progression: Progression, settings: Settings
) -> None:
    """Rows that say something else than before are written over; the others are left alone."""
    rows = Standing.objects.for_club(head.club).filter(athlete_id=head.athlete_id)
    there = {row.drill_id: row for row in rows}
    asked = set(gates.to_ask(book, progression, settings))
    made = []
    for key, stand in gates.standings(book, progression).items():
        if key not in drills:  # taken out of the catalogue this moment
            continue
        tests = () if stand.may_try else gates.need_tests(book, key, progression, settings)
        row = Standing(
            club=head.club,
            athlete_id=head.athlete_id,
            drill_id=drills[key],
            state=stand.standing.value,
            opened_by=stand.opened_by.value if stand.opened_by else "",
            closed_by=stand.closed_by.value if stand.closed_by else "",
            settled_by=stand.settled_by.value if stand.settled_by else "",
            since=stand.since,
            asks=key in asked,
            lacking=queries.lacking_rows(tests),
        )
        if not _same(there.get(row.drill_id), row):
            made.append(row)
    Standing.objects.bulk_create(
        made, update_conflicts=True, unique_fields=["athlete", "drill"], update_fields=list(COLUMNS)
    )


def _same(old: Standing | None, new: Standing) -> bool:
    return old is not None and all(getattr(old, name) == getattr(new, name) for name in COLUMNS)


def _notice_losses(
    head: AthleteBook, drills: Mapping[str, int], before: Book, after: Book, progression: Progression, now: datetime
) -> None:
    """Openings that never were, as it turns out. What a rule closed again by a later rep is no loss, and neither is
    what the coach took back."""
    lost = [
        one for one in gates.lost_openings(before, after, progression)
        if one.now is State.NOT_OPEN and one.opened_on is not None
    ]  # fmt: skip
    own = queries.taken_back(head.club, head.athlete_id, min(one.opened_on for one in lost)) if lost else set()
    rows = Notice.objects.for_club(head.club).filter(athlete_id=head.athlete_id, kind=Notice.Kind.OPENING_LOST)
    found = [drills[key] for key, track in after.tracks.items() if track.opened_by and key in drills]
    rows.filter(drill__in=found, set_aside_at__isnull=True).delete()
    Notice.objects.bulk_create(
        [
            Notice(
                club=head.club,
                athlete_id=head.athlete_id,
                drill_id=drills[one.drill],
                kind=Notice.Kind.OPENING_LOST,
                day=one.opened_on,
                opened_by=one.opened_by.value if one.opened_by else "",
                at=now,
            )
            for one in lost
            if (one.drill, one.opened_on) not in own
        ],
        ignore_conflicts=True,
    )


def _notice_changes(
    head: AthleteBook, drills: Mapping[str, int], since: date, changes: Iterable[Change], now: datetime
) -> None:
    """Of the days that were folded again, exactly what the fold says; what the coach has set aside stays so."""
    kept = Notice.objects.for_club(head.club).filter(athlete_id=head.athlete_id, kind__in=Notice.DERIVED)
    there = {(row.drill_id, row.kind, row.day): row for row in kept.filter(day__gte=since)}
    wanted = {(drills[c.drill], kind, c.cause.day) for c in changes if (kind := _kind_of(c))}
    stale = [row.pk for key, row in there.items() if key not in wanted and row.set_aside_at is None]
    if stale:
        kept.filter(pk__in=stale).delete()
    Notice.objects.bulk_create(
        [
            Notice(club=head.club, athlete_id=head.athlete_id, drill_id=drill, kind=kind, day=day, at=now)
            for drill, kind, day in sorted(wanted - set(there), key=str)
        ],
        ignore_conflicts=True,
    )


def _kind_of(change: Change) -> Notice.Kind | None:
    if change.kind is ChangeKind.TRIED_UNOPENED:
        return Notice.Kind.TRIED_UNOPENED
    refused = change.kind is ChangeKind.REFUSED and change.by is DecisionKind.TOUCH
    return Notice.Kind.TOUCH_REFUSED if refused else None
