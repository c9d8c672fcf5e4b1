"""A summary in the reader's language: plain words, and no number that is not in the stored facts."""

import re
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from typing import Any, Self

from django.utils.formats import date_format
from django.utils.translation import gettext as _
from django.utils.translation import ngettext, npgettext, pgettext

from club.core.marks import tries_a_row
from club.core.run_strip import STEPS, Hand
from sessions.summaries.core.facts import Better, Facts, Turns
from sessions.summaries.plain import better_sentence

NBSP = "\N{NO-BREAK SPACE}"


@dataclass(frozen=True, slots=True)
class Point:
    """A checkpoint as it was called when the summary was made. cells: of the run strip."""

    name: str
    phase: str
    cells: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class Names:
    """By key."""

    drills: dict[str, str]
    points: dict[str, Point]

    @classmethod
    def from_row(cls, row: dict[str, Any]) -> Self:
        points = {
            key: Point(one["name"], one["phase"], tuple(one["cells"])) for key, one in row.get("points", {}).items()
        }
        return cls(dict(row.get("drills", {})), points)


@dataclass(frozen=True, slots=True)
class About:
    """Whom it is about: the given name, and the hand for the picture."""

    name: str
    hand: Hand


@dataclass(frozen=True, slots=True)
class Picture:
    """The run strip with one thing lit. flag: the step, empty where it has none."""

    hand: Hand
    lit: str
    flag: str
    label: str


@dataclass(frozen=True, slots=True)
class Tries:
    """Good of the tries that were watched in one of the two periods. when: which; said: the figures in words."""

    when: str
    said: str
    good: int
    watched: int


@dataclass(frozen=True, slots=True)
class Compared:
    """Before and now, as blocks of one size. phase: whose hue they have, empty for neither."""

    rows: tuple[Tries, ...]
    phase: str

    @property
    def per_row(self) -> int:
        return tries_a_row(*(row.watched for row in self.rows))


@dataclass(frozen=True, slots=True)
class Part:
    """One heading with what stands below it. listed: as a list."""

    heading: str
    paragraphs: tuple[str, ...] = ()
    listed: tuple[str, ...] = ()
    picture: Picture | None = None
    compared: Compared | None = None


def title(facts: Facts, name: str) -> str:
    """ "Kalea, 2 November to 29 November"."""
    days = {"since": date_format(facts.since, _("j F")), "until": date_format(facts.until, _("j F"))}
    return _("%(name)s, %(since)s to %(until)s") % {"name": name, **days}


def parts(
    facts: Facts, names: Names, about: About, *, own_words: str = "", left_out: frozenset[str] = frozenset()
) -> list[Part]:
    """In the order of reading. own_words: what the head coach added. left_out: checkpoints that they took out."""
    better = [one for one in facts.better if one.checkpoint not in left_out]
    found = [Part(_("From the coach"), tuple(own_words.splitlines()))] if own_words else []
    found.append(Part(_("What was practised"), tuple(_practised(facts, names, about.name))))
    found += _better_parts(better, names, about) if better else [Part(_("What was seen"), (_too_early(facts),))]
    if facts.opened:
        found.append(Part(_("New"), (_opened(facts.opened, names, about.name),)))
    found.append(Part(_("What comes next"), (_next(facts, names, about.name),)))
    return [*found, Part(_("How you can help"), (), tuple(helps(facts)))]


def _practised(facts: Facts, names: Names, name: str) -> Iterable[str]:
    if not facts.days:
        yield _("No practice of %(name)s was noted in these four weeks.") % {"name": name}
        return
    days = npgettext("practised on", "%(n)d day", "%(n)d days", facts.days) % {"n": facts.days}
    turns = npgettext("took so many", "%(n)d turn", "%(n)d turns", facts.turns) % {"n": facts.turns}
    yield glued(_("%(name)s practised on %(days)s and took %(turns)s.") % {"name": name, "days": days, "turns": turns})
    if facts.drills:
        yield _("Most of it: %(drills)s.") % {"drills": listed([_drill_turns(one, names) for one in facts.drills])}


def _drill_turns(one: Turns, names: Names) -> str:
    turns = npgettext("in a list of drills", "%(n)d turn", "%(n)d turns", one.turns) % {"n": one.turns}
    return f"{_named(one.drill, names)} ({glued(turns)})"


def _named(key: str, names: Names) -> str:
    """A drill by its name, in quotation marks: names hold commas and "and"."""
    return pgettext("name of a drill", "“%(drill)s”") % {"drill": names.drills.get(key, key)}


def _better_parts(better: Sequence[Better], names: Names, about: About) -> list[Part]:
    """Each thing with its picture; the heading stands over the first."""
    return [
        Part(
            _("What got better") if number == 0 else _("And this too"),
            tuple(_better(one, names, about.name)),
            picture=_picture(names.points.get(one.checkpoint), about.hand),
            compared=_compared(one, names.points.get(one.checkpoint)),
        )
        for number, one in enumerate(better)
    ]


