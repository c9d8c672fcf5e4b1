"""What a head coach can decide where, whether it was decided already, and what was decided."""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from datetime import date, datetime, timedelta
from uuid import UUID

from athletes.core.standing import DecisionKind, Standing
from athletes.models import Athlete, Decision, Notice
from athletes.queries import SETTINGS, DrillReading
from athletes.queries import decisions as queries
from athletes.queries import standing as standing_queries
from athletes.queries.decisions import OPEN
from athletes.queries.standing import Stand
from club.members import Member
from club.roles import Permission
from drills.core.catalogue import RiskClass
from drills.models import Drill
from sessions.boards import decision_words as words

REMEMBERED = timedelta(days=90)
"""Decisions older than this settle no advice: it is asked anew."""
EASIER = "easier drill"


@dataclass(frozen=True, slots=True)
class Act:
    """A button. kind: a value of ``DecisionKind``; drill: the key of the drill it is about."""

    kind: str
    drill: str
    words: str
    label: str
    main: bool = False


@dataclass(frozen=True, slots=True)
class Done:
    """A decision, ready to be said. undo: whether it may still be taken back."""

    id: UUID
    day: date
    title: str
    drill: str
    sentence: str
    line: str
    seen: str
    undo: bool
    taken_back: str


@dataclass(frozen=True, slots=True)
class Told:
    """A notice for the head coach."""

    id: UUID
    athlete: UUID
    name: str
    sentence: str


def acts(
    athlete: Athlete | str, drill: Drill, stand: Stand, advice: str, *, decided: bool, all_of_them: bool = False
) -> tuple[Act, ...]:
    """What may be decided about the pair now. advice: of the reading; "" where there is none. all_of_them: also what
    nobody asked for (settled anyway, easier, start over)."""
    if stand.asks:
        kinds = [DecisionKind.TOUCH] if decided else [DecisionKind.TOUCH, DecisionKind.KEEP_ON]
        return _acts(athlete, drill, kinds, OPEN, main=not decided)
    if not stand.is_open:
        kinds = [] if drill.risk == RiskClass.CONTACT else [DecisionKind.TOUCH]
        return _acts(athlete, drill, kinds, "", main=False)
    if advice == "settled" and not decided:
        kinds = [DecisionKind.SETTLED, DecisionKind.KEEP_ON]
    elif advice == EASIER and not decided:
        kinds = [DecisionKind.EASIER_DRILL, DecisionKind.KEEP_ON]
    else:
        kinds = [DecisionKind.SETTLED] if stand.state is not Standing.SETTLED and advice not in ("", EASIER) else []
        return _acts(athlete, drill, [*kinds, *_unasked(advice, all_of_them)], advice, main=False)
    extra = _unasked(advice, all_of_them) if all_of_them else []
    return _acts(athlete, drill, [*kinds, *(k for k in extra if k not in kinds)], advice, main=True)


def _unasked(advice: str, all_of_them: bool) -> list[DecisionKind]:
    return [DecisionKind.EASIER_DRILL, DecisionKind.START_OVER] if all_of_them and advice else []


def _acts(
    athlete: Athlete | str, drill: Drill, kinds: Iterable[DecisionKind], advice: str, *, main: bool
) -> tuple[Act, ...]:
    found = []
    for kind in kinds:
        said = words.act_words(kind, drill.name, advice)
        label = words.act_label(said, str(athlete), drill.name)
        found.append(Act(kind.value, drill.key, said, label, main and not found))
    return tuple(found)


