"""A small progression and a shorthand for streams: what the opening tests share."""

from datetime import UTC, date, datetime, timedelta
from uuid import UUID

from athletes.core.opening import Item, ReplayedBook, replay
from athletes.core.progression import Drill, Progression, Risk
from athletes.core.readiness import Outcome, Settings
from athletes.core.sequence import Place
from athletes.core.standing import Attempt, Decision, DecisionKind

DEFAULTS = Settings()
START = date(2025, 3, 3)
PROGRESSION = Progression.of(
    [
        Drill("hold", Risk.FLOOR),
        Drill("drop", Risk.FLOOR, ("hold",)),
        Drill("walk", Risk.FLOOR, ("drop",)),
        Drill("jog", Risk.MOVING, ("walk", "drop")),
        Drill("run", Risk.MOVING, ("jog",)),
        Drill("wall", Risk.CONTACT, ("run",), entry="run"),
        Drill("box", Risk.CONTACT, ("run", "wall"), entry="run"),
    ]
)
OUTCOMES = {"1": Outcome.GOOD, "0": Outcome.BAD, "-": Outcome.NOT_SEEN, "!": Outcome.UNSAFE}


def place(day: int, number: int) -> Place:
    at = datetime(2025, 3, 3, 17, tzinfo=UTC) + timedelta(days=day, seconds=number)
    return Place(START + timedelta(days=day), at, "tablet", number, UUID(int=number))


def stream(*parts: tuple[int, str, str | DecisionKind]) -> list[Item]:
    """Items from (day, drill, marks or decision). Marks: 1 good, 0 bad, - not seen, ! unsafe; h before: a helper's.

    "not head coach" is a touch by somebody else.
    """
    items: list[Item] = []
    for day, drill, what in parts:
        if isinstance(what, DecisionKind):
            items.append(Decision(place(day, len(items)), drill, what, by_head_coach=True))
        elif what == "not head coach":
            items.append(Decision(place(day, len(items)), drill, DecisionKind.TOUCH, by_head_coach=False))
        else:
            by_helper = what.startswith("h")
            for mark in what.removeprefix("h"):
                items.append(Attempt(place(day, len(items)), drill, OUTCOMES[mark], by_helper))
    return items


def replayed(*parts: tuple[int, str, str | DecisionKind], progression: Progression = PROGRESSION) -> ReplayedBook:
    return replay({}, START, stream(*parts), progression, DEFAULTS)