def _better(one: Better, names: Names, name: str) -> Iterable[str]:
    point = names.points.get(one.checkpoint)
    meaning = phase_meaning(point.phase) if point else ""
    if meaning:
        yield meaning
    yield better_sentence(one.checkpoint, point.name if point else one.checkpoint, name)
    now, before = _tries(one.good, one.watched), _tries(one.good_before, one.watched_before)
    yield _("Seen at %(drill)s: in these four weeks %(now)s, in the four weeks before %(before)s.") % {
        "drill": _named(one.drill, names),
        "now": now,
        "before": before,
    }


def _compared(one: Better, point: Point | None) -> Compared:
    rows = (
        (_("Four weeks before"), one.good_before, one.watched_before),
        (_("These four weeks"), one.good, one.watched),
    )
    phase = point.phase if point and point.phase in {"drop", "plant"} else ""
    return Compared(tuple(Tries(when, _tries(good, all_), good, all_) for when, good, all_ in rows), phase)


def _tries(good: int, watched: int) -> str:
    said = npgettext("tries that were good", "%(good)d of %(watched)d try", "%(good)d of %(watched)d tries", watched)
    return (said % {"good": good, "watched": watched}).replace(" ", NBSP)


def _too_early(facts: Facts) -> str:
    if facts.compared:
        return _("Four weeks are short: it is too early to say what changed. That is usual.")
    return _("Too little was watched to say what changed. That is usual while drills are new.")


def _opened(opened: Sequence[str], names: Names, name: str) -> str:
    drills = listed([_named(key, names) for key in opened])
    said = ngettext(
        "The head coach opened this drill for %(name)s: %(drills)s.",
        "The head coach opened these drills for %(name)s: %(drills)s.",
        len(opened),
    )
    return said % {"name": name, "drills": drills}


def _next(facts: Facts, names: Names, name: str) -> str:
    if not facts.goes_on:
        return _("The next practice goes on from here. There is no hurry.")
    drills = listed([_named(key, names) for key in facts.goes_on])
    said = _("%(name)s goes on with %(drills)s. Most people need some weeks for it. There is no hurry.")
    return said % {"name": name, "drills": drills}


def _picture(point: Point | None, hand: Hand) -> Picture | None:
    if point is None or not point.cells or point.phase == "all":
        return None
    steps = [cell for cell in point.cells if cell in map(str, STEPS)]
    where = {
        "carry": _("the run before the last six steps is marked"),
        "drop": _("the three steps in which the pole is lowered; what this is about is marked"),
        "plant": _("the last three steps, in which the pole comes up; what this is about is marked"),
        "contact": _("where the tip of the pole meets the box; what this is about is marked"),
    }.get(point.phase, "")
    label = _("The last six steps: %(where)s") % {"where": where}
    return Picture(hand, " ".join(point.cells), steps[0] if steps else "", label)


def phase_meaning(phase: str) -> str:
    """A trade word with its meaning, for a reader who never vaulted."""
    return {
        "carry": _("The carry: walking or running tall with the pole held high."),
        "drop": _("The drop: over three steps the pole is lowered, without hurry."),
        "plant": _("The plant: over the last three steps both hands bring the pole up to full reach."),
        "contact": _("Tip contact: the tip of the pole meets the ground, a wall or the box."),
    }.get(phase, "")


def helps(facts: Facts) -> list[str]:
    """Two of a fixed list, others each time."""
    fixed = [
        _("Ask what was fun, and listen. Results can wait."),
        _("A good night’s sleep before practice."),
        _("Flat shoes with grip, long sleeves and a bottle of water in the bag."),
        _("Being there a few minutes early: the warm-up counts."),
        _("Something to eat an hour or two before, and something after."),
        _("Say if anything hurts, also if it seems small."),
        _("Praise turning up and trying again, more than any height."),
        _("Leave the coaching to practice; one voice is easier to follow."),
    ]
    first = facts.until.toordinal() // 7 * 2
    return [fixed[first % len(fixed)], fixed[(first + 1) % len(fixed)]]


def home_words() -> str:
    return _("No pole, wall or box work at home: only with a coach of the club.")


def rules_words() -> str:
    return _("Local rules, the facility’s rules and the licensed or certified coach in charge come first.")


def listed(said: Sequence[str]) -> str:
    """ "a", "a and b", "a, b and c"; empty for none."""
    if len(said) < 2:
        return "".join(said)
    return pgettext("list of drills", "%(first)s and %(last)s") % {"first": ", ".join(said[:-1]), "last": said[-1]}


def glued(text: str) -> str:
    """Every number stays with the word after it."""
    return re.sub(r"(?<=\d) ", NBSP, text)


def blocks_words() -> str:
    return _("A block for each try that was watched; filled where it was good.")


def plain_text(summary_title: str, found: Iterable[Part]) -> str:
    """All of it as a mail without pictures has it."""
    blocks = [summary_title]
    for part in found:
        blocks.append("\n".join([part.heading.upper(), *part.paragraphs, *(f"- {one}" for one in part.listed)]))
    return "\n\n".join([*blocks, home_words(), rules_words()])