class Decided:
    """What was decided of late, and what of the advice is therefore answered."""

    def __init__(self, rows: list[Decision]) -> None:
        self.rows = rows
        self.newest: Mapping[tuple[UUID, int], Decision] = queries.newest_by_pair(rows)

    def answers(self, reading: DrillReading, stand: Stand) -> bool:
        """Whether the newest decision about the pair answers today's advice: *settled* for good, any other until the
        athlete has practised the drill on another day."""
        made = self.newest.get((reading.athlete_id, reading.drill_id))
        if made is None:
            return False
        if made.kind == Decision.Kind.SETTLED and stand.state is Standing.SETTLED:
            return stand.since is None or made.day >= stand.since
        asked = (Decision.Kind.KEEP_ON, Decision.Kind.EASIER_DRILL, Decision.Kind.START_OVER)
        return made.kind in asked and (reading.state.day is None or made.day >= reading.state.day)

    def puts_off(self, athlete_id: UUID, drill: Drill, needs_last: date | None) -> bool:
        """Whether a contact drill was put off since what it rests on was last practised."""
        made = self.newest.get((athlete_id, drill.pk))
        put_off = made is not None and made.kind == Decision.Kind.KEEP_ON
        return put_off and (needs_last is None or made.day >= needs_last)  # type: ignore[union-attr]


def decided(member: Member, today: date) -> Decided:
    """One query."""
    return Decided(queries.standing_decisions(member, today - REMEMBERED))


def done(member: Member, decision: Decision, now: datetime, taken_back: bool = False) -> Done:
    mine = decision.by_id == member.person.pk
    decides = member.may(Permission.DECIDE)
    back = decision.taken_back_by if taken_back else None
    return Done(
        id=decision.pk,
        day=decision.day,
        title=words.title_words(decision),
        drill=decision.drill.name,
        sentence=words.decided_sentence(decision, mine, member.club.zone),
        line=words.line_words(decision),
        seen=decision.seen if decides else "",
        undo=decides and back is None and queries.may_take_back(decision, now),
        taken_back=back.by.given_name if back and back.by else "",
    )


def fresh(member: Member, found: Decided, now: datetime) -> tuple[Done, ...]:
    """Those that may still be taken back."""
    return tuple(done(member, row, now) for row in found.rows if queries.may_take_back(row, now))


def told(member: Member) -> tuple[Told, ...]:
    """What goes to the head coach; nobody else is asked to read it. One query, none for others."""
    if not member.may(Permission.DECIDE):
        return ()
    rows: list[Notice] = standing_queries.notices(member)
    return tuple(Told(row.pk, row.athlete_id, str(row.athlete), words.notice_sentence(row)) for row in rows)


def timeline(member: Member, athlete: Athlete, now: datetime, shown: int) -> tuple[list[Done], int]:
    """The newest decisions about an athlete, those taken back among them, and how many there are. Two queries."""
    rows = queries.of_athlete(member, athlete)
    found = [
        done(member, row, now, taken_back=_was_taken_back(row))
        for row in rows.select_related("athlete__person", "drill", "by", "taken_back_by__by")[:shown]
    ]
    return found, rows.count()


def _was_taken_back(row: Decision) -> bool:
    return hasattr(row, "taken_back_by")


@dataclass(frozen=True, slots=True)
class NotOpen:
    """A drill that is not open: what it lacks, and what the head coach can do about it."""

    drill: str
    name: str
    standing: str
    lacking: str
    contact: bool
    acts: tuple[Act, ...]


def not_open(
    member: Member, athlete: Athlete, drills: Iterable[Drill], stands: standing_queries.Stands
) -> list[NotOpen]:
    """Every drill that is not open to the athlete, in the order given."""
    drills = list(drills)
    names = {drill.key: drill.name for drill in drills}
    decides = member.may(Permission.DECIDE)
    found = []
    for drill in drills:
        stand = stands.of(athlete.pk, drill)
        if not stand.is_open:
            lacking = words.lacks_sentence(words.lacking_words(stand, names, SETTINGS))
            said = words.ask_sentence(stand, names) if stand.asks else lacking
            buttons = acts(athlete, drill, stand, "", decided=False) if decides else ()
            contact = drill.risk == RiskClass.CONTACT
            found.append(NotOpen(drill.key, drill.name, words.standing_words(stand), said, contact, buttons))
    return found
