"""Seasons of the simulator, counted without a database, and the summaries they give."""

from collections import Counter
from dataclasses import dataclass
from datetime import date, timedelta
from functools import cache
from uuid import UUID

from sessions.reps.core.events import RepMarks, SetOfReps
from sessions.summaries.core.facts import CheckDay, DrillDay, Facts, gather
from sessions.summaries.words import About, Names, Part, Point, parts, title
from tests.sessions.demo.played import play, trade

NAMES = ("Kalea", "Nandi", "Eero", "Saoirse", "Ilse", "Tomas")
PRACTICES = 22
RUN = "running-drop-and-plant"


@dataclass(frozen=True, slots=True)
class Told:
    """One summary of one vaulter of a season, and what it was made of."""

    name: str
    facts: Facts
    done: tuple[DrillDay, ...]
    checks: tuple[CheckDay, ...]


def names() -> Names:
    """As the shipped catalogue calls them."""
    points = {key: Point(one.name, one.phase, tuple(map(str, one.cells))) for key, one in _points().items()}
    return Names({key: drill.name for key, drill in trade().drills.items()}, points)


@cache
def _points():
    from pathlib import Path

    from drills.core.reading import read_catalogue

    path = Path(__file__).resolve().parents[3] / "fixtures" / "catalogue.yaml"
    return {one.key: one for one in read_catalogue(path.read_bytes()).checkpoints}


@cache
def season(seed: int) -> tuple[Told, ...]:
    """Three summaries of each of six vaulters, at the ends of three stretches of four weeks."""
    placed = RUN if seed % 2 else None
    played = play(seed=seed, practices=PRACTICES, vaulters=len(NAMES), placed=placed)
    days, last = _counts(played.events()), max(sending.sent_at.date() for sent in played.sent for sending in sent)
    opened = tuple(sorted(trade().drills)[:2]) if seed % 3 == 0 else ()
    told = []
    for number, name in enumerate(NAMES):
        done, checks = days.get(UUID(int=number + 1), ((), ()))
        for back in (0, 20, 40):
            facts = gather(done, checks, last - timedelta(days=back), opened[: back // 20])
            told.append(Told(name, facts, done, checks))
    return tuple(told)


def _counts(events) -> dict[UUID, tuple[tuple[DrillDay, ...], tuple[CheckDay, ...]]]:
    """Reps of each vaulter as day counts: unsafe ones are done and not averaged; voids are left aside."""
    done: Counter[tuple[UUID, str, date]] = Counter()
    watched: Counter[tuple[UUID, str, str, date]] = Counter()
    faulty: Counter[tuple[UUID, str, str, date]] = Counter()
    for event in events:
        content, day = event.content, event.at.date()
        if isinstance(content, RepMarks):
            done[content.athlete, content.drill, day] += 1
            seen = set() if content.unsafe else content.watched
            bad = {trade().checkpoint_of[fault] for fault in content.faults} & seen
            watched.update((content.athlete, content.drill, key, day) for key in seen)
            faulty.update((content.athlete, content.drill, key, day) for key in bad)
        elif isinstance(content, SetOfReps):
            done[content.athlete, content.drill, day] += content.done
            if len(content.watch_set) == 1:
                key = (content.athlete, content.drill, next(iter(content.watch_set)), day)
                watched[key] += content.watched
                faulty[key] += content.faulty
    people = {key[0] for key in done}
    return {
        who: (
            tuple(DrillDay(drill, day, n) for (one, drill, day), n in done.items() if one == who),
            tuple(
                CheckDay(drill, point, day, n, faulty[one, drill, point, day])
                for (one, drill, point, day), n in watched.items()
                if one == who
            ),
        )
        for who in people
    }


def text_of(told: Told) -> str:
    """All words of a summary in the active language."""
    return "\n".join([title(told.facts, told.name), *map(_words, parts_of(told))])


def parts_of(told: Told) -> list[Part]:
    return parts(told.facts, names(), About(told.name, "right"))


def _words(part: Part) -> str:
    label = part.picture.label if part.picture else ""
    return "\n".join([part.heading, *part.paragraphs, *part.listed, label])
